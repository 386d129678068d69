"""Work that already stands in the studio, shared out among the order lines."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import prod

import polars as pl

from pipeline.lines import in_turn
from pipeline.losses import good_expected, line_covers, pieces_to_start
from pipeline.remembered import remembered
from schemas.settings import Cover


@dataclass(frozen=True, slots=True)
class Taken:
    """Pieces of one row of ``in_progress`` that a line takes.

    ``line`` and ``standing`` are places (from 0) in ``orders`` and ``in_progress``; ``done`` is the place in the
    form's route of the last stage done; ``good`` is how many good pieces of the line they stand for.
    """

    line: int
    standing: int
    done: int
    pieces: int
    good: int


@remembered
def share_in_progress(
    orders: pl.DataFrame, forms: pl.DataFrame, route: pl.DataFrame, in_progress: pl.DataFrame, cover: Cover
) -> list[Taken]:
    """Which line takes which pieces: the earliest due first, each piece once.

    A line takes first what is marked for its order, which nobody else can take, then what is marked for none; of each
    what is nearest to finished first. It takes no more than it would start at that stage; of finished pieces, which no
    loss threatens, what it still wants. Pieces count as the good ones to be expected of them, rounded down.
    """
    if in_progress.is_empty():
        return []
    chances: dict[str, list[float]] = {}
    names: dict[str, list[str]] = {}
    for form, stage, loss in route.select("form", "stage", "loss_pct").iter_rows():
        chances.setdefault(form, []).append(1 - loss / 100)
        names.setdefault(form, []).append(stage)

    covers = line_covers(orders, cover)
    least_extra = dict(forms.select("form", "least_extra").iter_rows())
    standing = []
    for place, row in enumerate(in_progress.iter_rows(named=True)):
        done = names[row["form"]].index(row["stage_done"])
        standing.append((row["order"] is None, -done, place, done, row))
    standing.sort(key=lambda entry: entry[:3])
    left = {place: row["pieces"] for *_, place, _, row in standing}

    taken = []
    wanted = in_turn(orders.with_row_index("line").filter(pl.col("form").is_in(in_progress["form"].implode())))
    for line in wanted.iter_rows(named=True):
        need = line["quantity"]
        for *_, place, done, row in standing:
            fits = row["form"] == line["form"]
            fits = fits and row["order"] in (None, line["order"]) and row["glaze"] in (None, line["glaze"])
            if not (fits and need and left[place]):
                continue
            onward = chances[line["form"]][done + 1 :]
            chance = prod(onward)
            most = pieces_to_start(need, chance, least_extra[line["form"]], covers[line["line"]]) if onward else need
            pieces = min(most, left[place])
            # As many as the line would start at that stage are enough for it, however sure it wants to be.
            good = need if pieces == most else min(need, good_expected(pieces, chance))
            left[place] -= pieces
            need -= good
            taken.append(Taken(line["line"], place, done, pieces, good))
    return taken


def finished_on(taken: list[Taken], in_progress: pl.DataFrame) -> dict[int, date]:
    """For each line that takes pieces in progress, the latest date of those: if all are finished, so is it."""
    found: dict[int, date] = {}
    for take in taken:
        since = in_progress["date"][take.standing]
        found[take.line] = max(since, found.get(take.line, since))
    return found


def left_over(taken: list[Taken], in_progress: pl.DataFrame) -> list[int]:
    """How many pieces of each row no line takes."""
    left = in_progress["pieces"].to_list()
    for take in taken:
        left[take.standing] -= take.pieces
    return left


def staying_on_bats(
    taken: list[Taken], forms: pl.DataFrame, route: pl.DataFrame, in_progress: pl.DataFrame
) -> list[tuple[int, str, int]]:
    """Pieces that stand on bats and that no line takes: row (its place), size of bat, pieces.

    Nobody plans to take them off, so their bats do not come free as long as the plan goes on.
    """
    if in_progress.is_empty():
        return []
    marks = route.select("form", "stage", mark=pl.col("bat").forward_fill().over("form"))
    on = {(form, stage) for form, stage, mark in marks.iter_rows() if mark == "on"}
    size = dict(forms.select("form", "bat").iter_rows())
    rows = in_progress.select("form", "stage_done").iter_rows()
    return [
        (place, size[form], left)
        for place, ((form, done), left) in enumerate(zip(rows, left_over(taken, in_progress), strict=True))
        if left and size[form] is not None and (form, done) in on
    ]
