"""Pages of a PDF through ReportLab (an extra): lines and texts in millimetres from the top left.

The same drawing gives the same bytes: no dates, no random names. Texts are set letter by letter in
the first face that has them; writing that joins its letters or runs from right to left is set as it
is stored, so such a page is better printed from its HTML.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Any

from audio.errors import OutputError
from planner.export.drawing import Drawing, Label

MM = 72 / 25.4  # points
PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # ISO 216, ANSI Y14.1 (from memory)
FACES = ("Liberation Sans", "Arial", "Helvetica", "DejaVu Sans", "Noto Sans")
SHORTEN = "…"


class Pages:
    """A PDF being drawn, page by page. Raises OutputError if the extra is missing."""

    def __init__(self, title: str, *, paper: str = "A4") -> None:
        try:
            import matplotlib.font_manager  # noqa: F401 - which faces there are
            from reportlab import rl_config
            from reportlab.pdfgen.canvas import Canvas
        except ImportError:
            raise OutputError(
                "a printed sheet needs reportlab and matplotlib",
                mend="pip install 'linebeat[picture]', or write .html and print it",
            ) from None
        rl_config.useA85 = 0  # bytes as they are: letters for them cost more than the drawing
        self._out = io.BytesIO()
        self._paper = PAPER_MM[paper]
        self._high = self._paper[1]
        self._canvas = Canvas(self._out, invariant=1, pageCompression=1)
        self._begun = False
        self._canvas.setTitle(title)
        self._canvas.setCreator("linebeat")

    def page(self, *, across: bool = False) -> None:
        """Begin a page; the one before it is done."""
        if self._begun:
            self._canvas.showPage()
        self._begun = True
        wide, high = self._paper[::-1] if across else self._paper
        self._high = high
        self._canvas.setPageSize((wide * MM, high * MM))
        self._canvas.setLineCap(0)

    def lines(
        self, segments: Sequence[tuple[float, float, float, float]], width: float, ink: str,
        dash: tuple[float, ...] = (),
    ) -> None:  # fmt: skip
        """Straight lines of one kind, x1 y1 x2 y2 each."""
        if not segments:
            return
        canvas = self._canvas
        canvas.setStrokeColor(_ink(ink))
        canvas.setLineWidth(width * MM)
        canvas.setDash([d * MM for d in dash] if dash else [])
        top = self._high
        canvas.lines([(a * MM, (top - b) * MM, c * MM, (top - d) * MM) for a, b, c, d in segments])

    def block(self, x: float, y: float, wide: float, high: float, ink: str) -> None:
        """A filled rectangle, x and y its upper left corner."""
        self._canvas.setFillColor(_ink(ink))
        self._canvas.rect(x * MM, (self._high - y - high) * MM, wide * MM, high * MM, 0, 1)

    def text(
        self, x: float, baseline: float, text: str, size_pt: float, *, style: str = "",
        ink: str = "#000000", anchor: str = "start", backed: bool = False,
        halo_mm: float = 0.0,
    ) -> float:  # fmt: skip
        """A text on its baseline; returns how wide it is. style : "", "bold" or "italic".

        `backed` keeps the rules behind from running through the letters.
        """
        wide = text_width_mm(text, size_pt, style)
        x -= {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        if backed:
            high = size_pt / MM
            self.block(x, baseline - 0.78 * high, wide, 0.98 * high, "#ffffff")
        self._canvas.setFillColor(_ink(ink))
        if halo_mm:
            self._canvas.setStrokeColor(_ink("#ffffff"))
            self._canvas.setLineWidth(halo_mm * MM)
            self._canvas.setDash([])
            self._string(x, baseline, text, size_pt, style, 1)
        self._string(x, baseline, text, size_pt, style, 0)
        return wide

    def _string(
        self, x: float, baseline: float, text: str, size_pt: float, style: str, mode: int
    ) -> None:  # fmt: skip
        """The letters, filled (mode 0) or as outlines (1)."""
        for face, run in _runs(text, style):
            self._canvas.setFont(face, size_pt)
            self._canvas.drawString(x * MM, (self._high - baseline) * MM, run, mode=mode)
            x += _width(run, face, size_pt) / MM

    def drawing(self, drawing: Drawing, x: float, y: float, mm_a_px: float) -> None:
        """A drawing with its upper left corner there."""
        canvas = self._canvas
        for item in drawing.items:
            if isinstance(item, Label):
                style = "bold" if item.weight == "bold" else "italic" if item.italic else ""
                self.text(x + item.x * mm_a_px, y + item.y * mm_a_px, item.text,
                          item.size * mm_a_px * MM, style=style, ink=item.ink,
                          anchor=item.anchor,
                          halo_mm=4 * mm_a_px if item.halo else 0.0)  # fmt: skip
                continue
            canvas.setStrokeColor(_ink(item.ink))
            canvas.setLineWidth(item.width * mm_a_px * MM)
            canvas.setDash([d * mm_a_px * MM for d in item.dash] if item.dash else [])
            canvas.setLineCap(1 if item.round else 0)
            path = canvas.beginPath()
            for k, (px, py) in enumerate(item.points):
                (path.lineTo if k else path.moveTo)(
                    (x + px * mm_a_px) * MM, (self._high - y - py * mm_a_px) * MM
                )
            if item.fill:
                path.close()
                canvas.setFillColor(_ink(item.fill))
            canvas.drawPath(path, stroke=1, fill=1 if item.fill else 0)
        canvas.setLineCap(0)

    def done(self) -> bytes:
        """The file."""
        self._canvas.save()
        return self._out.getvalue()


def text_width_mm(text: str, size_pt: float, style: str = "") -> float:
    """How wide a text is, in millimetres."""
    return sum(_width(run, face, size_pt) for face, run in _runs(text, style)) / MM


def cut_to_mm(text: str, room_mm: float, size_pt: float, style: str = "") -> str:
    """The text, cut with an ellipsis if it is wider than that."""
    if text_width_mm(text, size_pt, style) <= room_mm:
        return text
    while text and text_width_mm(text + SHORTEN, size_pt, style) > room_mm:
        text = text[:-1]
    return text.rstrip() + SHORTEN


@lru_cache(maxsize=4096)
def wrapped(text: str, room_mm: float, size_pt: float, style: str = "") -> tuple[str, ...]:
    """The text in lines no wider than that; a word that is too wide alone is broken."""
    lines: list[str] = []
    for whole in text.split():
        joined = f"{lines[-1]} {whole}" if lines else whole
        if lines and text_width_mm(joined, size_pt, style) <= room_mm:
            lines[-1] = joined
            continue
        word = whole
        while len(word) > 1 and text_width_mm(word, size_pt, style) > room_mm:
            fits = max(
                (k for k in range(1, len(word))
                 if text_width_mm(word[:k], size_pt, style) <= room_mm), default=1,
            )  # fmt: skip
            lines.append(word[:fits])
            word = word[fits:]
        lines.append(word)
    return tuple(lines)


@lru_cache(maxsize=64)
def _ink(name: str) -> Any:
    """A colour, read once."""
    from reportlab.lib.colors import HexColor

    return HexColor(name)


@lru_cache(maxsize=1)
def _known_faces() -> tuple[tuple[str, str], ...]:
    """The faces there are: (family, file); the one that comes with matplotlib is always there."""
    from matplotlib import font_manager

    names = set(font_manager.get_font_names())
    return tuple((name, name.replace(" ", "")) for name in FACES if name in names)


@lru_cache(maxsize=8)
def _faces(style: str) -> tuple[tuple[str, Any], ...]:
    """Name and letters of each face in a style, registered."""
    from matplotlib import font_manager
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    found = []
    for family, short in _known_faces():
        wanted = font_manager.FontProperties(
            family=family, weight="bold" if style == "bold" else "normal",
            style="italic" if style == "italic" else "normal",
        )  # fmt: skip
        name = f"{short}-{style or 'plain'}"
        try:
            font = TTFont(name, font_manager.findfont(wanted))
        except TTFError:  # outlines of another kind, which it cannot embed
            continue
        pdfmetrics.registerFont(font)
        found.append((name, font.face.charToGlyph))
    return tuple(found)


@lru_cache(maxsize=8192)
def _runs(text: str, style: str) -> tuple[tuple[str, str], ...]:
    """The text in pieces with the face of each."""
    return tuple(_pieces(text, style))


def _pieces(text: str, style: str) -> Iterator[tuple[str, str]]:
    faces = _faces(style)

    def face_of(letter: str) -> str:
        return next((name for name, letters in faces if ord(letter) in letters), faces[0][0])

    for face, letters in groupby(text, key=face_of):
        yield face, "".join(letters)


@lru_cache(maxsize=8192)
def _width(run: str, face: str, size_pt: float) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(run, face, size_pt))
