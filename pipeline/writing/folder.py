"""Results into their folder, all of them or none: the only place where results touch the disk."""

from __future__ import annotations

import os
import shutil
from collections.abc import Collection, Mapping
from pathlib import Path

LEFT_BY_THE_DESKTOP = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""Files that a desktop leaves in any folder that was looked at: nobody's work, so they stop nothing."""


class CannotWrite(Exception):  # noqa: N818 - named as the sentence it carries reads
    """The results cannot be written; the message is a sentence for people. What stood there before still stands."""


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Make ``out`` a folder that holds exactly these files.

    ``out`` may be new, empty, or hold files of these names only, as an earlier run left them. All is written beside it
    under another name and then put in its place, so that a run that fails or is killed leaves the old results whole.
    What a killed run left behind is tidied up here.

    Raises ``CannotWrite``, and changes nothing, if ``out`` is a link, a file, or a folder with anything else in it; if
    a spreadsheet has one of its files open; or if the disk refuses.
    """
    out = Path(os.path.abspath(out))
    if not out.name:
        raise CannotWrite(f"{out} cannot be replaced by results. Name a folder inside it.")
    new, old = out.with_name(f".{out.name}.new-wareboard"), out.with_name(f".{out.name}.old-wareboard")
    try:
        _tidy(out, new, old)
        _refuse(out, files)
        try:
            _fill(new, files, like=out)
            _swap(out, new, old)
        finally:
            _remove(new)
    except OSError as error:
        raise CannotWrite(_reason(out, error)) from error


def check_folder(out: Path, names: Collection[str]) -> None:
    """Raise ``CannotWrite`` as ``write_folder`` would, before any work is done for nothing."""
    try:
        _refuse(Path(os.path.abspath(out)), names)
    except OSError as error:
        raise CannotWrite(_reason(out, error)) from error


def write_new_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Make a folder of these files. Raises ``CannotWrite`` if it exists and is not empty: nothing is ever replaced."""
    if out.is_dir() and any(out.iterdir()):
        raise CannotWrite(f"{out} is not empty, and nothing in it is to be lost. Name a new folder.")
    write_folder(out, files)


def write_file(path: Path, content: bytes) -> None:
    """Put a file in its place at once, over an earlier one. Raises ``CannotWrite`` if the disk refuses."""
    new = path.with_name(f".{path.name}.new-wareboard")
    try:
        try:
            new.write_bytes(content)
            new.replace(path)
        finally:
            new.unlink(missing_ok=True)
    except OSError as error:
        raise CannotWrite(_reason(path, error)) from error


def remove_file(path: Path) -> None:
    """Take a file away that an earlier run left, if there is one. Raises ``CannotWrite`` if the disk refuses."""
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise CannotWrite(_reason(path, error)) from error


def _tidy(out: Path, new: Path, old: Path) -> None:
    """After a killed run: results that were moved away and not replaced come back, all else of it goes."""
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
        (new / name).write_bytes(content)
    if like.is_dir():
        shutil.copymode(like, new)


def _swap(out: Path, new: Path, old: Path) -> None:
    if not out.is_dir():
        new.rename(out)
        return
    out.rename(old)
    try:
        new.rename(out)
    except OSError:
        old.rename(out)
        raise
    _remove(old)


def _remove(folder: Path) -> None:
    if folder.is_dir() and not folder.is_symlink():
        shutil.rmtree(folder)


def _reason(out: Path, error: OSError) -> str:
    if isinstance(error, PermissionError):
        return (
            f"The results could not be put into {out}: {error.strerror}. If a file in it is open, "
            "close the workbook and run again; else name another folder for the results."
        )
    return f"The results could not be put into {out}: {error.strerror or error}."
