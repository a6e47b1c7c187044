"""How far a long run is, on standard error: a bar on a terminal, a line now and then elsewhere.

What is left is reckoned by the sizes of the sounds, since a long one takes longer.
"""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Any

from planner.commands._shared import say

FIRST_S, EVERY_S = 5.0, 30.0  # the first plain line, and how far apart the others are


class Progress:
    """Told what was done, says so; a context that cleans the terminal up on leaving."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._task: Any = None
        self._total = self._done = self._files = self._sounds = 0
        self._began = self._next = 0.0

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        if self._bar is not None:
            self._bar.stop()

    def begin(self, files: int, sizes: int) -> None:
        """So many files are to be done, of so many bytes of sound."""
        self._files, self._total = files, max(sizes, 1)
        self._began = time.monotonic()
        self._next = self._began + FIRST_S
        if sys.stderr.isatty():
            self._show_bar()
        else:
            say(f"listening to {files} file{'' if files == 1 else 's'}")

    def heard(self, size: int) -> None:
        """A sound of so many bytes is done."""
        self._done += size
        self._sounds += 1
        if self._bar is not None:
            self._bar.update(self._task, completed=self._done)
        elif time.monotonic() >= self._next:
            self._next = time.monotonic() + EVERY_S
            say(f"{self._sounds} sounds heard, {self._done / self._total:.0%}, {self._left()} left")

    def failed(self, text: str) -> None:
        """A file failed, with the reason."""
        say(f"failed: {text}")

    def _left(self) -> str:
        rest_s = (time.monotonic() - self._began) * (self._total / max(self._done, 1) - 1.0)
        return lasting(rest_s)

    def _show_bar(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

        self._bar = Progress(
            TextColumn("listening"), BarColumn(), TextColumn("{task.percentage:>3.0f}%"),
            TimeRemainingColumn(compact=True), TextColumn("left"),
            console=Console(stderr=True), transient=True,
        )  # fmt: skip
        self._bar.start()
        self._task = self._bar.add_task("", total=self._total)


def lasting(seconds: float) -> str:
    """A length of time as people say it.

    >>> lasting(7), lasting(200), lasting(8000)
    ('7 s', '3 min', '2 h 13 min')
    """
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60} min"
