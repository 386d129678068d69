"""A program that writes results and is stopped at a step of the file system: killed, or told that the disk is full.

``python interrupted.py OUT STEP kill|fail [plain]``: Python tells of each opening, moving and deleting just before it
is done (its audit events); at number STEP this ends the process as SIGKILL does, or refuses as a full disk does.
``plain`` goes the way of systems that cannot swap two folders in one step. Ends with 3 if the writing was refused, with
0 if it was done, and says how many steps it took.
"""

from __future__ import annotations

import errno
import os
import signal
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from pipeline.writing import folder

STEPS = {"open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.scandir", "os.listdir"}

NEW = {"pieces.csv": b"new pieces" * 9000, "plan.xlsx": b"new book" * 9000}


def main() -> None:
    out, stop_at, how = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    if "plain" in sys.argv:
        folder.exchange = lambda *_: False
    done = 0

    def watch(event: str, _: tuple[object, ...]) -> None:
        nonlocal done
        if event not in STEPS:
            return
        done += 1
        if done != stop_at:
            return
        if how == "kill":
            os.kill(os.getpid(), signal.SIGKILL)
        raise OSError(errno.ENOSPC, "No space left on device")

    sys.addaudithook(watch)
    try:
        folder.write_folder(out, NEW)
    except folder.CannotWrite as refusal:
        print(refusal)
        sys.exit(3)
    print(done)


if __name__ == "__main__":
    main()
