"""Drawings as PNG through matplotlib or as PDF (an extra): the same lines and texts as the SVG.

A PNG has two pixels for each of the drawing's, so that it is sharp in print; a PDF has a page for
each row of the shot, across A4 or Letter.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from audio.errors import OutputError
from planner.export.drawing import PAPER, Drawing, Label
from planner.export.pdf_pages import PAPER_MM, Pages

SHARPER = 2  # pixels a pixel of the drawing
HIGHEST_PX = 60_000  # the raster's own limit is 65,536
MARGIN_MM = 10.0
POINTS_AN_INCH = 72.0
FACES = ["Arial", "Helvetica", "Liberation Sans", "Nimbus Sans", "DejaVu Sans"]


def png_bytes(drawings: Sequence[Drawing]) -> bytes:
    """The drawings one below the other as a PNG.

    Raises OutputError if matplotlib is missing, or the picture would be too tall.
    """
    width = max(d.width for d in drawings)
    height = sum(d.height for d in drawings)
    if height * SHARPER > HIGHEST_PX:
        raise OutputError(
            "the shot is too long for one PNG", mend="use --line, --phrase or --frames, or .svg"
        )
    with _matplotlib() as plt:
        figure = plt.figure(figsize=(width / 100, height / 100), dpi=100 * SHARPER)
        axes = _axes(figure, width, height)
        y = 0.0
        for drawing in drawings:
            _draw(axes, drawing, y)
            y += drawing.height
        out = io.BytesIO()
        figure.savefig(out, format="png", facecolor=PAPER, metadata={"Software": "linebeat"})
        return out.getvalue()


def pdf_bytes(drawings: Sequence[Drawing], *, paper: str = "A4", title: str = "") -> bytes:
    """A page a drawing, scaled to fit. Raises OutputError without the extra."""
    pages = Pages(title, paper=paper)
    high, wide = PAPER_MM[paper]  # turned
    for drawing in drawings:
        pages.page(across=True)
        scale = min((wide - 2 * MARGIN_MM) / drawing.width, (high - 2 * MARGIN_MM) / drawing.height)
        pages.drawing(drawing, MARGIN_MM, MARGIN_MM, scale)
    return pages.done()


@contextmanager
def _matplotlib() -> Iterator[Any]:
    """pyplot-like figures without a screen; settings and figures do not outlive the block."""
    try:
        import matplotlib as mpl
        from matplotlib import font_manager
        from matplotlib.figure import Figure
    except ImportError:
        raise OutputError(
            "a picture needs matplotlib", mend="pip install 'linebeat[picture]', or write .svg"
        ) from None
    known = set(font_manager.get_font_names())
    faces = [face for face in FACES if face in known] or ["DejaVu Sans"]
    settings: Any = {"font.family": faces, "pdf.fonttype": 42, "text.parse_math": False}
    with mpl.rc_context(settings), warnings.catch_warnings():
        # A face without a letter draws a box; the file is written all the same.
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        yield _Figures(Figure)


class _Figures:
    """Figures that belong to no window system."""

    def __init__(self, make: Any) -> None:
        self._make = make

    def figure(self, **options: Any) -> Any:
        return self._make(**options)

    def close(self, figure: Any) -> None:
        figure.clear()


def _axes(figure: Any, width: float, height: float, box: tuple[float, ...] = (0, 0, 1, 1)) -> Any:
    """Axes in the drawing's pixels, y down, nothing of their own drawn."""
    axes = figure.add_axes(box)
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    axes.set_axis_off()
    return axes


def _draw(axes: Any, drawing: Drawing, top: float, *, inches_a_px: float = 0.01) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Polygon
    from matplotlib.patheffects import Normal, Stroke

    point = inches_a_px * POINTS_AN_INCH  # points a pixel
    for order, item in enumerate(drawing.items, start=3):
        if isinstance(item, Label):
            text = axes.text(
                item.x, item.y + top, item.text, fontsize=item.size * point, color=item.ink,
                fontweight=item.weight, fontstyle="italic" if item.italic else "normal",
                ha={"start": "left", "middle": "center", "end": "right"}[item.anchor],
                va="baseline", zorder=order, parse_math=False,
            )  # fmt: skip
            if item.halo:
                text.set_path_effects([Stroke(linewidth=4 * point, foreground=PAPER), Normal()])
        elif item.fill:
            axes.add_patch(
                Polygon(
                    [(x, y + top) for x, y in item.points], closed=True, facecolor=item.fill,
                    edgecolor=item.ink, linewidth=item.width * point, joinstyle="round",
                    zorder=order,
                )
            )  # fmt: skip
        else:
            dash: Any = (0, tuple(d / item.width for d in item.dash)) if item.dash else "-"
            axes.add_line(
                Line2D(
                    [x for x, _ in item.points], [y + top for _, y in item.points],
                    linewidth=item.width * point, color=item.ink, linestyle=dash, zorder=order,
                    solid_capstyle="round" if item.round else "butt", solid_joinstyle="round",
                )
            )  # fmt: skip
