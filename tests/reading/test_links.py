"""Names that must stand in other sheets, and rules across rows and sheets."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.reading.read import read_job
from tests.reading.folders import SOUND, TODAY, job_of, read, told

STAGES = (
    "method,step,stage,bat,firing\nthrown,1,throw,on,\nthrown,2,turn,off,\nthrown,3,bisque,,bisque\ncast,1,cast,,\n"
)


def test_names_that_differ_in_capitals_and_spaces_are_one_spelled_as_at_home(tmp_path: Path) -> None:
    job = job_of(
        tmp_path,
        orders="order,form,glaze,quantity\nA1,tall  MUG,OAT,24\na1,Tall Mug,slate,6\n",
        forms="form,clay,ball_g,bat,method\nTall mug,BUFF  stoneware,380,Small,Thrown\n",
        clay_stock="clay,lot,bag_kg,bags,bag_price\nBuff stoneware,1,12.5,4,13.80\nbuff Stoneware,2,12.5,4,14.00\n",
        bats_and_boards="item,kind,count\nsmall,bat,20\n",
        glazes="glaze,material,percent\noat,feldspar,100\nslate,feldspar,100\n",
        in_progress="order,form,stage_done,pieces\nA1,TALL MUG,Throw,4\n",
        labour_hours="worker,day,hours,stages\nTam,Tue,4,THROW; ;Bisque\ntam,Wed,4,\n",
        stages=STAGES,
    )
    assert job.orders.select("order", "form", "glaze").rows() == [
        ("A1", "Tall mug", "oat"),
        ("A1", "Tall mug", "slate"),
    ]
    assert job.forms.select("method", "clay", "bat").row(0) == ("thrown", "Buff stoneware", "small")
    assert job.clay_stock["clay"].unique().to_list() == ["Buff stoneware"]
    assert job.in_progress.select("form", "stage_done").row(0) == ("Tall mug", "throw")
    assert job.labour_hours.select("worker", "stages").rows() == [("Tam", "throw; bisque"), ("Tam", None)]


def test_names_beyond_that_are_as_they_stand(tmp_path: Path) -> None:
    orders = "order,customer,form,quantity,note\n007,Ada,mug,24,Plain  Foot\n"
    assert job_of(tmp_path, orders=orders).orders.select("order", "note").row(0) == ("007", "Plain  Foot")


def test_a_link_into_a_sheet_that_has_a_default_is_checked_against_it(tmp_path: Path) -> None:
    minutes = "form,stage,minutes_each\nmug,throw,4\nmug,dip,4\n"
    fit = "firing,form,pieces\nglaze,mug,60\nraku,mug,9\n"
    assert told(read(tmp_path, form_minutes=minutes, kiln_fit=fit)) == [
        ("form_minutes", 3, "stage", "unknown name"),
        ("kiln_fit", 3, "firing", "unknown name"),
    ]


def test_a_link_into_a_sheet_that_was_not_given_is_not_checked(tmp_path: Path) -> None:
    """Bats without end; materials without a price."""
    forms = "form,clay,ball_g,bat\nmug,buff,380,small\n"
    glazes = "glaze,material,percent\noat,feldspar,100\n"
    assert job_of(tmp_path, forms=forms, glazes=glazes).forms["bat"].to_list() == ["small"]
    boards = "item,kind,count\nlong board,board,16\n"
    assert job_of(tmp_path, forms=forms, bats_and_boards=boards).forms["bat"].to_list() == ["small"]
    (tmp_path / "orders.csv").write_text(SOUND["orders"], encoding="utf-8")
    assert read_job(tmp_path, today=TODAY, needed=("orders",)).problems.is_empty()


def test_a_clay_may_be_a_blend(tmp_path: Path) -> None:
    blends = "clay,part,share_pct\nspeckled,buff,66.67\nspeckled,dark,33.33\n"
    stock = "clay,bag_kg,bags,bag_price\nbuff,12.5,4,13.80\ndark,10,1,15\n"
    forms = "form,clay,ball_g\nmug,speckled,380\n"
    assert job_of(tmp_path, forms=forms, clay_stock=stock, clay_blends=blends).clay_blends.height == 2


@pytest.mark.parametrize(("share", "wrong"), [("33.33", False), ("33.32", True), ("34", True)])
def test_thirds_are_a_hundred_to_a_hundredth(tmp_path: Path, share: str, wrong: bool) -> None:
    """3 x 33.33 = 99.99, within a hundredth; 33.33 + 33.33 + 33.32 = 99.98 and 33.33 + 33.33 + 34 = 100.66 are not."""
    stock = "clay,bag_kg,bags,bag_price\nbuff,12.5,4,13.80\ndark,10,1,15\nwhite,10,1,15\n"
    blends = f"clay,part,share_pct\nmix,buff,33.33\nmix,dark,33.33\nmix,white,{share}\n"
    expected = [("clay_blends", 2, "share_pct", "shares of a blend")] if wrong else []
    assert told(read(tmp_path, clay_stock=stock, clay_blends=blends)) == expected


def test_shares_are_not_added_while_one_is_not_understood(tmp_path: Path) -> None:
    blends = "clay,part,share_pct\nmix,buff,half\n"
    assert told(read(tmp_path, clay_blends=blends)) == [("clay_blends", 2, "share_pct", "not a number")]


def test_stages_a_person_does_may_be_named_by_their_firing(tmp_path: Path) -> None:
    labour = "worker,day,hours,stages\nTam,Tue,4,glaze firing;bisque\n"
    assert job_of(tmp_path, labour_hours=labour).labour_hours.height == 1


def test_a_firing_that_a_stage_names_must_be_there_if_firings_are_given(tmp_path: Path) -> None:
    firings = "firing,days\nglaze,2\n"
    assert told(read(tmp_path, stages=STAGES, firings=firings)) == [("stages", 4, "firing", "unknown name")]


def test_default_stages_bring_their_firings(tmp_path: Path) -> None:
    job = job_of(tmp_path, firings="firing,days\nglaze,3\n")
    assert job.firings.select("firing", "days", "row").rows() == [("glaze", 3, 2), ("bisque", 2, None)]


def test_bats_may_go_on_and_off_again(tmp_path: Path) -> None:
    stages = "method,step,stage,bat\nthrown,4,fix,off\nthrown,1,throw,on\nthrown,2,turn,off\nthrown,3,add,on\n"
    assert job_of(tmp_path, stages=stages).stages.height == 4


def test_a_bat_cell_that_is_not_understood_is_told_alone(tmp_path: Path) -> None:
    stages = "method,step,stage,bat\nthrown,1,throw,onn\nthrown,2,turn,off\n"
    assert told(read(tmp_path, stages=stages)) == [("stages", 2, "bat", "not a choice")]


def test_a_bat_on_twice_is_told(tmp_path: Path) -> None:
    stages = "method,step,stage,bat\nthrown,1,throw,on\nthrown,2,turn,on\nthrown,3,cut,off\n"
    reading = read(tmp_path, stages=stages)
    assert told(reading) == [("stages", 3, "bat", "bat on and off")]
    assert "on bats since `throw`" in reading.problems["problem"].item()


def test_pieces_in_progress_fit_a_line_by_order_and_glaze_or_any(tmp_path: Path) -> None:
    orders = "order,form,glaze,quantity\nA1,mug,oat,24\nA2,mug,,6\n"
    pieces = (
        "order,form,glaze,stage_done,pieces\n,mug,,throw,1\nA1,mug,oat,glaze,1\nA2,mug,oat,glaze,1\n,mug,fern,glaze,1\n"
    )
    assert told(read(tmp_path, orders=orders, in_progress=pieces)) == [
        ("in_progress", 4, "form", "work for no order"),
        ("in_progress", 5, "form", "work for no order"),
    ]


def test_many_unknown_names_are_all_told(tmp_path: Path) -> None:
    orders = "order,form,quantity\n" + "".join(f"A1,mug{number},1\n" for number in range(2000))
    reading = read(tmp_path, orders=orders)
    assert reading.problems.height == 2000
    assert reading.problems["kind"].unique().to_list() == ["unknown name"]
