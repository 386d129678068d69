"""What is hardly meant is told as a doubt, and planned all the same."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from pipeline.calendar import HUNDREDTHS, calendar, weekdays_named
from pipeline.checking.working_days import WorkingDays
from pipeline.reading.ranges import LIKELY
from tests.reading.folders import TODAY, read, told

STAGES = (
    "method,step,stage,minutes_each,loss_pct,wait_days,wait_days_max\nthrown,1,throw,{},{},{},{}\nthrown,2,turn,,,,\n"
)


def doubts(folder: Path, **sheets: str) -> list[tuple[str, int | None, str | None, str]]:
    """What is told of sheets that can be planned."""
    reading = read(folder, **sheets)
    assert reading.job is not None
    assert set(reading.problems["severity"]) <= {"doubt"}
    return told(reading)


@pytest.mark.parametrize(
    ("column", "inside", "outside"),
    [("ball_g", "20", "19.9"), ("ball_g", "15000", "15000.5"), ("width_mm", "20", "19"), ("width_mm", "700", "701")],
)
def test_sizes_of_a_form(tmp_path: Path, column: str, inside: str, outside: str) -> None:
    """Common practice, no source: see the table for the bounds."""
    for value, expected in ((inside, []), (outside, [("forms", 2, column, "unlikely number")])):
        row = {"form": "mug", "clay": "buff", "ball_g": "380"} | {column: value}
        assert doubts(tmp_path, forms=f"{','.join(row)}\n{','.join(row.values())}\n") == expected


def test_every_bound_is_a_doubt_at_the_most_and_no_rule_of_the_sheet() -> None:
    assert all((likely.low is None) == (likely.below == "") for likely in LIKELY)
    assert all((likely.high is None) == (likely.above == "") for likely in LIKELY)


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        (("240", "0.5", "60", ""), []),
        (("241", "", "", ""), [("stages", 2, "minutes_each", "unlikely number")]),
        (("", "", "61", ""), [("stages", 2, "wait_days", "unlikely number")]),
        (("", "0.02", "", ""), [("stages", 2, "loss_pct", "share instead of per cent")]),
    ],
)
def test_stages(tmp_path: Path, cells: tuple[str, ...], expected: list[tuple[str, int, str, str]]) -> None:
    assert doubts(tmp_path, stages=STAGES.format(*cells)) == expected


@pytest.mark.parametrize(
    ("share", "told_of"), [("0.12", True), ("0.999", True), ("1", False), ("0", False), ("12", False)]
)
def test_a_shrinkage_of_a_share(tmp_path: Path, share: str, told_of: bool) -> None:
    stock = f"clay,bag_kg,bags,bag_price,shrinkage_pct\nbuff,12.5,4,13.80,{share}\n"
    expected = [("clay_stock", 2, "shrinkage_pct", "share instead of per cent")] if told_of else []
    assert doubts(tmp_path, clay_stock=stock, settings='name,value\ndecimal_mark,"."\n') == expected


def test_a_share_that_was_typed_as_a_percentage_is_one_all_the_same(tmp_path: Path) -> None:
    """0.2 % is so little tax that 20 % may be meant."""
    expected = [("settings", 2, "value", "share instead of per cent")]
    assert doubts(tmp_path, settings="name,value\ntax_pct,0.2 %\n") == expected


@pytest.mark.parametrize(("day", "hours", "told_of"), [("Mon-Fri", "20", False), ("Mon-Sun", "14.5", True)])
def test_a_week_of_more_than_a_hundred_hours(tmp_path: Path, day: str, hours: str, told_of: bool) -> None:
    """5 x 20 = 100 hours; 7 x 14.5 = 101.5 hours. A date adds to no week."""
    sheet = f"worker,day,hours\nAda,{day},{hours}\nAda,2027-03-10,24\n"
    assert doubts(tmp_path, labour_hours=sheet) == ([("labour_hours", 2, "hours", "long week")] if told_of else [])


@pytest.mark.parametrize(
    ("due", "kind"),
    [
        ("2027-03-01", None),
        ("2030-03-01", None),
        ("2030-03-02", "due years away"),
        ("2206-04-30", "due years away"),
        ("2027-02-28", "due before the start"),
    ],
)
def test_due_dates(tmp_path: Path, due: str, kind: str | None) -> None:
    """The plan begins on 2027-03-01; three years later it is 2030-03-01."""
    expected = [("orders", 2, "due", kind)] if kind else []
    assert doubts(tmp_path, orders=f"order,form,quantity,due\nA1,mug,24,{due}\n") == expected


@pytest.mark.parametrize(("capacity", "told_of"), [("477", False), ("478", True)])
def test_what_a_straight_mug_cannot_hold(tmp_path: Path, capacity: str, told_of: bool) -> None:
    """A cylinder 80 mm wide and 95 mm high: 3.14159 / 4 x 80 x 80 x 95 = 477 522 cubic mm = 477.5 ml."""
    forms = f"form,clay,ball_g,capacity_ml,width_mm,height_mm\nmug,buff,380,{capacity},80,95\n"
    expected = [("forms", 2, "capacity_ml", "capacity above the size")] if told_of else []
    assert doubts(tmp_path, forms=forms) == expected


def test_published_sizes_and_capacities_are_no_doubt(tmp_path: Path) -> None:
    """Sizes and capacities freshly thrown of one teaching studio's chart, shrunk by 11.5 %: an 8 oz mug of 5 x 3 in, a
    2 quart casserole of 4.5 x 8.5 in, a 4 pint pitcher of 14 x 6 in. In mm: 127 x 76 x 0.885, and so on.
    Source: marianwilliamspottery.com, 10 March 2014."""
    forms = (
        "form,clay,ball_g,height_mm,width_mm,capacity_ml\nmug,buff,14 oz,112.4,67.4,8 fl oz\n"
        "casserole,buff,64 oz,101.2,191.1,64 fl oz\npitcher,buff,92 oz,314.7,134.9,64 fl oz\n"
    )
    assert doubts(tmp_path, forms=forms) == []


def test_waits_of_a_form_beside_those_of_its_stage(tmp_path: Path) -> None:
    stages = STAGES.format("", "", 1, 2)
    minutes = "form,stage,wait_days,wait_days_max\nmug,throw,{},{}\n"
    crossed = "waits of a form and its stage crossed"
    assert doubts(tmp_path, stages=stages, form_minutes=minutes.format(2, "")) == []
    assert doubts(tmp_path, stages=stages, form_minutes=minutes.format(3, 4)) == []
    assert doubts(tmp_path, stages=stages, form_minutes=minutes.format(3, "")) == [
        ("form_minutes", 2, "wait_days", crossed)
    ]
    assert doubts(tmp_path, stages=stages, form_minutes=minutes.format("", 0)) == [
        ("form_minutes", 2, "wait_days_max", crossed)
    ]


@pytest.mark.parametrize(("day", "told_of"), [("2027-02-28", False), ("2027-03-01", True)])
def test_work_done_on_the_first_day_or_later(tmp_path: Path, day: str, told_of: bool) -> None:
    sheet = f"form,stage_done,pieces,date\nmug,throw,4,{day}\n"
    expected = [("in_progress", 2, "date", "done after the start")] if told_of else []
    assert doubts(tmp_path, in_progress=sheet) == expected


def test_a_firing_that_is_not_over_comes_out_later(tmp_path: Path) -> None:
    stages = "method,step,stage,firing\nthrown,1,throw,\nthrown,2,bisque,bisque\n"
    sheet = "form,stage_done,pieces,date\nmug,bisque,4,2027-03-03\nmug,throw,4,2027-03-03\n"
    told = doubts(tmp_path, stages=stages, in_progress=sheet)
    assert told == [("in_progress", 3, "date", "done after the start")]


def test_a_weekday_of_two_rows_is_worked_once_a_week(tmp_path: Path) -> None:
    """Mon-Fri 18 h and Wed 12 h are 4 x 18 + 12 = 84 h, not 102 h: the row for Wednesday holds."""
    sheet = "worker,day,hours\nAda,Mon-Fri,18\nAda,Wed,12\n"
    assert doubts(tmp_path, labour_hours=sheet) == [("labour_hours", 3, "day", "weekday twice")]


def test_a_row_for_fewer_days_holds_in_the_hours_of_a_week_too(tmp_path: Path) -> None:
    """Thursday and Friday 18 h, the four days of the first row 12 h: 36 + 48 = 84 h, not 6 x 18 = 108 h."""
    sheet = 'worker,day,hours\nAda,"Mon-Wed, Sat",12\nAda,Mon-Sat,18\n'
    assert doubts(tmp_path, labour_hours=sheet) == [("labour_hours", 3, "day", "weekday twice")]


@pytest.mark.parametrize(
    ("first", "second", "holds"),
    [
        ("Mon-Fri", "Wed", 3),
        ("Wed", "Mon-Fri", 2),
        ("Mon-Wed", "Wed-Fri", 3),
        ("Sat-Mon", "Sun", 3),
        ("Tue, Thu", "Mon-Fri", 2),
    ],
)
def test_the_row_that_is_said_to_hold_is_the_one_that_is_planned_with(
    tmp_path: Path, first: str, second: str, holds: int
) -> None:
    """Row 2 gives 2 hours and row 3 gives 3; a row holds by as many hours as its number."""
    reading = read(tmp_path, labour_hours=f'worker,day,hours\nAda,"{first}",2\nAda,"{second}",3\n')
    assert reading.job is not None
    assert reading.problems["problem"].item().endswith(f"only row {holds} counts")
    worker = calendar(reading.job.labour_hours, reading.job.closed_days, TODAY).workers[0]
    shared = set(weekdays_named(first)) & set(weekdays_named(second))
    assert {worker.by_weekday[day].time for day in shared} == {holds * 60 * HUNDREDTHS}
    # The checker of schedules reads the sheet by itself.
    checked = WorkingDays(reading.job.labour_hours, reading.job.closed_days)
    week = [TODAY + timedelta(days=day) for day in range(7)]
    assert {checked.shift("Ada", day).hours for day in week if day.weekday() in shared} == {holds}
