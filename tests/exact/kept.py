"""The proven optima of the random shops, kept beside the tests so that the solver need not find them every time."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
from dataclasses import dataclass, fields
from fractions import Fraction
from pathlib import Path

from pipeline.job import Job

OPTIMA = Path(__file__).with_name("optima.csv")

SHOPS = 80
"""Of the shops at random the first so many are compared."""


@dataclass(frozen=True)
class Kept:
    """A shop's optimum among the plans that end before ``end``; ``least_lateness`` is a bound that no plan beats.

    Firings are the fewest with that lateness, the finish the earliest with both. ``job`` is the fingerprint of the job.
    """

    shop: int
    lateness: Fraction
    firings: int
    finish: dt.date
    least_lateness: Fraction
    lateness_proven: bool
    firings_proven: bool
    finish_proven: bool
    end: dt.date
    job: str

    @property
    def proven(self) -> bool:
        """Whether all three aims are."""
        return self.lateness_proven and self.firings_proven and self.finish_proven


def fingerprint(job: Job) -> str:
    """A few letters that change when anything in a job's sheets does."""
    sheets = [
        repr(getattr(job, field.name).rows()) for field in fields(job) if field.name not in ("settings", "readings")
    ]
    return hashlib.sha256("\n".join([*sheets, repr(job.settings)]).encode()).hexdigest()[:12]


def kept() -> list[Kept]:
    """All optima that are kept, in the order of the shops."""
    if not OPTIMA.exists():
        return []
    with OPTIMA.open(encoding="utf-8", newline="") as file:
        return [
            Kept(
                int(row["shop"]),
                Fraction(row["lateness"]),
                int(row["firings"]),
                dt.date.fromisoformat(row["finish"]),
                Fraction(row["least_lateness"]),
                row["lateness_proven"] == "yes",
                row["firings_proven"] == "yes",
                row["finish_proven"] == "yes",
                dt.date.fromisoformat(row["end"]),
                row["job"],
            )
            for row in csv.DictReader(file)
        ]


def keep(found: Kept) -> None:
    """Puts an optimum in the place of the shop's former one."""
    every = {one.shop: one for one in kept()} | {found.shop: found}
    with OPTIMA.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(field.name for field in fields(Kept))
        for _, one in sorted(every.items()):
            cells = [getattr(one, field.name) for field in fields(Kept)]
            writer.writerow(("no", "yes")[cell] if isinstance(cell, bool) else cell for cell in cells)
