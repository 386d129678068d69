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

EFFORTS = (8.0, 8.0, 8.0)
"""What the solver may spend on proving each aim, in its own deterministic measure (a few seconds each) and no clock."""

READ = {
    "orders": "order form glaze quantity due priority",
    "forms": "form method clay ball_g added_clay_g trimmings_g bat least_extra",
    "stages": "method step stage minutes_each minutes_per_kg setup_minutes loss_pct wait_days wait_days_max bat firing "
    "most_per_day",
    "form_minutes": "form stage minutes_each setup_minutes loss_pct most_per_day wait_days wait_days_max",
    "drying_months": "month wait_factor",
    "labour_hours": "worker day hours stages",
    "firings": "firing kiln days load_minutes unload_minutes",
    "kiln_fit": "firing kiln form pieces",
    "bats_and_boards": "item kind count",
    "closed_days": "from to",
    "in_progress": "order form glaze stage_done pieces date",
    "clay_stock": "clay supplier bags bag_kg bag_price loose_kg keep_kg lead_days received",
    "clay_prices": "clay supplier pack_kg from_packs pack_price carriage lead_days",
    "clay_blends": "clay part share_pct",
}
"""What a schedule rests on: columns by sheet."""


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
    """A few letters that change when anything in a job changes that its schedule rests on."""
    sheets = [repr(getattr(job, sheet).select(columns.split()).rows()) for sheet, columns in READ.items()]
    choices = (job.settings.start, job.settings.loss_cover, job.settings.spare_clay_pct, job.settings.reclaim_pct)
    return hashlib.sha256("\n".join([*sheets, repr(choices)]).encode()).hexdigest()[:12]


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
