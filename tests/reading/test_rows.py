"""Bytes to rows: encodings, delimiters, line ends, quotation marks, and the spreadsheet's own row numbers."""

from __future__ import annotations

from pathlib import Path

import pytest
from polars.testing import assert_frame_equal

from pipeline.reading.rows import LARGEST, rows_in
from tests.reading.folders import SOUND, job_of, read, told

HEADINGS = {"order", "form", "quantity", "note"}


def rows(text: str | bytes) -> list[list[str]]:
    data = text.encode() if isinstance(text, str) else text
    found, _, problems = rows_in("orders", data, HEADINGS.__contains__)
    assert not problems
    assert found is not None
    return found.first(len(found))


def test_a_line_break_in_quotation_marks_stays_in_its_cell() -> None:
    """Source: RFC 4180, section 2, rule 6."""
    assert rows('"aaa","b \r\nbb","ccc"\r\nzzz,yyy,xxx') == [["aaa", "b \r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]


def test_a_doubled_quotation_mark_is_one() -> None:
    """Source: RFC 4180, section 2, rule 7."""
    assert rows('"aaa","b""bb","ccc"') == [["aaa", 'b"bb', "ccc"]]


def test_the_last_line_may_lack_its_end() -> None:
    """Source: RFC 4180, section 2, rule 2."""
    assert rows("aaa,bbb,ccc\r\nzzz,yyy,xxx") == rows("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n")


def test_inches_in_an_unquoted_cell_are_text() -> None:
    assert rows('order,note\nA1,6" rim') == [["order", "note"], ["A1", '6" rim']]


def test_characters_that_only_look_like_line_ends_end_no_line() -> None:
    """Form feed, line separator and the like stand inside cells."""
    assert rows("order,note\nA1,a\x0cb\u2028c\x85d") == [["order", "note"], ["A1", "a\x0cb\u2028c\x85d"]]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_every_way_to_save_a_sheet_gives_the_same_job(tmp_path: Path, encoding: str, delimiter: str, end: str) -> None:
    sheets = {
        name: text.replace("mug", "grüner Krug").replace(",", delimiter).replace("\n", end).encode(encoding)
        for name, text in SOUND.items()
    }
    job = job_of(tmp_path, **sheets)
    plain = job_of(tmp_path, **{name: text.replace("mug", "grüner Krug") for name, text in SOUND.items()})
    for name in SOUND:
        assert_frame_equal(getattr(job, name), getattr(plain, name))


def test_the_headings_tell_the_delimiter_not_what_is_more_common(tmp_path: Path) -> None:
    orders = "order;form;quantity;note\nA1;mug;24;tall, wide, plain, and no ring, please\n"
    assert job_of(tmp_path, orders=orders).orders["note"].to_list() == ["tall, wide, plain, and no ring, please"]


def test_a_sheet_of_one_column_needs_no_delimiter(tmp_path: Path) -> None:
    assert job_of(tmp_path, closed_days="from\n2027-05-03\n").closed_days.height == 1


def test_windows_1252_is_read_and_told(tmp_path: Path) -> None:
    """0x80 is the euro sign in Windows-1252, 0xE9 an e acute. Source: the Unicode Consortium, CP1252.TXT."""
    reading = read(tmp_path, orders=b"order,form,quantity,note\nCaf\xe9,mug,24,\x80\n")
    assert told(reading) == [("orders", None, None, "old encoding")]
    assert reading.job is not None
    assert reading.job.orders.select("order", "note").row(0) == ("Café", "€")


def test_rows_bear_the_spreadsheets_numbers(tmp_path: Path) -> None:
    """Heading in row 1; rows 2 and 4 blank in two ways; row 3's quoted line break keeps it one row; then 5 and 6."""
    orders = 'order,form,quantity,note\n\nA1,mug,24,"tall\nand wide"\n,,,\nA2,mug,6,\nA3,mug,1,\n'
    assert job_of(tmp_path, orders=orders).orders["row"].to_list() == [3, 5, 6]


def test_blank_rows_above_the_headings_count(tmp_path: Path) -> None:
    orders = "\n;;;\norder;form;quantity;note\nA1;mug;24;\n"
    assert job_of(tmp_path, orders=orders).orders["row"].to_list() == [4]


def test_a_quotation_mark_that_closes_inside_a_cell_is_told_at_its_row(tmp_path: Path) -> None:
    orders = 'order,form,quantity,note\nA1,mug,24,\nA2,mug,6,"6" rim"\n'
    assert told(read(tmp_path, orders=orders)) == [("orders", 3, None, "open quotation mark")]


def test_nothing_is_said_of_names_in_a_sheet_that_cannot_be_read(tmp_path: Path) -> None:
    """No form is known to be unknown while forms cannot be read."""
    assert told(read(tmp_path, forms='form,clay,ball_g\n"mug,buff,380\n')) == [
        ("forms", 2, None, "open quotation mark")
    ]


def test_a_file_beyond_the_largest_is_not_read(tmp_path: Path) -> None:
    orders = SOUND["orders"].encode() + b"\n" * LARGEST
    assert told(read(tmp_path, orders=orders)) == [("orders", None, None, "sheet too large")]


@pytest.mark.parametrize("data", [b"", b"\n\n", b" , ,\n,,\n", b"\n;;;\n", b"\xef\xbb\xbf", b"\xff\xfe"])
def test_an_empty_file_is_an_empty_sheet(tmp_path: Path, data: bytes) -> None:
    assert told(read(tmp_path, forms=data)) == [("forms", None, None, "empty sheet")]
    assert read(tmp_path, closed_days=data).job is not None


@pytest.mark.parametrize("line", ["sep=;", "SEP=;", '"sep=;"'])
def test_a_line_that_names_the_delimiter_is_heeded_and_not_counted(tmp_path: Path, line: str) -> None:
    """Common practice, no source: spreadsheets read the line and do not show it."""
    job = job_of(tmp_path, orders=f"{line}\r\norder;form;quantity;note\r\nA1;mug;24;a, b\r\n")
    assert job.orders.select("order", "quantity", "note", "row").row(0) == ("A1", 24, "a, b", 2)


def test_sheets_of_one_folder_may_each_be_saved_another_way(tmp_path: Path) -> None:
    """Comma, semicolon and tab; UTF-8, UTF-16 of either order and Windows-1252; CRLF, LF and CR."""
    reading = read(
        tmp_path,
        orders=SOUND["orders"].replace("mug", "grüner Krug").replace(",", "\t").encode("utf-16"),
        forms=b"\xfe\xff" + SOUND["forms"].replace("mug", "grüner Krug").replace("\n", "\r").encode("utf-16-be"),
        clay_stock="clay;supplier;bag_kg;bags;bag_price\r\nbuff;Müller;12,5;4;13,80\r\n".encode("cp1252"),
    )
    assert told(reading) == [("clay_stock", None, None, "old encoding")]
    assert reading.job is not None
    assert reading.job.orders["form"].to_list() == reading.job.forms["form"].to_list() == ["grüner Krug"]
    assert reading.job.clay_stock.select("supplier", "bag_kg").row(0) == ("Müller", 12.5)


@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "ascii"])
def test_letters_that_are_the_same_in_either_encoding_are_no_doubt(tmp_path: Path, encoding: str) -> None:
    assert told(read(tmp_path, orders=SOUND["orders"].encode(encoding))) == []


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_delimiter_is_told_below_a_title(tmp_path: Path, delimiter: str) -> None:
    orders = "Spring, summer; all\n" + SOUND["orders"].replace(",", delimiter)
    reading = read(tmp_path, orders=orders)
    assert reading.job is not None, reading.problems.rows()
    assert reading.job.orders["quantity"].to_list() == [24]
