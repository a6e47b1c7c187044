"""A picture of the desk as SVG that stands alone, and looks the same wherever it is opened. Pure.

No font is fetched from anywhere. Textual's SVG leaves the width of a run to `textLength`, which not
every viewer honours (librsvg does not), nor do all keep blanks at its start: a run of another
font's characters then grows over what stands beside it. So every word stands at its own place here,
and braille is drawn as its dots (as in Unicode 2800: eight a cell, two across).
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from rich.cells import cell_len

from planner.desk.views.braille import ACROSS, BLANK, DOTS, DOWN

FONTS = "Fira Code, DejaVu Sans Mono, Menlo, Consolas, monospace"  # the first that is there
TEXT = re.compile(
    r'<text class="(?P<role>[^"]*)" x="(?P<x>[^"]*)" y="(?P<y>[^"]*)" '
    r'textLength="(?P<length>[^"]*)" clip-path="(?P<clip>[^"]*)">(?P<text>[^<]*)</text>'
)
RULED = re.compile(r"\.([\w-]+)\s*\{[^}]*text-decoration[^}]*\}")
PIECES = re.compile(r"[\u2800-\u28ff]+|[^\xa0\u2800-\u28ff]+")
# Of Textual's SVG, pixels: a row's height, and how far above its base line it begins.
ROW_PX, ABOVE_PX = 24.4, 18.5
DOT_PX = 2.8


def standalone(svg: str) -> str:
    """Textual's SVG without fonts from the network and without the buttons of a window."""
    svg = re.sub(r"<!--.*?-->|\s*<circle [^>]*/>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"\s*@font-face\s*\{[^}]*\}", "", svg)
    svg = re.sub(r"font-family:\s*Fira Code[^;]*;", f"font-family: {FONTS};", svg)
    ruled = frozenset(RULED.findall(svg))
    return TEXT.sub(lambda found: "".join(_placed(found, ruled)), svg)


def _placed(found: re.Match[str], ruled: frozenset[str]) -> Iterator[str]:
    """A run's words, each at its own column; one with a line under or through it stays whole."""
    text = html.unescape(found["text"])
    cells = cell_len(text)
    if not cells or (found["role"] in ruled and not re.search("[\u2801-\u28ff]", text)):
        yield found[0]
        return
    x_px, y_px, cell_px = float(found["x"]), float(found["y"]), float(found["length"]) / cells
    for piece in PIECES.finditer(text):
        at_px = x_px + cell_len(text[: piece.start()]) * cell_px
        if piece[0][0] >= chr(BLANK) and piece[0][0] <= "\u28ff":
            dots = "".join(_dots(piece[0], at_px, y_px - ABOVE_PX, cell_px))
            if dots:
                yield f'<path class="{found["role"]}" d="{dots}"/>'
            continue
        yield (
            f'<text class="{found["role"]}" x="{at_px:.5g}" y="{found["y"]}" '
            f'textLength="{cell_len(piece[0]) * cell_px:.5g}" clip-path="{found["clip"]}">'
            f"{html.escape(piece[0])}</text>"
        )


def _dots(braille: str, x_px: float, top_px: float, cell_px: float) -> Iterator[str]:
    """The dots of a run of braille as small squares of a path."""
    for place, char in enumerate(braille):
        bits = ord(char) - BLANK
        for row in range(DOWN):
            for column in range(ACROSS):
                if bits & DOTS[row][column]:
                    x = x_px + (place + (column + 0.5) / ACROSS) * cell_px - DOT_PX / 2
                    y = top_px + (row + 0.5) / DOWN * ROW_PX - DOT_PX / 2
                    yield f"M{x:.1f} {y:.1f}h{DOT_PX}v{DOT_PX}h-{DOT_PX}z"
