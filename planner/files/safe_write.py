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
import itertools
import os
import shutil
import stat
import time
from pathlib import Path

from audio.errors import OutputError
from audio.regular_file import open_regular

PART_ENDING = ".part"  # of the file being written: .NAME.xxxxxxxx.part
COPY_BYTES = 1 << 20
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


def safe_write(
    path: str | Path, data: str | bytes, *, keep_last: bool = False, unasked: bool = False
) -> None:
    """Write a file whole. Text is written as UTF-8, its line ends as they are.

    keep_last : the version before stays beside it, as NAME~. unasked : nobody named this file, so
    no link is followed and nothing but an ordinary file is replaced.
    Raises OutputError; the old file, if any, is then untouched and nothing else is left.
    """
    given = Path(path)
    try:
        content = data.encode("utf-8") if isinstance(data, str) else data
        if unasked:
            _check_own(given)
            _write(Path(os.path.realpath(given.parent), given.name), content, keep_last)
        else:
            _write(Path(os.path.realpath(given)), content, keep_last)
    except UnicodeEncodeError:
        what = "the text has half a character (a lone surrogate)"
        raise OutputError(what, where=str(given), mend="delete it") from None
    except (OSError, ValueError) as problem:
        raise output_error(given, problem) from None


def free_name(folder: Path, stem: str, ending: str) -> Path:
    """A file name that nothing has yet: STEM.ENDING, else STEM-2.ENDING, and so on."""
    names = itertools.chain([stem], (f"{stem}-{number}" for number in itertools.count(2)))
    return next(p for n in names if not os.path.lexists(p := folder / f"{n}{ending}"))


def copy_whole(source: Path, target: Path) -> None:
    """A copy of an ordinary file under a name that nothing has; whole or not at all.

    Raises OutputError.
    """
    part = _part_of(target)
    try:
        with open_regular(source) as old, part.open("xb") as new:
            shutil.copyfileobj(old, new, COPY_BYTES)
            new.flush()
            os.fsync(new.fileno())
        part.replace(target)
    except (OSError, ValueError) as problem:
        raise output_error(target, problem) from None
    finally:
        with contextlib.suppress(OSError):
            part.unlink()
    _sync_folder(target.parent)


def same_file(one: Path, other: Path) -> bool:
    """Whether two ordinary files hold the same bytes; False where one cannot be read."""
    try:
        with open_regular(one) as a, open_regular(other) as b:
            if os.fstat(a.fileno()).st_size != os.fstat(b.fileno()).st_size:
                return False
            while piece := a.read(COPY_BYTES):
                if piece != b.read(COPY_BYTES):
                    return False
    except OSError:
        return False
    return True


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


def _check_own(path: Path) -> None:
    """Refuse a link, a pipe or a folder where a file of ours is meant."""
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return
    if not stat.S_ISREG(mode):
        said = "is a link to another file" if stat.S_ISLNK(mode) else "is no ordinary file"
        raise FileExistsError(errno.EEXIST, f"what is there {said}")


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
