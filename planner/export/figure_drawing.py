"""The figure of a frame as strokes of a drawing, at a place and a size. Pure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audio.reading import FloatArray
from planner.export.drawing import Stroke
from planner.motion.figure import Shape

ROUNDED, ROUNDED_SMALL = 5, 2  # points drawn from one to the next of a smooth line
SMALL_HEAD_PX = 40.0  # a smaller figure needs fewer, and no hundredths of a pixel
LEAST_PX = 0.7
TOO_SMALL = ("ear", "thumb", "thumb in")  # nobody sees them in a small figure


def figure_strokes(
    shapes: Sequence[Shape], points: FloatArray, x: float, y: float, head_px: float,
    *, ink: str | None = None, hollow: bool = False,
) -> tuple[Stroke, ...]:  # fmt: skip
    """The strokes. points : (points, 2) of one frame, y down; (x, y) is where the hips stand.

    ink : one ink for all lines (a ghost), hollow : no tones.
    """
    small = head_px < SMALL_HEAD_PX
    placed = points * head_px + np.array([x, y])
    if small:
        placed = np.round(placed, 1)
    made = []
    for shape in shapes:
        own = placed[shape.first : shape.first + shape.count]
        between = ROUNDED_SMALL if small else ROUNDED
        line = rounded(own, closed=shape.closed, between=between) if shape.smooth else own
        if small:
            line = np.round(line, 1)
        inner = shape.ink not in ("#1c2129",) and not shape.fill  # the paper inside a limb
        if (hollow and inner) or (small and shape.name.endswith(TOO_SMALL)):
            continue
        made.append(
            Stroke(
                tuple((float(a), float(b)) for a, b in line),
                max(shape.width * head_px, 0.0 if inner else LEAST_PX),
                ink if ink and not inner else shape.ink,
                fill="" if hollow else shape.fill, round=True,
            )
        )  # fmt: skip
    return tuple(made)


def rounded(points: FloatArray, *, closed: bool, between: int = ROUNDED) -> FloatArray:
    """A smooth line through points (Catmull & Rom 1974), shape (more points, 2)."""
    count = len(points)
    if count < 3:
        return points
    last = count if closed else count - 1
    index = np.arange(last)
    if closed:
        four = [points[(index + k) % count] for k in (-1, 0, 1, 2)]
    else:
        four = [points[np.clip(index + k, 0, count - 1)] for k in (-1, 0, 1, 2)]
    before, one, two, after = (p[:, None] for p in four)
    u = np.linspace(0, 1, between, endpoint=False)[None, :, None]
    curve = one + 0.5 * u * (
        two - before
        + u * (2 * before - 5 * one + 4 * two - after + u * (3 * (one - two) + after - before))
    )  # fmt: skip
    made = curve.reshape(-1, 2)
    return made if closed else np.concatenate([made, points[-1:]])
