"""What may import and call what, read from the source: pure code stays pure, files are touched at the edges only."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

EDGES = {
    "pipeline/reading/files.py",
    "pipeline/writing/folder.py",
    "pipeline/writing/alone.py",
    "pipeline/cli.py",
    "pipeline/terminal.py",
    "pipeline/docs/__main__.py",
}
"""The only modules that know of files: what reads sheets, what writes results (one run at a time), the commands."""

DISK = {"pathlib", "os", "shutil", "tempfile", "glob", "fileinput"}
OUTSIDE = {"random", "secrets", "uuid", "time", "socket", "urllib", "http", "subprocess", "logging"}
"""Chance, the clock, the network, other programs: the same sheets must give the same bytes."""

FORBIDDEN_CALLS = {
    "open", "io.open", "print", "input", "date.today", "datetime.now", "datetime.today", "datetime.utcnow",
    "pl.read_csv", "pl.scan_csv", "pl.read_excel",
}  # fmt: skip
FORBIDDEN_METHODS = {
    "write_csv", "sink_csv", "write_excel", "write_parquet", "shuffle", "sample",
    "read_text", "read_bytes", "write_text", "write_bytes",
}  # fmt: skip

LIBRARIES = {"polars", "pandera", "typer", "xlsxwriter", "dateutil", "openpyxl", "ortools"}
"""The last two are optional: only who hands in ``.xlsx`` workbooks, or wants the thorough search, needs them."""


ROOMS = {
    "typer": ("pipeline/cli.py", "pipeline/terminal.py", "pipeline/docs/"),
    "xlsxwriter": ("pipeline/writing/xlsx.py", "pipeline/writing/xlsx_parts.py", "pipeline/writing/blank_xlsx.py"),
    "openpyxl": ("pipeline/reading/xlsx.py",),
    "ortools": ("pipeline/exact/",),
    "pandera": ("pipeline/reading/",),
}
"""Where in ``pipeline`` a library may be imported."""


def sources(under: str) -> list[str]:
    """Paths of the Python files under a folder, or the one file, as the project names them."""
    start = ROOT / under
    found = [start] if start.suffix == ".py" else sorted(start.rglob("*.py"))
    assert found, f"no Python file under {under}: the rules for it would test nothing"
    return [path.relative_to(ROOT).as_posix() for path in found]


def tree(path: str) -> ast.Module:
    return ast.parse((ROOT / path).read_text(encoding="utf-8"))


def imports(nodes: ast.AST) -> Iterator[str]:
    """Full names of the modules imported anywhere in the source, in functions too."""
    for node in ast.walk(nodes):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = node.module or ""
            # `from pipeline import plan` imports the module pipeline.plan.
            yield from (f"{module}.{alias.name}" for alias in node.names)
            yield module


def packages(path: str) -> set[str]:
    return {name.split(".")[0] for name in imports(tree(path))}


def own_modules(path: str) -> set[str]:
    """Which modules or folders of ``pipeline`` a file imports from."""
    return {name.split(".")[1] for name in imports(tree(path)) if name.startswith("pipeline.")}


def calls(path: str) -> set[str]:
    """Every called name, as ``open`` or ``date.today``, and every method, as ``.write_text``."""
    found = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Call):
            # polars reads CSV from bytes in memory, too, which touches nothing.
            given = ast.unparse(node.args[0]) if node.args else ""
            if ast.unparse(node.func) != "pl.read_csv" or not given.startswith("io.BytesIO("):
                found.add(ast.unparse(node.func))
            # polars writes CSV into a string if no file is named, which touches nothing.
            if isinstance(node.func, ast.Attribute) and (node.func.attr != "write_csv" or node.args):
                found.add(f".{node.func.attr}")
    return found


def attributes(path: str) -> set[str]:
    return {ast.unparse(node) for node in ast.walk(tree(path)) if isinstance(node, ast.Attribute)}


PACKAGE = sources("pipeline")
SCHEMAS = sources("schemas")
INNER = [path for path in PACKAGE if path not in EDGES]


@pytest.mark.parametrize("path", SCHEMAS)
def test_schemas_stand_alone(path: str) -> None:
    assert packages(path).isdisjoint({"pipeline", "typer", "xlsxwriter", "dateutil"} | DISK | OUTSIDE)
    assert "open" not in calls(path)


@pytest.mark.parametrize("path", INNER)
def test_inside_the_edges_nothing_touches_files_clock_or_chance(path: str) -> None:
    assert packages(path).isdisjoint(DISK | OUTSIDE)
    assert calls(path).isdisjoint(FORBIDDEN_CALLS | {f".{name}" for name in FORBIDDEN_METHODS})
    assert not any(name.startswith("os.environ") for name in attributes(path))


@pytest.mark.parametrize("path", PACKAGE)
def test_each_library_has_its_rooms(path: str) -> None:
    """The command line, the workbook and the sheets' models are each known to few modules, so each can be replaced."""
    for library, rooms in ROOMS.items():
        assert library not in packages(path) or path.startswith(rooms)


@pytest.mark.parametrize("path", [path for path in PACKAGE if path not in {"pipeline/__main__.py", *EDGES}])
def test_nothing_inside_calls_the_command(path: str) -> None:
    assert "pipeline.cli" not in set(imports(tree(path)))


@pytest.mark.parametrize("path", sources("pipeline/steps") + sources("pipeline/scheduling"))
def test_steps_know_nothing_of_reading_and_writing(path: str) -> None:
    """A step takes typed frames and gives one: how they were read and where they go is not its business."""
    names = set(imports(tree(path)))
    assert not {name for name in names if name.startswith(("pipeline.reading", "pipeline.writing"))}
    assert "pipeline.plan" not in names


@pytest.mark.parametrize("path", sources("pipeline/checking"))
def test_the_checker_shares_no_code_with_what_makes_schedules(path: str) -> None:
    """Not even a helper: one mistake could hide in both."""
    assert own_modules(path) <= {"checking", "job"}


@pytest.mark.parametrize("path", sources("pipeline/exact"))
def test_the_exact_model_shares_no_code_with_the_scheduler(path: str) -> None:
    """It is what schedules are measured against."""
    assert "scheduling" not in own_modules(path)


@pytest.mark.parametrize("path", sources("pipeline/packing"))
def test_packing_is_geometry_alone(path: str) -> None:
    assert own_modules(path) <= {"packing"}


def test_the_command_starts_without_the_heavy_libraries() -> None:
    """``wareboard --help`` must not wait for polars: neither the command nor what it imports may import it."""
    program = "import sys, pipeline.cli; print(*{name.split('.')[0] for name in sys.modules})"
    ran = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert set(ran.stdout.split()).isdisjoint({"polars", "pandera", "xlsxwriter", "dateutil", "openpyxl", "ortools"})


@pytest.mark.parametrize("path", PACKAGE + SCHEMAS)
def test_only_the_agreed_packages(path: str) -> None:
    """Everything else that is imported comes with Python."""
    known = LIBRARIES | set(sys.stdlib_module_names) | {"pipeline", "schemas", ""}
    assert packages(path) <= known


@pytest.mark.parametrize("path", PACKAGE + SCHEMAS + sources("tests"))
def test_a_file_holds_one_idea(path: str) -> None:
    """House rule: no file above 400 lines."""
    assert len((ROOT / path).read_text(encoding="utf-8").splitlines()) <= 400


def test_the_reader_of_imports_sees_what_it_should() -> None:
    """The rules above are only as good as what they see: imports in functions, dotted names."""
    code = ast.parse("import os.path\nfrom pipeline import plan\ndef f():\n    import xlsxwriter\n")
    assert set(imports(code)) == {"os.path", "pipeline", "pipeline.plan", "xlsxwriter"}
