"""One rule for every file that a command writes because it was named: what is there stays.

A name that is taken is refused, unless --force is given (the version before then stays beside it
as NAME~) or the file there is linebeat's own of the same kind, which scripts write anew every day:
JSON of ours, the table and the page of `many`.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

from audio.errors import OutputError
from audio.regular_file import open_regular
from planner.files.safe_write import safe_write

HEAD_BYTES = 2000  # in which a file of ours shows that it is
OUR_JSON = re.compile(rb'\s*\{\s*"linebeat"\s*:')  # every JSON of ours begins so


def check_target(target: str | Path, *, force: bool = False, ours: re.Pattern[bytes] | None = None,
                 more: str = "") -> None:  # fmt: skip
    """Refuse early where nothing can be written, or where something else would be lost.

    ours : how a file that may be written anew begins; without it none may. more : said after "is
    there already". Raises OutputError. "-", standard output, is always free.
    """
    if str(target) == "-":
        return
    path = Path(target)
    if not path.parent.is_dir():
        raise OutputError(f'no folder "{path.parent}"', where=str(target), mend="make it first")
    if not os.path.lexists(path) or force:
        return
    if ours is None:
        raise already_there(target, more)
    if not _is_ours(path, ours):
        raise already_there(target, ", and linebeat did not write it")


def write_target(target: str | Path, data: str | bytes, *, force: bool = False) -> None:
    """Write what `check_target` let through; with `force` what was there stays as NAME~."""
    safe_write(target, data, keep_last=force)


def already_there(path: str | Path, more: str = "") -> OutputError:
    """The error where a file would be replaced without --force."""
    return OutputError(f"is there already{more}", where=str(path),
                       mend="choose another name, or add --force")  # fmt: skip


def _is_ours(path: Path, ours: re.Pattern[bytes]) -> bool:
    """Whether a file is empty or begins as one of ours."""
    try:
        with open_regular(path) as file:
            head = file.read(HEAD_BYTES)
    except OSError:
        return False
    return not head.strip() or ours.match(head) is not None
