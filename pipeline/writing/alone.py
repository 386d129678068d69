"""One run at a time, and the swap of two folders in one step: what each system does in its own way."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

PATIENCE = 5.0
"""Seconds to wait for another run: it holds the lock only while it writes, which takes less than one."""

PAUSE = 0.02
"""Seconds between two looks at the lock."""

TAKEN = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)
"""How the system says that another run holds the lock; any other refusal means that this disk knows no locks."""

HERE, EXCHANGE = -100, 2
"""``AT_FDCWD`` and ``RENAME_EXCHANGE``, which is ``RENAME_SWAP`` too. Sources: Linux ``renameat2(2)``, macOS
``renamex_np(2)``, from memory."""


@contextmanager
def alone(target: Path) -> Iterator[None]:
    """Hold the lock of a target, a file beside it, for as long as it is written.

    The lock is the system's own: it goes with the run that holds it, however that ends, so it is never stale. On a disk
    without locks the run goes on without. Raises BlockingIOError if another run keeps it, any other OSError if the disk
    refuses.
    """
    path = target.with_name(f".{target.name}.lock-wareboard")
    end = time.monotonic() + PATIENCE
    while (handle := _taken(path)) is None:
        if time.monotonic() > end:
            raise BlockingIOError(
                errno.EBUSY, "another run is writing there at this moment; wait until it ends, and run again"
            )
        time.sleep(PAUSE)
    try:
        yield
    finally:
        _let_go(path, handle)


def _taken(path: Path) -> int | None:
    """The lock file, open and locked; None if another run has it."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        _lock(handle)
        # The run before may have taken the file away between our opening and locking it.
        same = os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        same = False
    except OSError as error:
        same = error.errno not in TAKEN
    if same:
        return handle
    os.close(handle)
    return None


def _lock(handle: int) -> None:
    if sys.platform == "win32":
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _let_go(path: Path, handle: int) -> None:
    """Take the lock file away and let it go. Where an open file cannot be deleted, it is closed first; if another run
    has opened it by then, it is that run's to delete."""
    if sys.platform == "win32":
        os.close(handle)
        with suppress(OSError):
            path.unlink(missing_ok=True)
    else:
        with suppress(OSError):
            path.unlink(missing_ok=True)
        os.close(handle)


def exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step, so that at no moment one is missing; False, and nothing done, where the system has
    no such step."""
    if sys.platform == "win32":
        return False
    library = ctypes.CDLL(None)
    paths = os.fsencode(one), os.fsencode(other)
    if call := getattr(library, "renameat2", None):
        return bool(call(HERE, paths[0], HERE, paths[1], EXCHANGE) == 0)
    if call := getattr(library, "renamex_np", None):
        return bool(call(*paths, EXCHANGE) == 0)
    return False
