"""Files that are read: ordinary ones alone, whole, and no larger than what is meant can be.

A pipe or a device may never end, and one that nobody writes to holds its reader for ever; so
the kind is looked at before a file is opened, opening waits for nobody, and what was opened is
looked at again, as a name may have come to mean another file meanwhile.
"""

from __future__ import annotations

import errno
import os
import stat
from io import BufferedReader
from pathlib import Path

_KINDS = (
    (stat.S_ISDIR, errno.EISDIR, "is a folder"),
    (stat.S_ISFIFO, errno.EINVAL, "is a pipe, no ordinary file"),
    (stat.S_ISSOCK, errno.EINVAL, "is a socket, no ordinary file"),
    (stat.S_ISCHR, errno.EINVAL, "is a device, no ordinary file"),
    (stat.S_ISBLK, errno.EINVAL, "is a device, no ordinary file"),
)


class TooLargeError(OSError):
    """A file larger than what is meant can be."""


def check_regular(path: str | Path) -> os.stat_result:
    """The facts of an ordinary file, links followed. Raises OSError for anything else."""
    facts = os.stat(path)  # noqa: PTH116 - bytes and odd names are met alike
    _check_mode(facts.st_mode, path)
    return facts


def open_regular(path: str | Path) -> BufferedReader:
    """An ordinary file, opened for reading bytes.

    Raises OSError for what is missing, may not be read, or is a folder, a pipe or a device: its
    strerror says which ("is a pipe, no ordinary file"). ValueError for a name that can be none.
    """
    check_regular(path)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags)
    try:
        _check_mode(os.fstat(handle).st_mode, path)
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def read_regular(path: str | Path, limit_bytes: int) -> bytes:
    """All of an ordinary file. Raises OSError as `open_regular`, TooLargeError beyond the limit."""
    with open_regular(path) as file:
        data = file.read(limit_bytes + 1)
    if len(data) > limit_bytes:
        raise TooLargeError(errno.EFBIG, f"larger than {limit_bytes // 1_000_000} MB", str(path))
    return data


def _check_mode(mode: int, path: str | Path) -> None:
    for is_kind, number, said in _KINDS:
        if is_kind(mode):
            raise OSError(number, said, str(path))
