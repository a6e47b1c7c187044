"""One way to write a file: whole or not at all.

The text goes to a new file in the same folder, is synced, and takes the old one's place by a
rename; whoever reads meanwhile, or after a crash, finds the old file or the new one, complete.
The mode of an old file is kept, a link is followed to the file it names. With `keep_last` the
version before stays beside it under the same name with "~" added.

What it does not do: keep extended attributes or the owner; ask whether the file changed since.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import time
from pathlib import Path

from audio.errors import OutputError

PART_ENDING = ".part"  # of the file being written: .NAME.xxxxxxxx.part
STALE_S = 3600.0  # a leftover of a killed writer is removed after this
_MENDS = {
    errno.ENOSPC: "free some room on the disk",
    errno.EDQUOT: "free some of your room on the disk",
    errno.EACCES: "choose another folder, or ask for the right to write there",
    errno.EPERM: "choose another folder, or ask for the right to write there",
    errno.EROFS: "the disk is read-only; choose another folder",
    errno.ENOENT: "make the folder first",
    errno.ENOTDIR: "make the folder first",
    errno.ENAMETOOLONG: "choose a shorter name",
}


def safe_write(path: str | Path, data: str | bytes, *, keep_last: bool = False) -> None:
    """Write a file whole. Text is written as UTF-8, its line ends as they are.

    keep_last : the version before stays beside it, as NAME~.
    Raises OutputError; the old file, if any, is then untouched and nothing else is left.
    """
    given = Path(path)
    try:
        content = data.encode("utf-8") if isinstance(data, str) else data
        _write(Path(os.path.realpath(given)), content, keep_last)
    except UnicodeEncodeError:
        what = "the text has half a character (a lone surrogate)"
        raise OutputError(what, where=str(given), mend="delete it") from None
    except (OSError, ValueError) as problem:
        raise output_error(given, problem) from None


def output_error(path: str | Path, problem: OSError | ValueError) -> OutputError:
    """A failed write as one line with a mend."""
    number = problem.errno if isinstance(problem, OSError) else None
    said = problem.strerror if isinstance(problem, OSError) and problem.strerror else str(problem)
    mend = _MENDS.get(number, "") if number else ""
    return OutputError(f"could not be written: {said}", where=str(path), mend=mend)


def _write(path: Path, content: bytes, keep_last: bool) -> None:
    old = _stat(path)
    if old is not None and stat.S_ISDIR(old.st_mode):
        raise IsADirectoryError(errno.EISDIR, "there is a folder of that name")
    if old is not None and not stat.S_ISREG(old.st_mode):
        path.write_bytes(content)  # a pipe or a device has no old version to lose
        return
    if old is not None and not os.access(path, os.W_OK) and os.access(path.parent, os.W_OK):
        # A rename would replace a file that its owner made read-only.
        raise PermissionError(errno.EACCES, "the file is read-only")
    part = _part_of(path)
    try:
        _write_part(part, content, old)
        if keep_last and old is not None:
            _keep(path)
        part.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink()
        raise
    _sync_folder(path.parent)
    _remove_stale(path)


def _part_stem(path: Path) -> str:
    return f".{path.name[:60]}."  # short enough to be a name whatever the file is called


def _part_of(path: Path) -> Path:
    return path.with_name(f"{_part_stem(path)}{os.urandom(4).hex()}{PART_ENDING}")


def _stat(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except FileNotFoundError:
        return None


def _write_part(part: Path, content: bytes, old: os.stat_result | None) -> None:
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    if old is not None:
        part.chmod(stat.S_IMODE(old.st_mode))


def _keep(path: Path) -> None:
    """The file under a second name; the first is never missing meanwhile."""
    last = path.with_name(path.name + "~")
    spare = _part_of(path)
    try:
        try:
            os.link(path, spare)
        except OSError:  # a file system without hard links
            _write_part(spare, path.read_bytes(), path.stat())
        spare.replace(last)
    except BaseException:
        with contextlib.suppress(OSError):
            spare.unlink()
        raise


def _sync_folder(folder: Path) -> None:
    """Make the rename itself lasting, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _remove_stale(path: Path) -> None:
    """Leftovers of writers that were killed, once they are old enough to be nobody's."""
    before = time.time() - STALE_S
    with contextlib.suppress(OSError):
        for entry in path.parent.iterdir():
            if entry.name.startswith(_part_stem(path)) and entry.name.endswith(PART_ENDING):
                with contextlib.suppress(OSError):
                    if entry.stat().st_mtime < before:
                        entry.unlink()
