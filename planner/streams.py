"""Standard streams that may be closed, full, or of an encoding that lacks our letters.

Run once by the entry point: a stream that the shell closed (`>&-`) is a hole that swallows what is
written, so that no file opened later takes its number; what an encoding lacks is written as an
escape; a reader that left early (`| head`) is no error, a disk that is full is.
"""

from __future__ import annotations

import io
import os
import sys

from audio.shown import shown

FIRST_FREE = 3  # the numbers below are standard input, output and error


def prepare() -> None:
    """Make the streams safe to write to, whatever they were given as."""
    _fill_holes()
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123 - to the end
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _fill_holes() -> None:
    for number in range(FIRST_FREE):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number, which is this one


def finish() -> str:
    """Write out what is still held. Returns what went wrong, or ""."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        leave_output()
    except OSError as error:
        leave_output()
        return f"standard output: {error.strerror}"
    return ""


def leave_output() -> None:
    """Nobody reads standard output any more: what is left of it goes nowhere."""
    hole = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(hole, sys.stdout.fileno())
    except (OSError, ValueError, io.UnsupportedOperation):
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
    finally:
        os.close(hole)


def say(text: str) -> None:
    """A remark to the user, on standard error, never among the data."""
    sys.stderr.write(shown(text) + "\n")
