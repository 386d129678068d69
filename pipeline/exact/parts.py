"""Which pieces of the optimum are which: from counts of a line at its stages to batches that go through them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.exact.flow import Channel
from pipeline.exact.optimum import Optimum

Batch = tuple[int, int]
"""A line; and the day on which its pieces are begun, or -1 less the row of work in progress that they come from."""


@dataclass
class Part:
    """Pieces of one batch that enter a stage on a day; ``left`` of them have not yet gone on to the next."""

    channel: Channel
    day: int
    batch: Batch
    pieces: int
    left: int

    @property
    def done(self) -> int:
        """The day on which they are done with the stage."""
        return self.channel.done[self.day]


@dataclass
class _Source:
    """Pieces that may go on from day ``first`` to ``last``: a part done with the stage before, or work in progress."""

    first: int
    last: int
    batch: Batch
    left: int
    part: Part | None = None

    def take(self, pieces: int) -> None:
        self.left -= pieces
        if self.part is not None:
            self.part.left -= pieces


def parts_of(best: Optimum, line: int) -> Iterator[Part]:
    """The pieces of a line at every stage by batch: of those that may go on, those go first whose window closes first.

    If the optimum keeps the waits, that gives every piece one that had the stage before.
    """
    before: list[Part] = []
    for place in range(len(best.exact.studio.lines[line].route)):
        sources = _sources(best, line, place, before)
        entering: dict[tuple[int, int, Batch], Part] = {}
        channels = best.exact.flow.channels[line, place]
        for day, number in sorted((day, number) for number, channel in enumerate(channels) for day in channel.done):
            wanted = best.value(channels[number].on(day))
            given = [((line, day), wanted)] if place == 0 else _given(sources, day, wanted)
            for batch, pieces in given:
                if pieces:
                    part = entering.setdefault((day, number, batch), Part(channels[number], day, batch, 0, 0))
                    part.pieces += pieces
                    part.left += pieces
        before = list(entering.values())
        yield from before


def _sources(best: Optimum, line: int, place: int, before: list[Part]) -> list[_Source]:
    """Where pieces that enter a stage may come from, what has to go on soonest first."""
    studio, flow = best.exact.studio, best.exact.flow
    found = []
    going = {
        (channel.kiln and channel.kiln.name, day): best.value(channel.on(day))
        for channel in flow.going.get((line, place - 1), ())
        for day in channel.done
    }
    for part in before:
        first, last = studio.window(part.channel.line.route[place - 1], part.done)
        key = (part.channel.kiln and part.channel.kiln.name, part.day)
        good = min(part.pieces, going.get(key, part.pieces))
        if going:
            going[key] -= good
        found.append(_Source(first, studio.end if last is None else last, part.batch, good, part))
    for at, row in enumerate(studio.standing):
        if (line, at) in flow.taken and row.place == place:
            last = studio.end if row.last is None else row.last
            found.append(_Source(row.first, last, (line, -1 - at), best.value(flow.taken[line, at])))
    return sorted(found, key=lambda source: source.last)


def _given(sources: list[_Source], day: int, wanted: int) -> Iterator[tuple[Batch, int]]:
    """The pieces that enter a stage on a day, by the batch that they are of."""
    for source in sources:
        some = min(wanted, source.left) if source.first <= day <= source.last else 0
        if some:
            source.take(some)
            wanted -= some
            yield source.batch, some
