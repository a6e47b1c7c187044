"""The face on an egg: outline, brows, eyes, nose and mouth as they show when the head turns.

The egg is an ellipsoid; what is on it is placed by degrees around it (right and up of the middle of
the face) and goes with the head's turn, so that a nod, a turn and a tip read without a line more.
What would lie behind the rim is kept on it. Mouth corners, brows and lids are left and right as
seen in the picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from audio.reading import FloatArray
from planner.motion.body import Body

if TYPE_CHECKING:
    from planner.motion.figure import Sketch

WIDE, HIGH, DEEP = 0.49, 0.6, 0.53  # half axes, heads
RIM_DEG = 80.0  # what lies farther round is kept there
CHIN = 0.14  # how much narrower the egg is at the chin
JAW_DROPS = 0.12  # heads
EYE_AT, EYE_UP, EYE_HALF = 21.5, 2.0, 12.5  # degrees round the egg
EYE_TOP, EYE_BOTTOM = 13.0, 9.0
PUPIL = 0.068  # heads
BROW_UP, BROW_IN, BROW_OUT = 23.0, 8.5, 34.0
MOUTH_UP, MOUTH_HALF = -36.0, 20.0
MOUTH_POINTS, CORNER_RAISES = 7, 11.0
INK = "#1c2129"
INSIDE = "#7a2f2a"
HAIR = "#4a4f58"


class Egg:
    """A head's egg on every frame: from degrees round it to points of the picture."""

    def __init__(self, body: Body, jaw: FloatArray) -> None:
        self.centre = body.joints["head"][:, :2]
        self.turn = body.head
        self.yaw = np.degrees(np.arctan2(self.turn[:, 0, 2], self.turn[:, 2, 2]))
        self.jaw = jaw

    def at(self, around: FloatArray, up: FloatArray, lift: float = 1.0) -> FloatArray:
        """Points at degrees round the egg, shape (frames, count, 2)."""
        around = np.clip(around, (-RIM_DEG - self.yaw)[:, None], (RIM_DEG - self.yaw)[:, None])
        lon, lat = np.radians(around), np.radians(up)
        narrow = 1 - CHIN * np.clip(-np.sin(lat), 0.0, 1.0) ** 1.5
        own = np.stack(
            [
                WIDE * np.sin(lon) * np.cos(lat) * narrow * lift,
                HIGH * np.sin(lat),
                DEEP * np.cos(lon) * np.cos(lat) * lift,
            ],
            axis=-1,
        )
        seen = np.einsum("fij,fkj->fki", self.turn[:, :2], own)
        found: FloatArray = self.centre[:, None] + seen
        return found

    def outline(self, count: int) -> FloatArray:
        """The rim as seen, from the top round to the right, shape (frames, count, 2)."""
        axes = self.turn[:, :2] * np.array([WIDE, HIGH, DEEP])
        square = axes @ np.transpose(axes, (0, 2, 1))
        root_det = np.sqrt(np.maximum(np.linalg.det(square), 1e-12))
        trace = square[:, 0, 0] + square[:, 1, 1]
        root = (square + root_det[:, None, None] * np.eye(2)) / np.sqrt(trace + 2 * root_det)[
            :, None, None
        ]
        up = self.turn[:, :2, 1]
        up = up / np.maximum(np.linalg.norm(up, axis=1), 1e-6)[:, None]
        across = np.stack([up[:, 1], -up[:, 0]], axis=1)
        angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
        circle = (
            np.cos(angle)[None, :, None] * up[:, None]
            + np.sin(angle)[None, :, None] * across[:, None]
        )
        rim = np.einsum("fij,fkj->fki", root, circle)
        along = np.sum(rim * up[:, None], axis=2)
        aside = np.sum(rim * across[:, None], axis=2)
        low = np.clip(-along / HIGH, 0.0, 1.0)
        aside = aside * (1 - CHIN * low**1.5) + 0.1 * low * np.sin(np.radians(self.yaw))[:, None]
        along = along - JAW_DROPS * self.jaw[:, None] * low**2
        found: FloatArray = (
            self.centre[:, None]
            + along[..., None] * up[:, None]
            + aside[..., None] * across[:, None]
        )
        return found


def face_shapes(sketch: Sketch, body: Body, c: Mapping[str, FloatArray], side: int) -> None:
    """The head and all that is on it, back to front."""
    egg = Egg(body, c["jaw.open"])
    sketch.add("head", egg.outline(16), closed=True, fill="#ffffff", width=0.04)
    _ear(sketch, egg, side)
    _mouth(sketch, egg, c)
    for name, sign in (("left", -1.0), ("right", 1.0)):
        _eye(sketch, egg, c, name, sign)
    _nose(sketch, egg)
    for name, sign in (("left", -1.0), ("right", 1.0)):
        _brow(sketch, egg, c, name, sign)


def _frames(egg: Egg, *values: FloatArray | float) -> FloatArray:
    """Values a frame side by side, shape (frames, count)."""
    return np.stack([np.broadcast_to(v, (len(egg.yaw),)) for v in values], axis=1)


def _ear(sketch: Sketch, egg: Egg, side: int) -> None:
    around = -92.0 * side
    lon = _frames(egg, around + 6 * side, around - 8 * side, around - 6 * side, around + 6 * side)
    sketch.add("ear", egg.at(lon, _frames(egg, 8.0, 10.0, -12.0, -14.0)), width=0.03)


def _nose(sketch: Sketch, egg: Egg) -> None:
    zero = np.zeros(len(egg.yaw))
    high = egg.at(_frames(egg, zero), _frames(egg, 9.0 + zero), 1.0)
    bridge = egg.at(_frames(egg, zero), _frames(egg, -2.0 + zero), 1.12)
    tip = egg.at(_frames(egg, zero), _frames(egg, -14.0 + zero), 1.36)
    base = egg.at(_frames(egg, zero), _frames(egg, -20.0 + zero), 1.06)
    sketch.add("nose", np.concatenate([high, bridge, tip, base], axis=1), smooth=False, width=0.036)


def _lids(c: Mapping[str, FloatArray], name: str) -> tuple[FloatArray, FloatArray]:
    """Degrees of the upper and the lower lid from the middle of the eye."""
    closed = c[f"{name} lid.closed"]
    cheek = np.clip(c[f"{name} corner.raise"] - 0.25, 0.0, 1.0)
    lower = -EYE_BOTTOM + 4.0 * cheek + 1.5 * np.clip(closed - 0.2, 0.0, 1.0)
    upper = np.maximum(EYE_TOP * (1 - 1.25 * closed) + 1.0, lower + 0.4)
    return upper, lower


def _eye(sketch: Sketch, egg: Egg, c: Mapping[str, FloatArray], name: str, sign: float) -> None:
    middle = sign * EYE_AT
    upper, lower = _lids(c, name)
    slant = 2.0 * c["brows.inner"]
    inner, outer = middle - sign * EYE_HALF, middle + sign * EYE_HALF
    lon = _frames(egg, inner, middle - sign * 5.5, middle + sign * 4.5, outer,
                  middle + sign * 4.5, middle - sign * 5.5)  # fmt: skip
    edge = 0.3 * lower
    lat = EYE_UP + _frames(egg, edge + 0.5 * slant, 0.92 * upper + 0.4 * slant,
                           0.95 * upper - 0.4 * slant, edge - slant, lower, lower)  # fmt: skip
    eye = egg.at(lon, lat)
    sketch.add(f"{name} eye", eye, closed=True, width=0.02, fill="#ffffff")
    _pupil(sketch, egg, c, name, middle, upper, lower)
    sketch.again(f"{name} upper lid", f"{name} eye", width=0.042, ink=INK, count=4)


def _pupil(
    sketch: Sketch, egg: Egg, c: Mapping[str, FloatArray], name: str, middle: float,
    upper: FloatArray, lower: FloatArray,
) -> None:  # fmt: skip
    """A round spot that the lids cut off."""
    lon0 = middle + np.clip(0.3 * c["eyes.turn"], -6.5, 6.5)
    lat0 = np.clip(0.32 * c["eyes.up"], -5.5, 6.0)
    angle = np.linspace(0, 2 * np.pi, 10, endpoint=False)
    radius = np.degrees(PUPIL / WIDE)
    lon = lon0[:, None] + radius * 0.75 * np.cos(angle)
    lat = lat0[:, None] + radius * 0.8 * np.sin(angle)
    lat = np.minimum(np.maximum(lat, lower[:, None] + 0.2), upper[:, None] - 0.2)
    sketch.add(f"{name} pupil", egg.at(lon, EYE_UP + lat), closed=True, smooth=False,
               width=0.012, fill=INK)  # fmt: skip


def _brow(sketch: Sketch, egg: Egg, c: Mapping[str, FloatArray], name: str, sign: float) -> None:
    lift, inner, pinch = c[f"{name} brow.raise"], c["brows.inner"], c["brows.pinch"]
    up = BROW_UP + 13.0 * lift
    lon = _frames(egg, sign * (BROW_IN - 3.5 * pinch), sign * 17.0, sign * 25.0, sign * BROW_OUT)
    arch = 2.5 + 2.5 * np.clip(lift, -0.5, 1.0)
    lat = _frames(egg, up + 10.0 * inner - 3.5 * pinch - 1.0, up + arch + 2.5 * inner,
                  up + arch - 1.5 * inner, up - 3.0 - 4.0 * inner)  # fmt: skip
    sketch.add(f"{name} brow", egg.at(lon, lat, 1.02), width=0.058)


def _mouth(sketch: Sketch, egg: Egg, c: Mapping[str, FloatArray]) -> None:
    """Upper and lower edge from corner to corner; dark inside where it is open."""
    wide = c["lips.wide"]
    left, right = c["left corner.raise"], c["right corner.raise"]
    opened = np.clip(c["jaw.open"] * (1 - c["lips.closed"]) - 0.05, 0.0, 1.0)
    half = MOUTH_HALF + np.where(wide > 0, 5.0, 10.0) * wide
    middle = MOUTH_UP - 2.5 * (left + right) + 1.5 * opened
    drop = 22.0 * opened * (1.0 - 0.15 * wide)
    across = np.linspace(-1.0, 1.0, MOUTH_POINTS)
    corner = np.where(across < 0, left[:, None], right[:, None])
    lon = across * (half[:, None] + 4.5 * np.clip(corner, -0.3, 1.0))
    ends = MOUTH_UP + CORNER_RAISES * corner
    upper = middle[:, None] + (ends - middle[:, None]) * np.abs(across) ** 1.8
    hangs = drop[:, None] * (1 - across**2) ** 0.8
    lower = upper - hangs + 4.0 * (c["lips.on teeth"] * opened)[:, None] * (1 - across**2)
    around = np.concatenate([lon, lon[:, -2:0:-1]], axis=1)
    up = np.concatenate([upper, lower[:, -2:0:-1]], axis=1)
    sketch.add("mouth", egg.at(around, np.maximum(up, -74.0)), closed=True, width=0.042,
               fill=INSIDE)  # fmt: skip
