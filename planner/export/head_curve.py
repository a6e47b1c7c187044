"""A head's height and the pitch of its voice as two curves over one row of frames. Pure.

Each fills the band from its own lowest to its own highest in the shot, so that a rise is seen
beside a rise whatever their units.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.export.drawing import COOL, FAINT, INK, Pen
from planner.export.figures import ShotFigure
from planner.export.tone_voice import Scale
from planner.shot.laid import LaidLine

CURVE_HEIGHT = 58.0


def draw_head_curve(
    pen: Pen, figure: ShotFigure, lines: Sequence[LaidLine], scale: Scale, top: float
) -> None:
    """The two curves from `top` down, CURVE_HEIGHT high."""
    heights = head_heights(figure)
    pen.line(scale.left, top, scale.right, top, 0.8, FAINT)
    low, high = min(heights), max(heights)
    first = figure.motion.first_frame
    frames = range(scale.first, scale.last + 1)
    points = [
        (scale.middle(f), _y(heights[min(max(f - first, 0), len(heights) - 1)], low, high, top))
        for f in frames
    ]
    pen.path(points, 2.4, INK)
    own = [line for line in lines if line.who == figure.motion.who]
    voiced = [h for line in own for h in line.heights if not math.isnan(h)]
    if not voiced:
        return
    low, high = min(voiced), max(voiced)
    for line in own:
        run: list[tuple[float, float]] = []
        for f in frames:
            height = line.height_at(f)
            if math.isnan(height):
                pen.path(run, 1.2, COOL)
                run = []
            else:
                run.append((scale.middle(f), _y(height, low, high, top)))
        pen.path(run, 1.2, COOL)


def head_heights(figure: ShotFigure) -> list[float]:
    """How high the middle of the head stands on every frame, in heads, up."""
    head = next(s for s in figure.shapes if s.name == "head")
    rim = figure.points[:, head.first : head.first + head.count, 1]
    return [-float(y) for y in rim.mean(axis=1)]


def _y(value: float, low: float, high: float, top: float) -> float:
    share = (high - value) / max(high - low, 1e-9)
    return top + 5 + share * (CURVE_HEIGHT - 10)
