"""A drawing as data: text and lines in pixels, before it is an SVG, a PNG or a page of a PDF.

Pixels at the picture's own width (1600 across); y runs down. Nothing here knows what is drawn.
Ink, weights and dashes carry what is meant; colour only repeats it, so a black-and-white print
says the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

Weight = Literal["normal", "bold"]
Anchor = Literal["start", "middle", "end"]

INK = "#1c2129"
SOFT = "#5d6673"  # 5.9 to 1 on white
FAINT = "#c3c8d0"
WARM = "#8c2f1b"  # main stresses; 7.7 to 1 on white
COOL = "#0f5566"  # movements of the tone that are heard; 8.1 to 1
PAPER = "#ffffff"

# Widths of letters as shares of the size, on the wide side of common sans serif faces, so that
# texts laid out with them do not touch whichever face draws them.
_NARROW, _MIDDLE, _WIDE = 0.34, 0.62, 0.92
_WIDTHS = {
    **dict.fromkeys("ijlI.,:;'|! ", _NARROW),
    **dict.fromkeys('ftr()[]-/"', 0.42),
    **dict.fromkeys("mwMW%@", _WIDE),
    **dict.fromkeys("ABCDEFGHKLNOPQRSTUVXYZ", 0.72),
}
_FULL_WIDTH_FROM = 0x1100  # Hangul, kana, ideographs, emoji: a square each
BOLD_WIDER = 1.1


@dataclass(frozen=True, slots=True)
class Label:
    """A text on its baseline. `halo` keeps what is behind from touching the letters."""

    x: float
    y: float
    text: str
    size: float
    weight: Weight = "normal"
    italic: bool = False
    ink: str = INK
    anchor: Anchor = "start"
    halo: bool = False


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points. `dash` lengths on and off, () for a solid one.

    `fill` closes it to a block of that tone; `round` gives it round ends.
    """

    points: tuple[tuple[float, float], ...]
    width: float
    ink: str = INK
    dash: tuple[float, ...] = ()
    fill: str = ""
    round: bool = False


@dataclass(frozen=True, slots=True)
class Drawing:
    """What is drawn, in order, on paper of so many pixels."""

    width: float
    height: float
    items: tuple[Label | Stroke, ...]
    about: str = ""


@dataclass(slots=True)
class Pen:
    """Collects what is drawn."""

    items: list[Label | Stroke] = field(default_factory=list)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, width: float = 1.0, ink: str = INK,
        dash: tuple[float, ...] = (),
    ) -> None:  # fmt: skip
        """A straight line."""
        self.items.append(Stroke(((x1, y1), (x2, y2)), width, ink, dash))

    def path(
        self, points: Sequence[tuple[float, float]], width: float, ink: str = INK,
        dash: tuple[float, ...] = (),
    ) -> None:  # fmt: skip
        """A line through points, if there are two or more."""
        if len(points) > 1:
            self.items.append(Stroke(tuple(points), width, ink, dash))

    def add(self, labels: Iterable[Label]) -> None:
        """Texts."""
        self.items.extend(labels)

    def drawing(self, width: float, height: float, about: str = "") -> Drawing:
        """What was drawn so far, on its paper."""
        return Drawing(width, height, tuple(self.items), about)


def text_width(text: str, size: float, weight: Weight = "normal") -> float:
    """About how wide a text is, in pixels; rather too much than too little."""
    wide = sum(
        1.05 if ord(c) >= _FULL_WIDTH_FROM else _WIDTHS.get(c, _MIDDLE)
        for c in text
        if c not in "\u200c\u200d\u200e\u200f\ufe0f"
    )
    return wide * size * (BOLD_WIDER if weight == "bold" else 1.0)


def cut_to(text: str, width: float, size: float, weight: Weight = "normal") -> str:
    """The text, cut with an ellipsis if it is wider than that."""
    if text_width(text, size, weight) <= width:
        return text
    kept = text
    while kept and text_width(kept + "…", size, weight) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…" if kept.strip() else ""


class Rows:
    """Texts and spans placed on as few rows as can be, none touching another."""

    def __init__(self, gap: float = 8.0) -> None:
        self.gap = gap
        self.ends: list[float] = []

    def row(self, start: float, end: float) -> int:
        """The first row free from `start` on; it is taken to `end`."""
        for index, taken in enumerate(self.ends):
            if taken + self.gap <= start:
                self.ends[index] = end
                return index
        self.ends.append(end)
        return len(self.ends) - 1
