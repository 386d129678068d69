"""The sample studio with many more orders, people and kilns, to see how the time for a schedule grows."""

from __future__ import annotations

import csv
import datetime as dt
import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path

STUDIO = Path(__file__).resolve().parent.parent / "sample_data" / "studio"

START = dt.date(2027, 3, 1)
"""The first day of the sample's plan."""

FORMS = ("tumbler", "side plate", "jug", "lidded jar")
GLAZES = ("oat", "slate", "fern")

FIRST_DUE = 30
"""Days from the start to the first due date; no form dries and is fired twice in much less."""


def busy_studio(folder: Path, *, lines: int, pieces: int, days: int, people: int) -> None:
    """Writes the job: ``lines`` order lines of ``pieces`` each, due one after another up to ``days`` from the start,
    and so many people, kilns, and times the bats.
    """
    shutil.copytree(STUDIO, folder)
    for sheet in ("in_progress", "work_log", "kiln_fit"):
        (folder / f"{sheet}.csv").unlink()
    dues = [START + dt.timedelta(FIRST_DUE + (days - FIRST_DUE) * (line + 1) // lines) for line in range(lines)]
    _write(
        folder / "orders.csv",
        ("order", "form", "glaze", "quantity", "due", "priority"),
        (
            (f"order {line}", FORMS[line * 7 % 4], GLAZES[line % 3], pieces, due, 1 + line % 3)
            for line, due in enumerate(dues)
        ),
    )
    everybody = [(f"worker {one}", "Mon-Fri", 7, 15) for one in range(people)]
    _write(folder / "labour_hours.csv", ("worker", "day", "hours", "hourly_rate"), everybody)
    names, kiln = _read(folder / "kilns.csv")
    _write(folder / "kilns.csv", names, ([f"kiln {one}", *kiln[1:]] for one in range(people)))
    names, *firings = _read(folder / "firings.csv")
    # A blank kiln is every kiln.
    _write(folder / "firings.csv", names, ([firing, "", *rest] for firing, _, *rest in firings))
    names, *bats = _read(folder / "bats_and_boards.csv")
    _write(folder / "bats_and_boards.csv", names, ([item, kind, int(count) * people] for item, kind, count in bats))


def _read(path: Path) -> list[list[str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return [row for row in csv.reader(file) if row]


def _write(path: Path, names: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([names, *rows])
