"""The blank workbook: what is in it, and that it plans once it is filled in and saved by another program."""

from __future__ import annotations

import io
import warnings
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook
from openpyxl.worksheet.datavalidation import DataValidation
from typer.testing import CliRunner

from pipeline.blank_workbook import LAST_ROW, blank_book
from pipeline.cli import app
from pipeline.exits import Exit
from pipeline.reading.read import read_job
from pipeline.reading.spelling import tidy
from pipeline.writing.blank_xlsx import draw_blank
from schemas import REQUIRED, SHEETS_IN
from schemas.accounts import ACCOUNTS
from schemas.settings import SETTINGS
from schemas.sheet import columns
from tests.workbooks.books import as_typed, csv_filter, csv_rows, saved
from tests.writing.libreoffice import recalculated

FIRST = Path(__file__).resolve().parent.parent / "sample_data" / "first"
TODAY = ("--today", "2027-03-01")


def opened(data: bytes) -> Workbook:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return openpyxl.load_workbook(io.BytesIO(data))


@pytest.fixture(scope="module")
def book() -> Workbook:
    return opened(draw_blank(blank_book()))


def rule(book: Workbook, sheet: str, column: str) -> DataValidation:
    """The validation of a column: the one that covers its cell in row 2."""
    at = [heading.name for heading in columns(SHEETS_IN[sheet])].index(column)
    cell = book[sheet].cell(2, at + 1).coordinate
    (found,) = [one for one in book[sheet].data_validations.dataValidation if cell in one.sqref]
    return found


def test_a_tab_for_every_sheet_those_needed_first_a_guide_before_and_lists_behind(book: Workbook) -> None:
    assert book.sheetnames == ["READ ME", *SHEETS_IN, "lists"]
    assert book.sheetnames[1:5] == list(REQUIRED)


def test_it_is_always_the_same_file() -> None:
    assert draw_blank(blank_book()) == draw_blank(blank_book())


@pytest.mark.parametrize("sheet", SHEETS_IN)
def test_headings_are_frozen_and_each_has_a_note(book: Workbook, sheet: str) -> None:
    tab = book[sheet]
    known = columns(SHEETS_IN[sheet])
    assert [cell.value for cell in tab[1]] == [column.name for column in known]
    assert tab.freeze_panes == "A2"
    for cell, column in zip(tab[1], known, strict=True):
        note = cell.comment.text
        assert note.lower().startswith(column.title.lower())
        assert f"Example: {column.example}" in note
        assert ("Needed" in note) == column.needed
        assert not column.unit or f"In {column.unit}." in note
        assert not column.default or f"If blank: {column.default}" in note


@pytest.mark.parametrize("sheet", SHEETS_IN)
def test_the_example_row_is_text_so_that_no_program_respells_it(book: Workbook, sheet: str) -> None:
    first, *others = [cell.value for cell in book[sheet][2]]
    examples = [column.example for column in columns(SHEETS_IN[sheet])]
    assert first == f"example: {examples[0]}"
    assert others == examples[1:]


@pytest.mark.parametrize("sheet", SHEETS_IN)
def test_columns_of_words_keep_what_is_typed(book: Workbook, sheet: str) -> None:
    """`@` is the number format of text, ISO/IEC 29500-1 18.8.30 number 49: `007` and `3/4` stay as they are."""
    tab = book[sheet]
    for at, column in enumerate(columns(SHEETS_IN[sheet]), start=1):
        words = column.kind in ("text", "list", "choice", "yes_no")
        letter = openpyxl.utils.get_column_letter(at)
        dimension = next(d for d in tab.column_dimensions.values() if d.min <= at <= d.max)
        assert (dimension.number_format == "@") == words, letter
        assert dimension.width >= len(column.name) + 2


@pytest.mark.parametrize(
    ("sheet", "column", "kind", "operator", "bounds", "style"),
    [
        # Ranges as the schemas have them: at least 1; more than 0; at least 0; from 0 to 24; a date.
        ("orders", "quantity", "whole", "greaterThanOrEqual", ("1", None), "stop"),
        ("forms", "ball_g", "decimal", "greaterThan", ("0", None), "warning"),
        ("clay_stock", "bag_price", "decimal", "greaterThanOrEqual", ("0", None), "warning"),
        ("labour_hours", "hours", "decimal", "between", ("0", "24"), "warning"),
        ("stages", "loss_pct", "custom", None, ("AND(ISNUMBER(G2),G2>=0,G2<100)", None), "warning"),
        ("orders", "due", "date", "between", ("1", "401768"), "warning"),
        ("orders", "form", "list", None, ("forms_form", None), "warning"),
        ("forms", "clay", "list", None, ("clay_stock_clay_or_clay_blends_clay", None), "warning"),
        ("form_minutes", "stage", "list", None, ("stages_stage", None), "warning"),
        ("in_progress", "order", "list", None, ("orders_order", None), "warning"),
        ("kilns", "shelf_shape", "list", None, ('"round,rectangular"', None), "stop"),
        ("accounts", "what", "list", None, ("accounts_what", None), "stop"),
        ("settings", "name", "list", None, ("settings_name", None), "warning"),
        ("labour_hours", "own_time", "list", None, ('"yes,no"', None), "stop"),
    ],
)
def test_what_a_cell_takes(
    book: Workbook, sheet: str, column: str, kind: str, operator: str | None,
    bounds: tuple[str, str | None], style: str,
) -> None:  # fmt: skip
    found = rule(book, sheet, column)
    assert (found.type, found.formula1, found.formula2) == (kind, *bounds)
    if operator != "between":  # the operator that is not written out
        assert found.operator == operator
    assert (found.errorStyle or "stop") == style
    assert found.error
    assert str(found.sqref).endswith(str(LAST_ROW))


@pytest.mark.parametrize(
    ("name", "words"), [("accounts_what", ACCOUNTS), ("settings_name", [setting.name for setting in SETTINGS])]
)
def test_a_list_too_long_for_a_drop_down_stands_in_the_guide(book: Workbook, name: str, words: Sequence[str]) -> None:
    """A spreadsheet takes 255 letters in a list of its own: XlsxWriter's documentation of data validation."""
    ((sheet, cells),) = book.defined_names[name].destinations
    assert [cell.value for (cell,) in book[sheet][cells]] == list(words)


def test_a_weight_may_be_typed_with_its_unit(book: Workbook) -> None:
    """The spreadsheet asks and lets it pass: the reader understands it."""
    assert "1 lb 4 oz" in rule(book, "forms", "ball_g").error
    assert rule(book, "forms", "ball_g").errorStyle == "warning"


def test_every_link_and_choice_has_a_drop_down(book: Workbook) -> None:
    """But for several names in one cell, which no drop-down can give."""
    for sheet, model in SHEETS_IN.items():
        for column in columns(model):
            if (column.link and column.kind != "list") or column.options:
                assert rule(book, sheet, column.name).type == "list"


def test_drop_downs_show_what_is_filled_in_gaps_and_all(tmp_path: Path) -> None:
    """Names of two forms in rows 2 and 4: LibreOffice takes `forms_form` for the three cells from 2 to 4."""
    book = opened(draw_blank(blank_book()))
    book["forms"]["A2"], book["forms"]["A3"], book["forms"]["A4"] = "mug", None, "jug"
    scratch = book.create_sheet("scratch")
    scratch["A1"], scratch["B1"], scratch["C1"] = "=ROWS(forms_form)", "=INDEX(forms_form,3)", "=ROWS(kilns_kiln)"
    book.save(tmp_path / "shop.xlsx")
    assert recalculated(tmp_path / "shop.xlsx", tmp_path)["scratch"] == [["3", "jug", "1"]]


def test_a_form_may_be_of_a_clay_or_of_a_blend(tmp_path: Path) -> None:
    """Two clays, and a blend of them, whose two parts have a row each: four names to choose from, then no more."""
    book = opened(draw_blank(blank_book()))
    for row, clay in enumerate(("buff", "dark"), start=2):
        book["clay_stock"].cell(row, 1).value = clay
        book["clay_blends"].cell(row, 1).value = "half and half"
    scratch = book.create_sheet("scratch")
    name = "clay_stock_clay_or_clay_blends_clay"
    scratch["A1"] = f"=ROWS({name})"
    for row in range(1, 5):
        scratch.cell(row + 1, 1).value = f"=INDEX({name},{row})"
    book.save(tmp_path / "shop.xlsx")
    found = recalculated(tmp_path / "shop.xlsx", tmp_path)
    assert [row[0] for row in found["scratch"]] == ["4", "buff", "dark", "half and half", "half and half"]


def test_the_joined_list_is_seen_and_right_as_it_comes(tmp_path: Path) -> None:
    """LibreOffice finds in its cells what the file says stands there: its heading, the two examples, then blanks."""
    data = draw_blank(blank_book())
    (tmp_path / "blank.xlsx").write_bytes(data)
    found = recalculated(tmp_path / "blank.xlsx", tmp_path)["lists"]
    kept = openpyxl.load_workbook(io.BytesIO(data), data_only=True)["lists"]
    assert kept["A1"].value == "clay_stock.clay or clay_blends.clay"
    assert kept.column_dimensions["A"].width > len("clay_stock.clay or clay_blends.clay")
    for row in range(1, 202):
        (cell,) = (found[row - 1] if row <= len(found) else []) or [""]
        assert cell == (kept.cell(row, 1).value or ""), row
    assert [bool(kept.cell(row, 1).value) for row in range(2, 6)] == [True, True, False, False]


def test_nothing_is_hidden(book: Workbook) -> None:
    for tab in book:
        assert tab.sheet_state == "visible"
        assert not any(size.hidden for size in (*tab.column_dimensions.values(), *tab.row_dimensions.values()))


@pytest.mark.parametrize("sheet", SHEETS_IN)
def test_a_column_of_words_shows_its_whole_example(book: Workbook, sheet: str) -> None:
    tab = book[sheet]
    for column, cell in zip(columns(SHEETS_IN[sheet]), tab[2], strict=True):
        if column.kind in ("text", "list", "choice") and cell.value:
            assert tab.column_dimensions[cell.column_letter].width > len(cell.value)


def test_as_it_comes_nothing_is_given(tmp_path: Path) -> None:
    (tmp_path / "shop.xlsx").write_bytes(draw_blank(blank_book()))
    problems = read_job(tmp_path, today=date(2027, 3, 1), needed=REQUIRED).problems
    assert problems.select("sheet", "kind").rows() == [(sheet, "empty sheet") for sheet in REQUIRED]


def filled_in(path: Path, first_row: int) -> Path:
    """The blank workbook with the small sample typed in, from a row downwards."""
    book = opened(draw_blank(blank_book()))
    for sheet in REQUIRED:
        headings, *rows = as_typed(sheet, csv_rows(sheet, FIRST))
        places = [column.name for column in columns(SHEETS_IN[sheet])]
        for number, row in enumerate(rows, start=first_row):
            for at in range(len(places)):
                book[sheet].cell(number, at + 1).value = None
            for heading, cell in zip(headings, row, strict=True):
                book[sheet].cell(number, places.index(tidy(str(heading))) + 1).value = cell
    book.save(path)
    return path


def plan(job: Path, out: Path) -> dict[str, bytes]:
    ended = CliRunner().invoke(app, ["plan", str(job), *TODAY, "--out", str(out)])
    assert ended.exit_code == Exit.DONE, ended.stderr
    return {file.name: file.read_bytes() for file in out.iterdir()}


def test_filled_in_over_the_example_it_plans_as_the_csvs_do(tmp_path: Path) -> None:
    book = filled_in(tmp_path / "shop.xlsx", 2)
    assert plan(book, tmp_path / "plan") == plan(FIRST, tmp_path / "expected")


def test_filled_in_below_the_example_only_the_rows_that_are_told_of_differ(tmp_path: Path) -> None:
    book = filled_in(tmp_path / "shop.xlsx", 3)
    found, expected = plan(book, tmp_path / "plan"), plan(FIRST, tmp_path / "expected")
    assert {name for name in found if found[name] != expected[name]} == {"problems.csv", "plan.xlsx"}


@pytest.mark.parametrize(
    ("to", "job"), [("xlsx", "shop.xlsx"), ("ods", "shop.ods"), (csv_filter(",", 76), "."), (csv_filter(";", 1), ".")]
)
def test_filled_in_and_saved_by_libreoffice_it_plans(tmp_path: Path, to: str, job: str) -> None:
    """In every format that it offers and that is read; of CSVs one a tab, the guide's among them."""
    book = filled_in(tmp_path / "shop.xlsx", 2)
    out = saved(book, to, tmp_path / "room")
    assert plan(out / job, tmp_path / "plan") == plan(FIRST, tmp_path / "expected")


def test_start_makes_it_and_never_writes_over_anything(tmp_path: Path) -> None:
    path = tmp_path / "shop.xlsx"
    start = ["start", str(path)]
    assert CliRunner().invoke(app, start).exit_code == Exit.DONE
    assert path.read_bytes() == draw_blank(blank_book())
    path.write_bytes(b"filled in")
    ended = CliRunner().invoke(app, start)
    assert "is there already" in str(ended.exception)
    assert path.read_bytes() == b"filled in"
    assert [file.name for file in tmp_path.iterdir()] == ["shop.xlsx"]


@pytest.mark.parametrize("name", ["shop.ods", "shop.xls", "shop.XLSM"])
def test_start_makes_no_other_kind_of_workbook(tmp_path: Path, name: str) -> None:
    ended = CliRunner().invoke(app, ["start", str(tmp_path / name)])
    assert ended.exit_code == Exit.WRONG_USE
    assert not list(tmp_path.iterdir())


# Text stays text

TEXTS = (
    "=1+1", "+SUM(A1:A10)", "-2*3", "@x", "\t=1", " =2", "'=3+1", "06", "007", "01234", "1-2", "3/4",
    "1 lb", "TRUE", "1e5", "#7",
)  # fmt: skip
"""Words that a spreadsheet may take for a formula (OWASP, "CSV Injection"), a number or a date."""


@pytest.fixture(scope="module")
def of_texts(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small sample in the blank workbook, its first line's order and note replaced by words such as these."""
    path = filled_in(tmp_path_factory.mktemp("texts") / "shop.xlsx", 2)
    book = openpyxl.load_workbook(path)
    tab = book["orders"]
    form = tab["C2"].value
    for row, text in enumerate(TEXTS, start=2):
        for column, value in (("A", text), ("C", form), ("E", 1), ("F", None), ("J", text)):
            cell = tab[f"{column}{row}"]
            cell.value = value
            if column in "AJ":
                cell.data_type, cell.number_format = "s", "@"
    book.save(path)
    return path


@pytest.mark.parametrize(
    ("to", "job"),
    [
        ("", "shop.xlsx"),
        ("xlsx", "shop.xlsx"),
        ("ods", "shop.ods"),
        (csv_filter(",", 76), "."),
        (csv_filter("\t", 1), "."),
    ],
)
def test_words_come_back_as_they_were_typed(of_texts: Path, tmp_path: Path, to: str, job: str) -> None:
    """Through LibreOffice, too. Spaces around a word are no part of it; a `'` before a formula only keeps it text."""
    found = of_texts if not to else saved(of_texts, to, tmp_path / "room") / job
    reading = read_job(found, today=date(2027, 3, 1), needed=REQUIRED)
    words = [text.strip().removeprefix("'") for text in TEXTS]
    assert reading.job is not None, reading.problems.rows()
    assert reading.job.orders["order"].to_list() == words
    assert reading.job.orders["note"].to_list() == words
