"""From checked sheets to the job: every blank that has a default is filled, and told in ``assumptions``."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

import polars as pl

from pipeline.calendar import breadth, is_date, weekdays_named
from pipeline.job import Job
from pipeline.money import net_price
from pipeline.reading.assumptions import told
from pipeline.reading.defaults import KILN, METHOD, SIZE_PER_CUBE_ROOT, Sheets, plain_defaults, rows_of
from pipeline.reading.readings import Assumption
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.settings import BOUGHT, CHEAPEST, SOLD, Settings
from schemas.sheet import blank

Frames = dict[str, pl.DataFrame]


def to_job(
    sheets: Sheets,
    stand_in: Iterable[str],
    chosen: Iterable[str],
    settings: Settings,
    understood: Iterable[Assumption] = (),
) -> Job:
    """The job of sheets in which nothing is wrong.

    ``sheets`` are typed and hold what stands in for those in ``stand_in``; any other that is not there is empty.
    ``chosen`` names the settings that were given; ``understood`` tells how cells were read.
    """
    whole = {name: sheets.get(name, rows_of(name, [])) for name in SHEETS_IN if name != "settings"}
    whole["labour_hours"] = _dates_as_weekdays(whole["labour_hours"])
    assumptions = [*understood, *told(whole, stand_in, chosen, settings)]
    filled = {name: _plain_defaults(name, frame) for name, frame in whole.items()}
    filled |= {
        "forms": _forms(filled["forms"]),
        "labour_hours": filled["labour_hours"].with_columns(pl.col("own_time").fill_null(False)),
        "kilns": _kilns(filled["kilns"]),
        "closed_days": filled["closed_days"].with_columns(pl.col("to").fill_null(pl.col("from"))),
        "accounts": filled["accounts"].with_columns(pl.col("name").fill_null(pl.col("what"))),
        "in_progress": filled["in_progress"].with_columns(pl.col("date").fill_null(settings.start - timedelta(days=1))),
    }
    filled |= _without_tax(filled, settings)
    kilns = filled["kilns"].select("kiln")
    filled["firings"] = in_every_kiln(filled["firings"], kilns, ["firing"])
    filled["kiln_fit"] = in_every_kiln(filled["kiln_fit"], kilns, ["firing", "form"])
    schema = blank(SHEETS_OUT["assumptions"]).schema
    job = Job(**filled, settings=settings, readings=pl.DataFrame(assumptions, schema=schema, orient="row"))
    if settings.loss_cover != CHEAPEST:
        return job
    # What spares cost rests on nearly every room of the plan, none of which reading needs otherwise.
    from pipeline.cheapest import with_covers

    return with_covers(job)


PRICES = (
    (SOLD, "orders", "unit_price"),
    (SOLD, "forms", "second_price"),
    (BOUGHT, "clay_stock", "bag_price"),
    (BOUGHT, "clay_prices", "pack_price"),
    (BOUGHT, "clay_prices", "carriage"),
    (BOUGHT, "materials", "pack_price"),
    (BOUGHT, "forms", "other_cost"),
)
"""The prices that ``prices_with_tax`` is about. A deposit is money paid, not a price."""


def _without_tax(filled: Frames, settings: Settings) -> Frames:
    """The sheets whose prices hold the tax, with it taken out of them."""
    found: Frames = {}
    for kind, sheet, column in PRICES:
        if settings.holds_tax(kind):
            frame = found.get(sheet, filled[sheet])
            prices = [None if price is None else net_price(price, settings) for price in frame[column]]
            found[sheet] = frame.with_columns(pl.Series(column, prices, dtype=frame.schema[column]))
    return found


def _plain_defaults(sheet: str, frame: pl.DataFrame) -> pl.DataFrame:
    """Blanks filled where the schema's default is a value, not words such as ``no limit``."""
    values = plain_defaults()[sheet].items()
    filled = [
        pl.col(name).fill_null(pl.lit(value, frame.schema[name])) for name, value in values if frame[name].has_nulls()
    ]
    return frame.with_columns(filled) if filled else frame


def _dates_as_weekdays(labour_hours: pl.DataFrame) -> pl.DataFrame:
    """What a worker's date leaves blank (rate, whose time, stages) is as on that worker's weekday: a shorter Wednesday
    is no raise and no new trade.
    """
    rows = labour_hours.rows(named=True)
    usual: dict[tuple[str, int], dict[str, object]] = {}
    for row in sorted(rows, key=lambda row: -breadth(row["day"])):
        if not is_date(row["day"]):
            usual |= {(row["worker"], weekday): row for weekday in weekdays_named(row["day"])}
    for row in rows:
        if is_date(row["day"]):
            same = usual.get((row["worker"], date.fromisoformat(row["day"]).weekday()), {})
            row |= {name: same.get(name) for name in ("hourly_rate", "own_time", "stages") if row[name] is None}
    return pl.DataFrame(rows, schema=labour_hours.schema)


def _forms(forms: pl.DataFrame) -> pl.DataFrame:
    """Method, and the fired size of a form that does not give it."""
    size = (pl.col("ball_g").cbrt() * SIZE_PER_CUBE_ROOT).round(0)
    return forms.with_columns(
        pl.col("method").fill_null(METHOD), pl.col("height_mm").fill_null(size), pl.col("width_mm").fill_null(size)
    )


def _kilns(kilns: pl.DataFrame) -> pl.DataFrame:
    """The sizes of a kiln that does not give them; a shelf is as deep as wide."""
    sizes = ("shelf_width_mm", "shelves", "inside_height_mm")
    return kilns.with_columns(
        pl.col(name).fill_null(pl.lit(KILN[name], kilns.schema[name])) for name in sizes
    ).with_columns(pl.col("shelf_depth_mm").fill_null(pl.col("shelf_width_mm")))


def in_every_kiln(rows: pl.DataFrame, kilns: pl.DataFrame, key: list[str]) -> pl.DataFrame:
    """A row for each kiln in place of one whose kiln is blank, but for kilns that have a row of their own."""
    own = rows.drop_nulls("kiln")
    every = rows.filter(pl.col("kiln").is_null()).drop("kiln").join(kilns, how="cross", maintain_order="left_right")
    every = every.join(own, on=[*key, "kiln"], how="anti", maintain_order="left").select(rows.columns)
    return pl.concat([own, every])
