"""Results into their folder, all of them or none: the only place where results touch the disk."""

from __future__ import annotations

import os
import shutil
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from pipeline.writing.alone import alone, exchange

LEFT_BY_THE_DESKTOP = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""Files that a desktop leaves in any folder that was looked at: nobody's work, so they stop nothing."""


class CannotWrite(Exception):  # noqa: N818 - named as the sentence it carries reads
    """The results cannot be written; the message is a sentence for people. What stood there before still stands."""


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Make ``out`` a folder that holds exactly these files.

    ``out`` may be new, empty, or hold files of these names only, as an earlier run left them. All is written beside it
    under another name and then put in its place, so that a run that fails or is killed leaves the old results whole.
    What a killed run left behind is tidied up here. Of two runs at once the second waits for the first.

    Raises ``CannotWrite``, and changes nothing, if ``out`` is a link, a file, or a folder with anything else in it; if
    a spreadsheet has one of its files open; if another run does not end; or if the disk refuses.
    """
    out = _named(out)
    new, old = _beside(out)
    with _in_words(out):
        _refuse(out, files)
        with alone(out):
            _tidy(out)
            _refuse(out, files)
            try:
                _fill(new, files, like=out)
                _swap(out, new, old)
            finally:
                shutil.rmtree(new, ignore_errors=True)


def check_folder(out: Path, names: Collection[str]) -> None:
    """Raise ``CannotWrite`` as ``write_folder`` would, before any work is done for nothing; tidy up after a killed run,
    so that the last good results stand in their place even if this run finds nothing to write."""
    out = _named(out)
    with _in_words(out):
        _refuse(out, names)
        with alone(out):
            _tidy(out)
            _refuse(out, names)


def write_new_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Make a folder of these files. Raises ``CannotWrite`` if it exists and is not empty: nothing is ever replaced."""
    if out.is_dir() and any(out.iterdir()):
        raise CannotWrite(f"{out} is not empty, and nothing in it is to be lost. Name a new folder.")
    write_folder(out, files)


def write_file(path: Path, content: bytes) -> None:
    """Put a file in its place at once, over an earlier one. Raises ``CannotWrite`` if the disk refuses."""
    _put(path, content, over_another=True)


def write_new_file(path: Path, content: bytes) -> None:
    """Put a file in its place at once. Raises ``CannotWrite`` if there is one already, or if the disk refuses."""
    _put(path, content, over_another=False)


def remove_file(path: Path) -> None:
    """Take a file away that an earlier run left, if there is one. Raises ``CannotWrite`` if the disk refuses."""
    with _in_words(path):
        path.unlink(missing_ok=True)


def _put(path: Path, content: bytes, over_another: bool) -> None:
    path = _named(path)
    if not path.parent.is_dir():
        raise CannotWrite(f"There is no folder {path.parent} to put {path.name} into. Make it first.")
    new = path.with_name(f".{path.name}.new-wareboard")
    with _in_words(path), alone(path):
        if not over_another and os.path.lexists(path):
            raise CannotWrite(f"{path} is there already, and nothing in it is to be lost. Take a new name.")
        try:
            _write(new, content)
            new.replace(path)
        finally:
            new.unlink(missing_ok=True)


def _named(path: Path) -> Path:
    path = Path(os.path.abspath(path))
    if not path.name:
        raise CannotWrite(f"{path} cannot be replaced by results. Name a folder inside it.")
    return path


def _beside(out: Path) -> tuple[Path, Path]:
    """Where results stand before they are put in place, and where the earlier ones stand meanwhile."""
    return out.with_name(f".{out.name}.new-wareboard"), out.with_name(f".{out.name}.old-wareboard")


def _tidy(out: Path) -> None:
    """After a killed run: results that were moved away and not replaced come back, all else of it goes."""
    new, old = _beside(out)
    _remove(new)
    if old.is_dir() and not os.path.lexists(out):
        old.rename(out)
    _remove(old)


def _refuse(out: Path, names: Collection[str]) -> None:
    if not out.parent.is_dir():
        raise CannotWrite(f"There is no folder {out.parent} to put the results into. Make it first.")
    if out.is_symlink():
        raise CannotWrite(f"{out} is a link to another place. Name the folder itself.")
    if not out.exists():
        return
    if not out.is_dir():
        raise CannotWrite(f"{out} is a file, not a folder. Name a new folder for the results.")
    entries = sorted(out.iterdir())
    if locks := [entry.name for entry in entries if _is_lock(entry.name)]:
        raise CannotWrite(
            f"A spreadsheet has a file in {out} open: close the workbook and run again. "
            f"(If none is open, delete {locks[0]}, which it left behind.)"
        )
    strange = [entry.name for entry in entries if not _is_ours(entry, names)]
    if strange:
        raise CannotWrite(
            f"{out} holds something that is not ours: {', '.join(strange[:3])}. "
            "Nothing was written, so that it is not lost. Name another folder for the results, or move it out."
        )
    if not os.access(out, os.W_OK):
        raise CannotWrite(f"{out} may not be changed: it is write-protected. Name another folder for the results.")


def _is_lock(name: str) -> bool:
    """Whether it is what a spreadsheet keeps beside a file that it has open."""
    return name.startswith("~$") or (name.startswith(".~lock.") and name.endswith("#"))


def _is_ours(entry: Path, names: Collection[str]) -> bool:
    known = entry.name in names or entry.name in LEFT_BY_THE_DESKTOP
    return known and entry.is_file() and not entry.is_symlink()


def _fill(new: Path, files: Mapping[str, bytes], like: Path) -> None:
    new.mkdir()
    for name, content in files.items():
        _write(new / name, content)
    if like.is_dir():
        shutil.copymode(like, new)


def _write(path: Path, content: bytes) -> None:
    """Write a file, and see it onto the disk before anything is put in place of what was there."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _swap(out: Path, new: Path, old: Path) -> None:
    """Put the new results in their place. What was there goes to ``new`` or ``old``, and then for good."""
    if not out.is_dir():
        new.rename(out)
        return
    if exchange(new, out):
        return
    out.rename(old)
    try:
        new.rename(out)
    except OSError:
        old.rename(out)
        raise
    # The new results stand: what hinders the old ones from going is for the next run to tell.
    shutil.rmtree(old, ignore_errors=True)


def _remove(folder: Path) -> None:
    if folder.is_dir() and not folder.is_symlink():
        shutil.rmtree(folder)


@contextmanager
def _in_words(out: Path) -> Iterator[None]:
    """Turn what the disk says into a sentence for people."""
    try:
        yield
    except OSError as error:
        raise CannotWrite(_reason(out, error)) from error


def _reason(out: Path, error: OSError) -> str:
    if isinstance(error, PermissionError):
        return (
            f"The results could not be put into {out}: {error.strerror}. If a file in it is open, "
            "close the workbook and run again; else name another folder for the results."
        )
    return f"The results could not be put into {out}: {error.strerror or error}."
