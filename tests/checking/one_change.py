"""Changes to the small plan that break one rule each."""

from __future__ import annotations

from collections.abc import Callable

from tests.checking.small_plan import CUP, PLATE, Plan, at, march, work

CHANGES: list[tuple[str, Callable[[Plan], object]]] = []
"""The rule that is broken, and the change that breaks it."""


def breaks(rule: str) -> Callable[[Callable[[Plan], object]], Callable[[Plan], object]]:
    """Mark a change to the small plan, and the one rule that it breaks."""

    def marked(change: Callable[[Plan], object]) -> Callable[[Plan], object]:
        CHANGES.append((rule, change))
        return change

    return marked


@breaks("5a")
def one_cup_too_few_is_thrown(plan: Plan) -> None:
    # `pieces` asks for 9 cups, 8 are thrown
    plan.pieces[0]["pieces_in"] = 9


@breaks("5a")
def cups_already_thrown_are_thrown_again(plan: Plan) -> None:
    # 8 go through throwing in all, 2 of which have been thrown before: 6 are to be thrown, and 8 are
    plan.pieces[0]["already_done"] = 2


@breaks("5a")
def the_plates_are_glazed_though_pieces_does_not_ask(plan: Plan) -> None:
    plan.pieces = [row for row in plan.pieces if (row["form"], row["stage"]) != ("plate", "dip")]


@breaks("5a")
def a_line_is_forgotten(plan: Plan) -> None:
    plan.pieces.append(at("throw", CUP | {"glaze": None}, 1))


@breaks("5a")
def a_stage_that_the_form_has_not(plan: Plan) -> None:
    plan.schedule.append(work(march(15), "polish", "B1", CUP, 7, 0.0))


@breaks("5a")
def fewer_come_out_of_the_kiln_than_went_in(plan: Plan) -> None:
    # 7 cups are loaded on Mon 8 and 6 unloaded on Wed 10
    plan.row("bisque", "B1", "unload")["pieces"] = 6


@breaks("5b")
def plates_turned_too_late(plan: Plan) -> None:
    # thrown on Mon 1 they are turned on Thu 4, three days on, and two are the most
    plan.move(plan.row("turn", "B2"), march(4))


@breaks("5b")
def cups_turned_too_early(plan: Plan) -> None:
    # two days at least between throwing on Mon 1 and turning: the cups of Tue 2 are a day early, the plates are not
    plan.sheets["stages"][0]["wait_days"] = 2


@breaks("5b")
def plates_need_a_day_more_by_form_minutes(plan: Plan) -> None:
    # plates are to wait six days after turning on Wed 3, until Tue 9, and are loaded on Mon 8
    plan.sheets["form_minutes"] = [{"form": "plate", "stage": "turn", "wait_days": 6}]


@breaks("5b")
def a_slow_month(plan: Plan) -> None:
    # 3 days of drying x 1.9 = 5.7, so 6: the plates turned on Wed 3 are dry on Tue 9, and are loaded on Mon 8.
    # 1 day after throwing x 1.9 = 1.9, so 2: the cups turned on Tue 2 are a day early as well.
    plan.sheets["drying_months"] = [{"month": 3, "wait_factor": 1.9}]


@breaks("5b")
def glazed_before_the_kiln_is_unloaded(plan: Plan) -> None:
    # L1 is unloaded on Wed 10, and its cups are glazed on Tue 9
    plan.move(plan.row("dip", "B1"), march(9))


@breaks("5b")
def a_day_to_cool_after_the_firing(plan: Plan) -> None:
    # a day after unloading on Wed 10 is Thu 11, and the pieces are glazed on Wed 10
    plan.sheets["stages"][2]["wait_days"] = 1


@breaks("5b")
def glazed_pieces_must_be_fired_the_same_day(plan: Plan) -> None:
    # glazed on Wed 10, loaded on Thu 11
    plan.sheets["stages"][3]["wait_days_max"] = 0


@breaks("5c")
def ada_has_too_few_minutes(plan: Plan) -> None:
    # Mon 1: 30 + 25 = 55 minutes; 0.9 hours on that date are 54
    plan.sheets["labour_hours"].append({"worker": "Ada", "day": "2027-03-01", "hours": 0.9})


@breaks("5c")
def ben_turns_though_he_only_glazes(plan: Plan) -> None:
    plan.row("turn", "B1")["worker"] = "Ben"


@breaks("5c")
def nobody_turns(plan: Plan) -> None:
    plan.row("turn", "B1")["worker"] = None


@breaks("5c")
def somebody_unknown_turns(plan: Plan) -> None:
    plan.row("turn", "B1")["worker"] = "Cleo"


@breaks("5d")
def a_bat_too_few(plan: Plan) -> None:
    # 8 cups stand on bats in the night of Mon 1, and there are 7
    plan.sheets["bats_and_boards"][0]["count"] = 7


@breaks("5d")
def no_bat_of_that_size(plan: Plan) -> None:
    # the sheet tells of small bats alone, so there is none of the plates' size
    del plan.sheets["bats_and_boards"][1]


@breaks("5e")
def one_cup_more_than_the_kiln_holds(plan: Plan) -> None:
    # L1: 7/14 + 5/10 = 1; with a count of 13 cups 7/13 + 5/10 = 27/26
    plan.counts["bisque", "kiln", "cup"] = 13
    plan.kiln_loads[0]["share_pct"] = 50.0


@breaks("5e")
def a_form_that_does_not_go_in(plan: Plan) -> None:
    del plan.counts["glaze", "kiln", "plate"]


@breaks("5e")
def the_share_is_not_that_of_the_pieces(plan: Plan) -> None:
    # 7 of 14 cups are 50 %, not 40
    plan.kiln_loads[0]["share_pct"] = 40.0


@breaks("5e")
def shares_above_a_hundred(plan: Plan) -> None:
    # each within its rounding of 50 %, together 100.06
    plan.kiln_loads[0]["share_pct"] = plan.kiln_loads[1]["share_pct"] = 50.03


@breaks("5e")
def unloaded_a_day_late(plan: Plan) -> None:
    # loaded on Mon 8, two days: Wed 10. Here it is unloaded on Thu 11, when its pieces are glazed and loaded again.
    for row in plan.kiln_loads[:2]:
        row["unload_on"] = march(11)
    for batch in ("B1", "B2"):
        plan.move(plan.row("bisque", batch, "unload"), march(11))
        plan.move(plan.row("dip", batch), march(11))


@breaks("5e")
def loaded_on_a_day_without_work(plan: Plan) -> None:
    # Thu 11 is closed: L2 is loaded then, and nothing else is done
    plan.sheets["closed_days"] = [{"from": march(11)}]


@breaks("5e")
def loaded_while_the_kiln_is_taken(plan: Plan) -> None:
    # a bisque of three days, and nothing is glazed: the cups are in L1 from Mon 8 to Thu 11; the plates go into L2 on
    # Wed 10, for three days to Sat 13, so until Mon 15
    plan.sheets["firings"][0]["days"] = 3
    plan.sheets["stages"] = plan.sheets["stages"][:3]
    plan.pieces = [row for row in plan.pieces if row["stage"] in ("throw", "turn", "bisque")]
    plan.schedule = [
        row
        for row in plan.schedule
        if row["stage"] in ("throw", "turn") or (row["stage"], row["batch"]) == ("bisque", "B1")
    ]
    plan.row("bisque", "B1", "load")["minutes"] = 12.0
    plan.row("bisque", "B1", "unload")["minutes"] = 6.0
    plan.move(plan.row("bisque", "B1", "unload"), march(11))
    for task, date, minutes in (("load", march(10), 12.0), ("unload", march(15), 6.0)):
        row = work(date, "bisque", "B2", PLATE, 5, minutes, task=task, kiln="kiln", load="L2")
        plan.schedule.append(row)
    plan.in_order()
    del plan.kiln_loads[1:3]
    plan.kiln_loads[0].update(unload_on=march(11))
    plan.kiln_loads[1].update(firing="bisque", load_on=march(10), unload_on=march(15))


@breaks("5e")
def a_firing_that_the_kiln_has_not(plan: Plan) -> None:
    plan.sheets["kilns"] = [{"kiln": "kiln"}, {"kiln": "old kiln"}]
    plan.sheets["firings"][1]["kiln"] = "old kiln"
    for row in plan.schedule:
        if row.get("load") == "L2":  # no firing, no minutes of loading it
            row["minutes"] = 0.0


@breaks("5e")
def the_wrong_firing_for_the_stage(plan: Plan) -> None:
    # bisque ware in a load that is fired as glaze ware
    plan.kiln_loads[0]["firing"] = plan.kiln_loads[1]["firing"] = "glaze"


@breaks("5e")
def two_firings_in_one_load(plan: Plan) -> None:
    plan.sheets["kilns"] = [{"kiln": "kiln"}, {"kiln": "old kiln"}]
    plan.counts["bisque", "old kiln", "plate"] = 10
    plan.kiln_loads[1]["kiln"] = plan.row("bisque", "B2", "load")["kiln"] = "old kiln"
    plan.row("bisque", "B2", "unload")["kiln"] = "old kiln"


@breaks("5e")
def kiln_loads_forgets_a_cup(plan: Plan) -> None:
    # 6 of 14 cups are 42.86 %; the schedule loads 7
    plan.kiln_loads[0].update(pieces=6, share_pct=42.86)


@breaks("5e")
def the_schedule_unloads_on_another_day(plan: Plan) -> None:
    # kiln_loads says Mon 15
    plan.move(plan.row("glaze fire", "B1", "unload"), march(16))


@breaks("5f")
def turning_on_a_closed_day(plan: Plan) -> None:
    # the plates are turned on Wed 3
    plan.sheets["closed_days"] = [{"from": march(3), "note": "market"}]


@breaks("5f")
def throwing_before_the_plan_begins(plan: Plan) -> None:
    plan.settings["start"] = march(2)


@breaks("5g")
def more_cups_turned_than_may_be(plan: Plan) -> None:
    # 7 cups are turned on Tue 2 and 5 plates on Wed 3: 6 a day are passed by the cups alone
    plan.sheets["stages"][1]["most_per_day"] = 6


@breaks("5g")
def both_forms_together_are_too_many(plan: Plan) -> None:
    # 8 cups + 5 plates = 13 thrown on Mon 1
    plan.sheets["stages"][0]["most_per_day"] = 12


@breaks("5g")
def too_many_of_one_form(plan: Plan) -> None:
    plan.sheets["form_minutes"] = [{"form": "plate", "stage": "dip", "most_per_day": 4}]


@breaks("row")
def a_minute_too_many(plan: Plan) -> None:
    # 7 x 3 + 5 = 26
    plan.row("turn", "B1")["minutes"] = 27.0


@breaks("row")
def the_set_up_left_out(plan: Plan) -> None:
    # 7 x 3 = 21, and 5 for setting up
    plan.row("turn", "B1")["minutes"] = 21.0


@breaks("row")
def spare_clay_is_wedged_too(plan: Plan) -> None:
    # with 10 % spare clay a cup takes 2 + 1 x 0.55 = 2.55 minutes: 8 x 2.55 + 10 = 30.4
    plan.settings["spare_clay_pct"] = 10.0


@breaks("row")
def loading_time_left_out(plan: Plan) -> None:
    plan.row("bisque", "B1", "load")["minutes"] = 0.0


@breaks("row")
def loading_time_given_to_the_other_load_of_that_day(plan: Plan) -> None:
    # L1 without L2's minutes is 12 too few; the date's sum is right only if nobody asks by load
    two_loads_on_one_date(plan)
    plan.row("bisque", "B1", "load")["minutes"] = 0.0
    plan.row("bisque", "B2", "load")["minutes"] = 24.0


@breaks("row")
def unloading_time_doubled(plan: Plan) -> None:
    plan.row("bisque", "B1", "unload")["minutes"] = 9.5


@breaks("row")
def the_wrong_weekday(plan: Plan) -> None:
    plan.row("turn", "B1")["weekday"] = "Wed"


@breaks("row")
def dates_out_of_order(plan: Plan) -> None:
    plan.schedule[0], plan.schedule[2] = plan.schedule[2], plan.schedule[0]


@breaks("row")
def a_batch_of_two_lines(plan: Plan) -> None:
    for row in [*plan.schedule, *plan.kiln_loads]:
        row["batch"] = "B1"


@breaks("row")
def a_batch_begun_on_two_days(plan: Plan) -> None:
    # 4 cups on Mon 1, 4 more on Tue 2, each 4 x 2.5 + 10 = 20 min; 3 are turned on Tue 2 (3 x 3 + 5), 4 on Wed 3
    # (4 x 3, the set-up is the plates' own)
    first = plan.row("throw", "B1")
    first.update(pieces=4, minutes=20.0)
    plan.row("turn", "B1").update(pieces=3, minutes=14.0)
    plan.schedule += [work(march(2), "throw", "B1", CUP, 4, 20.0), work(march(3), "turn", "B1", CUP, 4, 17.0)]
    plan.in_order()


@breaks("row")
def a_batch_without_a_number(plan: Plan) -> None:
    for row in [*plan.schedule, *plan.kiln_loads]:
        row["batch"] = {"B1": "cups"}.get(row["batch"], row["batch"])


@breaks("row")
def turning_in_a_kiln(plan: Plan) -> None:
    plan.row("turn", "B1").update(kiln="kiln", load="L9")


def two_loads_on_one_date(plan: Plan) -> None:
    """The plates' bisque in an old kiln of their own on Mon 8, load L3, with its own 12 and 6 minutes."""
    plan.sheets["kilns"] = [{"kiln": "kiln"}, {"kiln": "old kiln"}]
    plan.counts["bisque", "old kiln", "plate"] = 10
    plan.kiln_loads[1].update(load="L3", kiln="old kiln")
    for task, minutes in (("load", 12.0), ("unload", 6.0)):
        plan.row("bisque", "B1", task)["minutes"] = minutes
        plan.row("bisque", "B2", task).update(load="L3", kiln="old kiln", minutes=minutes)
