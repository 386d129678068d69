"""Bats: no more of a size in use on any night than are owned."""

from __future__ import annotations

from collections import defaultdict

from pipeline.checking.facts import Stage
from pipeline.exact.flow import Flow, Sum
from pipeline.exact.studio import LineToMake, Studio


def add_bats(flow: Flow, *, strict: bool) -> None:
    """Rule 5d. A piece is on a bat from the date of its `on` stage up to, not including, that of its `off` stage.

    Pieces that are lost between the two leave their bats with the first of their lot that come off. They are taken to
    do so at once, which is never too strict; or, if ``strict``, on the day after which none of their lot may come off,
    and where that is not known with the last piece of the line, which is never too lax. Where pieces in progress alone
    stand on more bats than are owned, as many are taken to be owned.
    """
    studio = flow.studio
    nights: dict[tuple[str, int], list[Sum]] = defaultdict(list)
    standing: dict[str, int] = defaultdict(int)
    for at, line in enumerate(studio.lines):
        if line.bat is None:
            continue
        for on, off in _stretches(line):
            last = len(line.route) if off is None else off
            came = sum(line.standing[on + 1 : last + 1])
            standing[line.bat] += came
            lost = 0 if off is None else line.entering[on] + came - line.entering[off]
            for night in range(studio.end):
                in_use = flow.entered_by(at, on, night) + came
                in_use -= 0 if off is None else flow.entered_by(at, off, night)
                if lost and strict and off is not None:
                    in_use -= _lost_by(flow, at, on, off, night)
                elif lost:
                    counted = flow.model.new_int_var(0, line.entering[on] + came, f"bats of {line.name} on {night}")
                    flow.model.add(counted >= in_use - lost)
                    in_use = counted
                nights[line.bat, night].append(in_use)
    for (size, _), used in nights.items():
        flow.model.add(sum(used) <= max(studio.bats.get(size, 0), standing[size]))


def _lost_by(flow: Flow, line: int, on: int, off: int, night: int) -> Sum:
    """The pieces lost between two stages whose lots can have none on a bat any more on a night."""
    studio, made = flow.studio, flow.studio.lines[line]
    if off == on + 1 and (line, on) in flow.going and not made.standing[off]:
        gone: Sum = 0
        for channel, going in zip(flow.channels[line, on], flow.going[line, on], strict=True):
            shut = {day for day, done in channel.done.items() if _closes(studio, made.route[on], done) <= night}
            gone += channel.total(shut.__contains__) - going.total(shut.__contains__)
        return gone
    all_off = flow.model.new_bool_var(f"all of {made.name} off the bats of stage {on} on {night}")
    flow.model.add(flow.entered_by(line, off, night) >= made.entering[off] * all_off)
    return (made.entering[on] + sum(made.standing[on + 1 : off + 1]) - made.entering[off]) * all_off


def _closes(studio: Studio, stage: Stage, done: int) -> int:
    """The last day on which pieces that were done with a stage on a day may go on."""
    last = studio.window(stage, done)[1]
    return studio.end if last is None else last


def _stretches(line: LineToMake) -> list[tuple[int, int | None]]:
    """The places of each `on` stage and of the first `off` stage after it."""
    offs = [stage.place for stage in line.route if stage.bat == "off"]
    return [
        (stage.place, next((place for place in offs if place > stage.place), None))
        for stage in line.route
        if stage.bat == "on"
    ]
