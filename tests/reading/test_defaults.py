"""What a job is filled with where sheets and cells are left out, and that it is said."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from math import prod
from pathlib import Path

import polars as pl
import pytest

from schemas import SHEETS_IN
from schemas.sheet import types
from tests.reading.folders import TODAY, assumed, job_of, read

MAY_BE_BLANK = {
    "orders": {"customer", "glaze", "unit_price", "priority", "note"},
    "forms": {"capacity_ml", "bat", "per_board", "second_price"},
    "clay_stock": {"supplier", "lot", "received", "shrinkage_pct"},
    "labour_hours": {"hourly_rate", "stages"},
    "stages": {"wait_days_max", "bat", "firing", "most_per_day"},
    "form_minutes": {
        "minutes_each", "setup_minutes", "loss_pct", "most_per_day", "wait_days", "wait_days_max",
    },
    "closed_days": {"note"},
    "in_progress": {"order", "glaze", "kiln"},
    "work_log": {"date", "order", "glaze"},
    "materials": {"supplier", "lot", "received", "pack_price"},
    "glaze_buckets": {"batch_g"},
    "form_materials": {"stage"},
    "opening_balances": {"lot", "order", "glaze", "stage", "unit", "value"},
}  # fmt: skip
"""Columns of a job whose blanks mean "any", "none" or "no limit"."""

BARE = {
    "labour_hours": "worker,day,hours\nAda,Mon-Fri,5\n",
    "stages": "method,step,stage,firing\nthrown,1,throw,\nthrown,2,fire,wood\n",
    "form_minutes": "form,stage\nmug,throw\n",
    "drying_months": "month,wait_factor\nNovember,1.5\n",
    "kilns": "kiln,shelf_shape\nfront,Rectangular\nback,\n",
    "firings": "firing,kiln\nwood,\nwood,back\n",
    "kiln_fit": "firing,kiln,form,pieces\nwood,front,mug,50\nwood,,mug,40\n",
    "bats_and_boards": "item,kind,count\nsmall,bat,20\n",
    "closed_days": "from\n2027-05-03\n",
    "in_progress": "form,stage_done,pieces\nmug,throw,4\n",
    "work_log": "form,stage,pieces_in,pieces_out\nmug,throw,12,11\n",
    "clay_blends": "clay,part,share_pct\nmix,buff,100\n",
    "clay_prices": "clay,supplier,pack_kg,pack_price\nbuff,North Yard,12.5,13.80\n",
    "glazes": "glaze,material,percent\noat,feldspar,100\n",
    "materials": "material\nfeldspar\n",
    "glaze_buckets": "glaze\noat\n",
    "form_materials": "form,material,each_g\nmug,feldspar,5\n",
    "accounts": "what,code\nwages,5110\n",
    "opening_balances": "what,item\nraw materials,buff\n",
    "settings": "name,value\nstart,2027-04-01\n",
}
"""Every optional sheet, filled in as little as may be."""


def test_every_blank_that_has_a_default_is_filled(tmp_path: Path) -> None:
    job = job_of(tmp_path, **BARE)
    for name, model in SHEETS_IN.items():
        if name == "settings":
            continue
        frame: pl.DataFrame = getattr(job, name)
        assert not frame.is_empty()
        assert frame.schema == types(model) | {"row": pl.Int64}
        blank = {column for column in frame.columns if frame[column].has_nulls()}
        assert blank == MAY_BE_BLANK.get(name, set()), name


def test_sheets_that_are_not_given_are_empty_or_their_default(tmp_path: Path) -> None:
    job = job_of(tmp_path)
    filled = {name for name in SHEETS_IN if name != "settings" and not getattr(job, name).is_empty()}
    assert filled == {"orders", "forms", "clay_stock", "stages", "kilns", "firings"}
    assert job.stages["row"].null_count() == job.stages.height


def test_the_default_way_of_a_thrown_form(tmp_path: Path) -> None:
    """Common practice, no source: about one piece in ten is lost on the way. A hundred begun leave 90.

    0.98 x 0.99 x 0.99 x 0.98 x 0.99 x 0.97 = 0.904.
    """
    stages = job_of(tmp_path).stages
    assert stages["stage"].to_list() == [
        "wedge", "throw", "turn", "finish", "bisque", "glaze", "glaze firing", "check",
    ]  # fmt: skip
    assert prod(1 - loss / 100 for loss in stages["loss_pct"]) == pytest.approx(0.904, abs=0.0005)
    assert stages.filter(pl.col("bat").is_not_null()).select("stage", "bat").rows() == [
        ("throw", "on"),
        ("turn", "off"),
    ]
    assert stages.drop_nulls("firing").select("stage", "firing").rows() == [
        ("bisque", "bisque"),
        ("glaze firing", "glaze"),
    ]


def test_defaults_are_told(tmp_path: Path) -> None:
    said = assumed(job_of(tmp_path))
    assert said["start"] == "2027-03-01"
    assert said["spare_clay_pct"] == "5 %"
    assert said["stage 2: throw"] == "3 min each, 10 min to set up, 2 % lost, next stage 1 to 2 days later"
    assert said["kiln: kiln"] == "5 round shelves of 500 mm, 650 mm high inside"
    assert said["firing: bisque"] == "2 days, pieces 3 mm apart, in every kiln, at no cost"
    assert said["forms.method: mug"] == "thrown"
    assert "decimal_mark" not in said


def test_what_is_given_is_not_told(tmp_path: Path) -> None:
    said = assumed(job_of(tmp_path, **BARE))
    assert not [what for what in said if what.startswith(("start", "stage 1", "kiln:", "firing:"))]
    assert said["kilns.shelves: front, back"] == "5"
    assert said["kilns.shelf_depth_mm: front"] == "as the width"


def test_many_forms_are_told_in_one_row(tmp_path: Path) -> None:
    forms = "form,clay,ball_g\nmug,buff,380\n" + "".join(f"form {number},buff,400\n" for number in range(1, 9))
    said = assumed(job_of(tmp_path, forms=forms))
    assert said["forms.method: mug, form 1, form 2, form 3, form 4 and 4 more"] == "thrown"


def test_the_size_of_a_form_is_guessed_from_its_ball(tmp_path: Path) -> None:
    """The cube root of 1000 is 10, and 13 x 10 = 130 mm. A height that is given stays."""
    forms = "form,clay,ball_g,height_mm\nmug,buff,1000,\nbowl,buff,1000,70\n"
    sizes = job_of(tmp_path, forms=forms).forms.select("height_mm", "width_mm").rows()
    assert sizes == [(130.0, 130.0), (70.0, 130.0)]


def test_a_shelf_without_depth_is_as_deep_as_wide(tmp_path: Path) -> None:
    kilns = "kiln,shelf_shape,shelf_width_mm,shelf_depth_mm\na,rectangular,600,\nb,rectangular,600,450\nc,,,\n"
    assert job_of(tmp_path, kilns=kilns).kilns.select("shelf_shape", "shelf_width_mm", "shelf_depth_mm").rows() == [
        ("rectangular", 600.0, 600.0),
        ("rectangular", 600.0, 450.0),
        ("round", 500.0, 500.0),
    ]


def test_a_firing_without_a_kiln_is_in_every_kiln_that_has_none_of_its_own(tmp_path: Path) -> None:
    firings = "firing,kiln,days\nwood,back,4\nwood,,3\n"
    job = job_of(tmp_path, kilns=BARE["kilns"], stages=BARE["stages"], firings=firings)
    assert job.firings.select("firing", "kiln", "days", "row").rows() == [
        ("wood", "back", 4, 2),
        ("wood", "front", 3, 3),
    ]


def test_a_count_without_a_kiln_is_for_every_kiln_that_has_none_of_its_own(tmp_path: Path) -> None:
    job = job_of(tmp_path, **BARE)
    assert job.kiln_fit.select("kiln", "pieces").rows() == [("front", 50), ("back", 40)]


def test_dates_that_are_left_out(tmp_path: Path) -> None:
    """Work in progress was done the day before the plan, 1 April; closed days without an end are one day."""
    job = job_of(tmp_path, **BARE)
    assert job.in_progress["date"].to_list() == [date(2027, 3, 31)]
    assert job.closed_days["to"].to_list() == [date(2027, 5, 3)]


def test_a_date_is_worked_as_that_weekday_where_its_row_leaves_things_blank(tmp_path: Path) -> None:
    """10 March 2027 is a Wednesday: fewer hours at the same rate, on the same stages. Ada has no Saturday to go by."""
    hours = (
        "worker,day,hours,hourly_rate,own_time,stages\n"
        "Tam,Mon-Fri,4,12.50,yes,throw\nTam,Wed,4,14.50,no,fire\nTam,2027-03-10,2,,,\nAda,2027-03-13,3,,,\n"
    )
    job = read(tmp_path, **BARE | {"labour_hours": hours}).job  # with a doubt: Wednesday stands in two rows
    assert job is not None
    shorter, saturday = job.labour_hours.rows(named=True)[2:]
    assert (shorter["hours"], shorter["hourly_rate"], shorter["own_time"], shorter["stages"]) == (
        2.0, Decimal("14.50"), False, "fire"
    )  # fmt: skip
    assert (saturday["hourly_rate"], saturday["own_time"], saturday["stages"]) == (None, False, None)


def test_settings_are_typed_and_blank_ones_left_at_their_default(tmp_path: Path) -> None:
    rows = ["Loss cover,90 %", "SPARE CLAY PCT,7.5%", "energy-price,0.2855", "currency,jpy", "start,", "reclaim_pct,"]
    settings = job_of(tmp_path, settings="Name,Value\n" + "".join(f"{row}\n" for row in rows)).settings
    assert settings.loss_cover == 0.9
    assert settings.spare_clay_pct == 7.5
    assert settings.energy_price == Decimal("0.2855")
    assert settings.minor_digits == 0
    assert settings.start == TODAY
    assert settings.reclaim_pct == 0.0


def test_expected_is_a_loss_cover(tmp_path: Path) -> None:
    assert job_of(tmp_path, settings="name,value\nloss_cover,Expected\n").settings.loss_cover is None
    assert job_of(tmp_path, settings="name,value\nloss_cover,0.95\n").settings.loss_cover == 0.95
