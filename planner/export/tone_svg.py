"""Drawings as SVG 1.1: text stays text (found by a search, read aloud), lines stay lines.

No style attributes, no script, no network, so that a page with a strict policy can hold it.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.export.drawing import PAPER, Drawing, Label, Stroke
from planner.export.plain import escaped

FONT = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"


def svg_text(drawings: Sequence[Drawing], *, title: str) -> str:
    """A picture of its own: the drawings one below the other."""
    width = max(d.width for d in drawings)
    height = sum(d.height for d in drawings)
    body, y = [], 0.0
    for drawing in drawings:
        body.append(f'<g transform="translate(0 {_n(y)})">{_items(drawing)}</g>')
        y += drawing.height
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}" height="{_n(height)}" '
        f'viewBox="0 0 {_n(width)} {_n(height)}" role="img" '
        f'stroke-linejoin="round" font-family="{escaped(FONT)}">\n'
        f"<title>{escaped(title)}</title>\n"
        f'<rect width="100%" height="100%" fill="{PAPER}"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def svg_inline(drawing: Drawing, *, name: str, extra: str = "") -> str:
    """A drawing as a part of a page; `extra` is SVG drawn on top."""
    label = (
        f'role="img" aria-label="{escaped(drawing.about)}"'
        if drawing.about
        else 'aria-hidden="true"'
    )
    return (
        f'<svg id="{name}" width="{_n(drawing.width)}" height="{_n(drawing.height)}" '
        f'viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}" stroke-linejoin="round" {label} '
        f'font-family="{escaped(FONT)}">{_items(drawing)}{extra}</svg>'
    )


def _items(drawing: Drawing) -> str:
    return "\n".join(_label(i) if isinstance(i, Label) else _stroke(i) for i in drawing.items)


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _label(label: Label) -> str:
    extra = ""
    if label.weight == "bold":
        extra += ' font-weight="700"'
    if label.italic:
        extra += ' font-style="italic"'
    if label.anchor != "start":
        extra += f' text-anchor="{label.anchor}"'
    if label.halo:
        extra += f' stroke="{PAPER}" stroke-width="4" stroke-linejoin="round" paint-order="stroke"'
    return (
        f'<text x="{_n(label.x)}" y="{_n(label.y)}" font-size="{_n(label.size)}" '
        f'fill="{label.ink}"{extra}>{escaped(label.text)}</text>'
    )


def _stroke(stroke: Stroke) -> str:
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in stroke.dash)}"' if stroke.dash else ""
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in stroke.points)
    ends = ' stroke-linecap="round"' if stroke.round else ""
    kind = "polygon" if stroke.fill else "polyline"
    return (
        f'<{kind} points="{points}" fill="{stroke.fill or "none"}" stroke="{stroke.ink}" '
        f'stroke-width="{_n(stroke.width)}"{dash}{ends}/>'
    )
