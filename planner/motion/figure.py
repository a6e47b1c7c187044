"""The figure: a plain line drawing of a character, from its body and face. Pure.

    shapes, points = figure_of(motion, rate)          # points: (frames, points, 2), y down
    strokes = figure_strokes(shapes, points[k], x, y, head_px)

An egg of a head with brow lines, a nose, eyes and a mouth; chest and hip blocks, arms, hands. What
is drawn is the same on every frame, only the points move, so that a page can be sent the points
alone. Conventions: a head is one unit high, the point between the feet's hips is 0, y runs down.
Shapes stand from the back to the front. Ink alone tells; the tone of the blocks only repeats it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.motion.body import Body, body_of
from planner.motion.face import face_shapes
from planner.motion.performance import CharacterMotion

TONES = ("#dfe6ee", "#f1e4d3", "#e3eadb", "#ebe1ea")  # cloth, a character each
SKIN = "#ffffff"
INK = "#1c2129"
LIMB = 0.19  # heads, an arm's width
LINE = 0.034  # heads, a line's width
TOP, BOTTOM, REACH = -3.1, 1.0, 1.75  # heads: the box that holds a figure


@dataclass(frozen=True, slots=True)
class Shape:
    """A line or a block of the figure: its points are first..first+count-1 of a frame.

    width in heads. `fill` "" for a line; `smooth`: a curve runs through the points.
    """

    name: str
    first: int
    count: int
    closed: bool
    smooth: bool
    width: float
    ink: str
    fill: str = ""


@dataclass(slots=True)
class Sketch:
    """Collects shapes and their points."""

    shapes: list[Shape]
    points: list[FloatArray]

    def add(
        self, name: str, points: FloatArray, *, closed: bool = False, smooth: bool = True,
        width: float = LINE, ink: str = INK, fill: str = "",
    ) -> None:  # fmt: skip
        """A shape. points : (frames, count, 2), y up."""
        first = sum(p.shape[1] for p in self.points)
        self.shapes.append(Shape(name, first, points.shape[1], closed, smooth, width, ink, fill))
        self.points.append(points)

    def again(self, name: str, of: str, *, width: float, ink: str, count: int = 0) -> None:
        """A line through the points of a shape that is there (the first so many)."""
        one = next(s for s in self.shapes if s.name == of)
        self.shapes.append(
            Shape(name, one.first, count or one.count, False, one.smooth, width, ink)
        )


def figure_of(
    motion: CharacterMotion, frames_per_s: float, *, tone: int = 0
) -> tuple[tuple[Shape, ...], FloatArray]:
    """The figure of every frame: its shapes, and their points, shape (frames, points, 2).

    tone : which of the cloths, so that two characters are told apart.
    """
    body = body_of(motion, frames_per_s)
    values = motion.exposed
    c = {name: values[:, i] for name, i in motion.table.index.items()}
    sketch = Sketch([], [])
    cloth = TONES[tone % len(TONES)]
    far, near = ("right", "left") if motion.side > 0 else ("left", "right")
    _legs(sketch, body, cloth)
    _upper_arm(sketch, body, far, cloth)
    _hips(sketch, body, cloth)
    _neck(sketch, body)
    _chest(sketch, body, cloth)
    face_shapes(sketch, body, c, motion.side)
    _upper_arm(sketch, body, near, cloth)
    for name in (far, near):
        _forearm(sketch, body, name, cloth)
    points = np.concatenate(sketch.points, axis=1)
    points = points * np.array([1.0, -1.0])
    points.flags.writeable = False
    return tuple(sketch.shapes), points


def figure_at(
    motion: CharacterMotion, frames_per_s: float, frame: int, *, tone: int = 0
) -> tuple[tuple[Shape, ...], FloatArray]:
    """The figure of one frame: its shapes, and their points, shape (points, 2). Quick."""
    part = motion.cut(frame, frame)
    shapes, points = figure_of(part, frames_per_s, tone=tone)
    index = min(max(frame - part.first_frame, 0), len(points) - 1)
    return shapes, points[index]


def _flat(*places: FloatArray) -> FloatArray:
    """Places in space as points of the picture, shape (frames, count, 2)."""
    return np.stack([p[:, :2] for p in places], axis=1)


def _axes(turn: FloatArray, wide: float, deep: float) -> tuple[FloatArray, FloatArray]:
    """A block's own up and half its width as seen, shape (frames, 2) each."""
    up = turn[:, :2, 1]
    length = np.maximum(np.linalg.norm(up, axis=1), 1e-6)[:, None]
    across = np.stack([up[:, 1], -up[:, 0]], axis=1) / length
    seen = np.hypot(wide * np.abs(turn[:, 0, 0]), deep * np.abs(turn[:, 0, 2]))
    return up, across * seen[:, None]


def _block(
    centre: FloatArray, turn: FloatArray, rows: Sequence[tuple[float, float]], deep: float,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Left and right edge of a block: rows of (height, half width), shape (frames, rows, 2)."""
    left, right = [], []
    for height, wide in rows:
        up, across = _axes(turn, wide, deep * wide)
        middle = centre[:, :2] + up * height
        left.append(middle - across)
        right.append(middle + across)
    return np.stack(left, axis=1), np.stack(right, axis=1)


def _around(left: FloatArray, right: FloatArray) -> FloatArray:
    return np.concatenate([left, right[:, ::-1]], axis=1)


def _chest(sketch: Sketch, body: Body, cloth: str) -> None:
    rows = [(0.0, 0.36), (0.3, 0.42), (0.66, 0.54), (0.84, 0.52), (0.97, 0.22)]
    left, right = _block(body.joints["chest base"], body.chest, rows, 0.62)
    for edge, name in ((left, "left"), (right, "right")):
        lifted = body.joints[f"{name} shoulder"][:, :2] - body.joints["neck root"][:, :2]
        up = body.chest[:, :2, 1]
        rise = np.sum(lifted * up, axis=1) + 0.17
        edge[:, 3] += 0.75 * up * rise[:, None]
        edge[:, 2] += 0.3 * up * rise[:, None]
    sketch.add("chest", _around(left, right), closed=True, fill=cloth)


def _hips(sketch: Sketch, body: Body, cloth: str) -> None:
    rows = [(-0.2, 0.42), (0.0, 0.45), (0.24, 0.38)]
    left, right = _block(body.joints["hips"], body.hips, rows, 0.7)
    waist_left, waist_right = left[:, 2], right[:, 2]
    base = _block(body.joints["chest base"], body.chest, [(0.04, 0.36)], 0.62)
    waist = np.stack([waist_left, base[0][:, 0], base[1][:, 0], waist_right], axis=1)
    sketch.add("waist", waist, closed=True, smooth=False, width=LINE * 0.7, fill=cloth)
    sketch.add("hips", _around(left, right), closed=True, fill=cloth)


def _legs(sketch: Sketch, body: Body, cloth: str) -> None:
    """Thighs only, as far as the picture goes: they show which foot bears the weight."""
    for name in ("left", "right"):
        hip, knee = body.joints[f"{name} hip"], body.joints[f"{name} knee"]
        end = hip + 0.72 * (knee - hip)
        sketch.add(f"{name} leg", _flat(hip, end), smooth=False, width=0.3, ink=INK)
        sketch.again(f"{name} leg in", f"{name} leg", width=0.3 - 2 * LINE, ink=cloth)


def _neck(sketch: Sketch, body: Body) -> None:
    root, pivot = body.joints["neck root"], body.joints["head pivot"]
    low = root - 0.06 * (pivot - root)
    high = pivot + 0.5 * (pivot - root)
    sketch.add("neck", _flat(low, high), smooth=False, width=0.27, ink=INK)
    sketch.again("neck in", "neck", width=0.27 - 2 * LINE, ink=SKIN)


def _upper_arm(sketch: Sketch, body: Body, name: str, cloth: str) -> None:
    arm = _flat(body.joints[f"{name} shoulder"], body.joints[f"{name} elbow"])
    sketch.add(f"{name} upper arm", arm, smooth=False, width=LIMB * 1.1, ink=INK)
    sketch.again(
        f"{name} upper arm in", f"{name} upper arm", width=LIMB * 1.1 - 2 * LINE, ink=cloth
    )


def _forearm(sketch: Sketch, body: Body, name: str, cloth: str) -> None:
    """In front of chest and face: a hand is hardly ever behind them."""
    arm = _flat(body.joints[f"{name} elbow"], body.joints[f"{name} wrist"])
    _hand(sketch, body, name)
    sketch.add(f"{name} forearm", arm, smooth=False, width=LIMB, ink=INK)
    sketch.again(f"{name} forearm in", f"{name} forearm", width=LIMB - 2 * LINE, ink=cloth)


def _hand(sketch: Sketch, body: Body, name: str) -> None:
    """A mitten with a thumb: palm, fingers, thumb."""
    wrist, knuckles, tip = (body.joints[f"{name} {x}"] for x in ("wrist", "knuckles", "fingertip"))
    along = (knuckles - wrist)[:, :2]
    length = np.maximum(np.linalg.norm(along, axis=1), 1e-6)[:, None]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1) / length
    thumb_side = across * np.where(across[:, 1:2] >= 0, 1.0, -1.0)
    w, k, t = wrist[:, :2], knuckles[:, :2], tip[:, :2]
    thumb = np.stack([w + 0.3 * (k - w), w + 0.55 * (k - w) + 0.13 * thumb_side,
                      k + 0.13 * thumb_side + 0.04 * along / length], axis=1)  # fmt: skip
    hand = np.stack([w, k, t], axis=1)
    sketch.add(f"{name} thumb", thumb, width=0.1, ink=INK)
    sketch.add(f"{name} hand", hand, width=0.2, ink=INK)
    sketch.again(f"{name} thumb in", f"{name} thumb", width=0.1 - 1.4 * LINE, ink=SKIN)
    sketch.again(f"{name} hand in", f"{name} hand", width=0.2 - 1.6 * LINE, ink=SKIN)
