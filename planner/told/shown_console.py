"""A console whose text cannot steer the terminal. Apart from `shown`, as rich is slow."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import Any

from rich.console import Console, ConsoleOptions
from rich.segment import Segment

from audio.shown import shown


def console(*, width: int | None = None) -> SafeConsole:
    """A console for data on standard output; wide enough for a table when output is a file."""
    if width is None and not sys.stdout.isatty():
        width = 120
    return SafeConsole(width=width, highlight=False, markup=False, emoji=False, soft_wrap=False)


class SafeConsole(Console):
    """A console that prints no control character but its own styles'."""

    def on_broken_pipe(self) -> None:
        """Nobody reads on; `planner.cli` ends quietly, where rich exits with 1."""
        raise BrokenPipeError

    def render(self, renderable: Any, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        """As in rich, each piece of text cleaned."""
        for text, style, control in super().render(renderable, options):
            yield Segment(text if control else shown(text), style, control)
