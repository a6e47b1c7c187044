"""The last gate before the terminal: no text of a widget holds what would steer it.

Texts are made visible where they come in (`audio.shown`); what still slips through, in a widget of
Textual's own or something pasted, is left out here, as no row may become longer.
"""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from audio.shown import without_steering


class ShownFilter(LineFilter):
    """Leaves out control characters and what turns the reading direction."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The segments, their texts cleaned."""
        return [
            Segment(text if control else without_steering(text), style, control)
            for text, style, control in segments
        ]
