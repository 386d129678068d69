"""Bats: no more of a size in use on any night than are owned."""

from __future__ import annotations

from collections import defaultdict

from pipeline.exact.flow import Flow, Sum
from pipeline.exact.studio import LineToMake


def add_bats(flow: Flow) -> None:
    """Rule 5d. A piece is on a bat from the date of its `on` stage up to, not including, that of its `off` stage.

    The bats of pieces that are lost between the two are taken to be free at once, which is never too strict. Where
    pieces in progress alone stand on more bats than are owned, as many are taken to be owned.
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
                if lost:
                    counted = flow.model.new_int_var(0, line.entering[on] + came, f"bats of {line.name} on {night}")
                    flow.model.add(counted >= in_use - lost)
                    in_use = counted
                nights[line.bat, night].append(in_use)
    for (size, _), used in nights.items():
        flow.model.add(sum(used) <= max(studio.bats.get(size, 0), standing[size]))


def _stretches(line: LineToMake) -> list[tuple[int, int | None]]:
    """The places of each `on` stage and of the first `off` stage after it."""
    offs = [stage.place for stage in line.route if stage.bat == "off"]
    return [
        (stage.place, next((place for place in offs if place > stage.place), None))
        for stage in line.route
        if stage.bat == "on"
    ]
