"""How long the commands take, as a multiple of the least any of them could: run ``python tests/benchmark.py``.

The floor is a Python process that does nothing but import polars, pandera.polars, typer and xlsxwriter. Run it in an
environment that holds the run-time packages alone: pandas beside them makes pandera import several times slower.
"""

from __future__ import annotations

import csv
import importlib.util
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from busy_studio import START, busy_studio

ROOT = Path(__file__).resolve().parent.parent
STUDIO = str(ROOT / "sample_data" / "studio")
ROUNDS = 7

FLOOR = [sys.executable, "-c", "import polars, pandera.polars, typer, xlsxwriter"]
COMMAND = [sys.executable, "-m", "pipeline"]

BIG_LINES, BIG_FORMS = 100_000, 1_000
BIG_MOST, BIG_MEMORY_GB = 10.0, 1.0

LONG_JOB = {"lines": 10_000, "pieces": 2, "days": 365, "people": 10}
LONG_MOST, LONG_MEMORY_GB = 60.0, 1.5
"""A job of the busy studio that is planned to the finished workbook, and what that may take."""

READ_MOST = 8.0
"""How many times longer reading and checking may take than ``polars.read_csv`` on the same sheets, beside the floor."""

READ_CSV = """
import sys, time, pathlib, polars
begun = time.perf_counter()
for path in pathlib.Path(sys.argv[1]).glob("*.csv"):
    polars.read_csv(path)
print(time.perf_counter() - begun)
"""
READ_AND_CHECK = """
import sys, time, datetime, pathlib, polars, pandera.polars, typer, xlsxwriter
begun = time.perf_counter()
from pipeline.reading.read import read_job
folder = pathlib.Path(sys.argv[1])
assert read_job(folder, today=datetime.date(2027, 3, 1), needed=("orders", "forms", "clay_stock")).job is not None
print(time.perf_counter() - begun)
"""

COMPILED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""The environment, in which Python keeps its modules compiled, as it does for everybody who does not forbid it:
else our own would be compiled anew in every run, and those of the floor would not."""

SCHEDULE = """
import gc, sys, time, datetime, pathlib
from pipeline.cli import RUBBISH
from pipeline.plan import work_out
from pipeline.reading.read import read_job
from pipeline.steps.schedule import schedule
job = read_job(pathlib.Path(sys.argv[1]), today=datetime.date(2027, 3, 1), needed=("orders", "forms", "stages")).job
outcome = work_out(("pieces",), job, job.readings.clear())
gc.set_threshold(*RUBBISH)
begun = time.process_time()
schedule(job, outcome.results["pieces"])
print(time.process_time() - begun)
"""
SCHEDULES = {
    "20 lines of 200 over 60 days": ({"lines": 20, "pieces": 200, "days": 60, "people": 4}, 2.0),
    "10 lines over a year": ({"lines": 10, "pieces": 12, "days": 365, "people": 5}, 60.0),
    "100 lines over a year": ({"lines": 100, "pieces": 12, "days": 365, "people": 5}, 60.0),
    "1,000 lines over a year": ({"lines": 1_000, "pieces": 12, "days": 365, "people": 5}, 60.0),
}
"""Jobs of the busy studio, and how many times the floor their schedule may take."""

STEEPEST = 1.3
"""The time for n lines may grow as n to this power."""

LATE = 4
"""Exit code of a plan in which something is late; a plan all the same."""


def seconds(command: Sequence[str]) -> float:
    """Wall-clock time of a command. Raises CalledProcessError if it fails; a late plan is no failure."""
    begun = time.perf_counter()
    ran = subprocess.run(command, cwd=ROOT, stdin=subprocess.DEVNULL, capture_output=True, check=False, env=COMPILED)
    taken = time.perf_counter() - begun
    if ran.returncode not in (0, LATE):
        raise subprocess.CalledProcessError(ran.returncode, command, ran.stdout, ran.stderr)
    return taken


def big_job(folder: Path) -> None:
    """Write an order sheet of 100,000 lines over 1,000 forms of 20 clays."""
    forms = [f"form {number}" for number in range(BIG_FORMS)]
    sheets = {
        "orders": [
            ("order", "form", "quantity"),
            *((f"order {line}", forms[line * 7 % BIG_FORMS], 1 + line % 40) for line in range(BIG_LINES)),
        ],
        "forms": [
            ("form", "clay", "ball_g", "added_clay_g"),
            *((form, f"clay {place % 20}", 300 + place, place % 90) for place, form in enumerate(forms)),
        ],
        "clay_stock": [("clay", "bag_kg", "bags", "bag_price"), *((f"clay {n}", 12.5, n, 13.80) for n in range(20))],
    }
    for name, rows in sheets.items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(rows)


def peak_gb(command: Sequence[str]) -> float:
    """Most memory that a command held, in GB. Raises CalledProcessError if it fails; a late plan is no failure.

    Measured in a process of its own, whose only child the command is: the system tells the peak over all children.
    """
    measure = (
        "import resource, subprocess, sys\n"
        "ran = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)\n"
        f"ran.returncode in (0, {LATE}) or ran.check_returncode()\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", measure, *command], cwd=ROOT, capture_output=True, text=True, check=True
    )
    # Linux counts in kilobytes, macOS in bytes.
    unit = 1 if sys.platform == "darwin" else 1024
    return int(ran.stdout) * unit / 1e9


def seconds_told(program: str, folder: str) -> float:
    """Time that a program says it has taken on the sheets of a folder, in a process of its own; the floor's imports are
    no part of it."""
    ran = subprocess.run(
        [sys.executable, "-c", program, folder], cwd=ROOT, capture_output=True, text=True, check=True, env=COMPILED
    )
    return float(ran.stdout)


def schedule_seconds(folder: str) -> float:
    """Processor time that the step ``schedule`` takes on the job of a folder, in a process of its own."""
    command = [sys.executable, "-c", SCHEDULE, folder]
    ran = [
        subprocess.run(command, cwd=ROOT, env=COMPILED, capture_output=True, text=True, check=True) for _ in range(3)
    ]
    return min(float(one.stdout) for one in ran)


def schedules(folder: Path, floor: float) -> None:
    """Print how long the schedules of the sample and of the busy studio take, and how that grows."""
    report("the sample's schedule", schedule_seconds(STUDIO) / floor, 0.3, "x floor")
    taken: dict[int, float] = {}
    for name, (job, most) in SCHEDULES.items():
        busy_studio(folder / name, **job)
        taken[job["lines"]] = schedule_seconds(str(folder / name))
        report(f"schedule of {name}", taken[job["lines"]] / floor, most, "x floor")
    for few, many in ((10, 100), (100, 1_000)):
        power = math.log10(taken[many] / taken[few])
        report(f"  from {few} to {many:,} lines it grows as n to", power, STEEPEST, "")


def report(name: str, measured: float, most: float, unit: str) -> None:
    """One line: what was measured, what it may be at most, and whether it is."""
    verdict = "ok" if measured <= most else "TOO MUCH" if unit == "GB" else "TOO SLOW"
    print(f"{name:<46}{measured:6.2f} {unit:<8} at most {most:5.2f}   {verdict}")


def main() -> None:
    """Print every ratio beside its target."""
    if importlib.util.find_spec("pandas"):
        print("Beware: pandas is installed here and slows every import of pandera, the floor's too.")
    with tempfile.TemporaryDirectory() as scratch:
        big = Path(scratch) / "big"
        big.mkdir()
        big_job(big)
        small = {
            "wareboard --help": ([*COMMAND, "--help"], 0.5),
            "wareboard buy sample_data/studio": ([*COMMAND, "buy", STUDIO], 1.7),
            "wareboard plan sample_data/studio": ([*COMMAND, "plan", STUDIO, "--out", f"{scratch}/plan"], 3.0),
        }
        taken: dict[str, list[float]] = {"floor": [], **{name: [] for name in small}}
        # Interleaved, so that a busy moment of the machine hits all alike.
        for _ in range(ROUNDS):
            taken["floor"].append(seconds(FLOOR))
            for name, (command, _most) in small.items():
                taken[name].append(seconds(command))
        floor = statistics.median(taken["floor"])
        print(f"{'floor: the imports alone':<46}{floor:6.2f} s")
        for name, (_command, most) in small.items():
            report(name, statistics.median(taken[name]) / floor, most, "x floor")

        schedules(Path(scratch), floor)

        plain = statistics.median(seconds_told(READ_CSV, str(big)) for _ in range(ROUNDS))
        reading = statistics.median(seconds_told(READ_AND_CHECK, str(big)) for _ in range(ROUNDS))
        report(f"reading and checking {BIG_LINES:,} lines", reading / plain, READ_MOST, "x csv")

        buy_big = [*COMMAND, "buy", str(big)]
        name = f"wareboard buy, {BIG_LINES:,} lines, {BIG_FORMS:,} forms"
        report(name, statistics.median(seconds(buy_big) for _ in range(3)) / floor, BIG_MOST, "x floor")
        report("  its memory", peak_gb(buy_big), BIG_MEMORY_GB, "GB")

        busy_studio(Path(scratch) / "long", **LONG_JOB)
        plan_long = [*COMMAND, "plan", f"{scratch}/long", "--today", START.isoformat()]
        name = f"wareboard plan, {LONG_JOB['lines']:,} lines"
        report(name, seconds(plan_long) / floor, LONG_MOST, "x floor")
        report("  its memory", peak_gb(plan_long), LONG_MEMORY_GB, "GB")


if __name__ == "__main__":
    main()
