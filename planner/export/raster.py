"""Strokes and texts as pixels, with Pillow (in the extra `video`): what the movie is drawn with.

Everything is drawn twice as large and brought down, so that lines are smooth. Opens no file but the
fonts of the machine.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from audio.errors import OutputError
from planner.export.drawing import PAPER, Label, Stroke

LARGER = 2
FACES = ("Arial.ttf", "LiberationSans-Regular.ttf", "DejaVuSans.ttf")
BOLD_FACES = ("Arial_Bold.ttf", "LiberationSans-Bold.ttf", "DejaVuSans-Bold.ttf")


def pillow() -> Any:
    """Pillow. Raises OutputError if it is not installed."""
    try:
        import PIL.Image
        import PIL.ImageDraw
        import PIL.ImageFont
    except ImportError:
        raise OutputError(
            "a movie needs Pillow and PyAV", mend="pip install 'linebeat[video]'"
        ) from None
    return PIL


class Canvas:
    """A picture of so many pixels that strokes and texts are put on."""

    def __init__(self, width: int, height: int, paper: str = PAPER) -> None:
        self._pil = pillow()
        self.width, self.height = width, height
        self._image = self._pil.Image.new("RGB", (width * LARGER, height * LARGER), paper)
        self._pen = self._pil.ImageDraw.Draw(self._image)

    def strokes(self, items: Iterable[Stroke]) -> None:
        """Lines and blocks in order."""
        for item in items:
            points = [(x * LARGER, y * LARGER) for x, y in item.points]
            width = max(1, round(item.width * LARGER))
            if item.fill:
                self._pen.polygon(points, fill=item.fill)
                points = [*points, points[0]]
            self._pen.line(points, fill=item.ink, width=width, joint="curve")
            if item.round and width > 2 and not item.fill:
                r = width / 2
                for x, y in (points[0], points[-1]):
                    self._pen.ellipse((x - r, y - r, x + r, y + r), fill=item.ink)

    def labels(self, items: Iterable[Label]) -> None:
        """Texts on their baselines."""
        anchors = {"start": "ls", "middle": "ms", "end": "rs"}
        for item in items:
            font = _font(item.size * LARGER, item.weight == "bold")
            self._pen.text((item.x * LARGER, item.y * LARGER), item.text, fill=item.ink, font=font,
                           anchor=anchors[item.anchor])  # fmt: skip

    def width_of(self, text: str, size: float, *, bold: bool = False) -> float:
        """How wide a text is, in pixels."""
        return float(_font(size * LARGER, bold).getlength(text)) / LARGER

    def pixels(self) -> Any:
        """The picture as it is now, brought down to its size (a Pillow image)."""
        return self._image.reduce(LARGER)


@lru_cache(maxsize=32)
def _font(size: float, bold: bool) -> Any:
    """A sans serif face of the machine, else the one that comes with Pillow."""
    fonts = pillow().ImageFont
    for name in BOLD_FACES if bold else FACES:
        try:
            return fonts.truetype(name, size)
        except OSError:
            continue
    return fonts.load_default(size)
