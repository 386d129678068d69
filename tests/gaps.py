"""How far the schedule is from the best there is: run ``python -m tests.gaps [FIRST LAST] [--thorough] [--prove]``.

The schedules of the shops FIRST up to LAST are compared with the optima kept in ``tests/exact/optima.csv``: those of
the quick search, and with ``--thorough`` those of the thorough search after them. With ``--prove`` the exact solver
finds the optima anew first, and keeps them. Either takes some minutes.
"""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from tests.exact.kept import EFFORTS, SHOPS, Kept, fingerprint, keep, kept
from tests.exact.measured import Measured, measured
from tests.shops import shop
from tests.steps.planned import scheduled, scheduled_shop
from tests.thoroughly import thoroughly

SPARE_DAYS = 10
"""The solver may take so many days longer than the schedule."""


@dataclass(frozen=True)
class Gap:
    """A shop's schedule beside its optimum."""

    made: Measured
    best: Kept

    @property
    def as_late(self) -> bool:
        """Whether it is as late as the optimum."""
        return self.made.lateness == self.best.lateness

    @property
    def within_5_pct(self) -> bool:
        """Whether it is at most 5 % later."""
        return self.made.lateness <= self.best.lateness * Fraction(105, 100)

    @property
    def firings_more(self) -> int:
        """Firings beyond those of the optimum."""
        return self.made.firings - self.best.firings

    @property
    def days_more(self) -> int:
        """Days after the optimum's finish."""
        return (self.made.finish - self.best.finish).days


def gap(number: int, best: Kept, *, thorough: bool = False) -> Gap:
    """The gap of a shop, by the quick search or the thorough one."""
    return Gap(measured(scheduled(thoroughly(shop(number))) if thorough else scheduled_shop(number)), best)


def prove(number: int) -> Kept:
    """The optimum of a shop, by the exact solver."""
    from pipeline.exact.hinted import hint  # the solver takes long to import, and nothing else needs it
    from pipeline.exact.model import exact_model
    from pipeline.exact.optimum import best_plan

    plan = scheduled_shop(number)
    end = plan.schedule["date"].max() + dt.timedelta(days=SPARE_DAYS)
    exact = exact_model(plan.job, plan.results["pieces"], end)
    hint(exact, plan.schedule)
    best = best_plan(exact, EFFORTS)
    assert best is not None, f"no plan of shop {number} was found"
    finish = plan.job.settings.start + dt.timedelta(days=int(best.finish.value))
    return Kept(
        shop=number,
        lateness=best.lateness.value,
        firings=int(best.firings.value),
        finish=finish,
        least_lateness=best.lateness.bound,
        lateness_proven=best.lateness.proven,
        firings_proven=best.firings.proven,
        finish_proven=best.finish.proven,
        end=end,
        job=fingerprint(plan.job),
    )


def shares(gaps: Iterable[Gap]) -> dict[str, tuple[int, int]]:
    """The four lines of the summary: of how many shops each is true, and of how many it is asked."""
    of = list(gaps)
    return {
        "as late as the optimum": (sum(gap.as_late for gap in of), len(of)),
        "at most 5 % later": (sum(gap.within_5_pct for gap in of), len(of)),
        "at most one firing more": (sum(gap.firings_more <= 1 for gap in of), len(of)),
        "finished within one day": (sum(gap.days_more <= 1 for gap in of), len(of)),
    }


def main() -> None:
    """Prints a line a shop, then how the gaps are distributed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int, nargs="?", default=0)
    parser.add_argument("last", type=int, nargs="?", default=SHOPS)
    parser.add_argument("--thorough", action="store_true")
    parser.add_argument("--prove", action="store_true")
    asked = parser.parse_args()
    numbers = range(asked.first, asked.last)
    if asked.prove:
        for number in numbers:
            found = prove(number)
            keep(found)
            print(f"shop {number}: {'proven' if found.proven else 'not proven'}", flush=True)
    for thorough in (False, True) if asked.thorough else (False,):
        print(f"The {'thorough' if thorough else 'quick'} search\n")
        _tell([best for best in kept() if best.shop in numbers], thorough=thorough)


def _tell(optima: list[Kept], *, thorough: bool) -> None:
    """A line a shop, and the distribution of its gaps."""
    gaps = []
    print("shop  lateness: ours  best      firings    finish (days more)")
    for best in optima:
        one = gap(best.shop, best, thorough=thorough)
        gaps.append(one)
        print(
            f"{best.shop:4}  {float(one.made.lateness):14.1f} {float(best.lateness):9.1f}   "
            f"{one.made.firings:3} {best.firings:3}   {one.days_more:+3}{'' if best.proven else '   not proven'}",
            flush=True,
        )
    proven = [gap for gap in gaps if gap.best.proven]
    print(f"\n{len(proven)} of {len(gaps)} shops solved to proof; of those")
    for what, (true, asked_of) in shares(proven).items():
        print(f"{what:26} {true:3} of {asked_of:3}  {100 * true / asked_of if asked_of else 100:5.1f} %")
    for what, found in (
        ("lateness more, %", [_pct_more(gap) for gap in proven]),
        ("firings more", [gap.firings_more for gap in proven]),
        ("days more", [gap.days_more for gap in proven]),
    ):
        if ranked := sorted(found):
            told = [
                f"{ranked[min(len(ranked) - 1, len(ranked) * pct // 100)]:g}" for pct in (0, 10, 25, 50, 75, 90, 100)
            ]
            print(f"{what:18} least, 10 %, quarter, middle, three quarters, 90 %, most: {', '.join(told)}")


def _pct_more(gap: Gap) -> float:
    """Lateness beyond the optimum's; from nought to something counts as infinitely more."""
    if gap.as_late:
        return 0.0
    return float(100 * (gap.made.lateness / gap.best.lateness - 1)) if gap.best.lateness else float("inf")


if __name__ == "__main__":
    main()
