"""The performance in the picture: where each figure stands, and its points as tracks.

Conventions: a picture of 1920 by 1080 pixels, x to the right, y down. Figures stand where the stage
says, else beside each other in the scene's order. Points are named as `paths` reads them: WHO_nose,
WHO_chin, WHO_chest, WHO_hips, and l (the picture's left) and r shoulder, elbow, wrist, fingertip.
Nose and chin are points of the head, which is rigid: the jaw does not move them.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from audio.reading import FloatArray
from planner.motion.body import body_of
from planner.motion.performance import CharacterMotion, Performance
from planner.scene import Scene

WIDTH, HEIGHT = 1920, 1080
HEAD_PX = 210.0
HIPS_Y = 820.0
_STAGE = {"left": 0.3, "center": 0.5, "right": 0.7}
_ON_HEAD = {"nose": (0.0, -0.08, 0.64), "chin": (0.0, -0.58, 0.2)}
_ON_CHEST = (0.0, 0.6, 0.3)
_LIMB = ("shoulder", "elbow", "wrist", "fingertip")


def places(scene: Scene, characters: tuple[str, ...]) -> Mapping[str, float]:
    """Where each figure stands across the picture, in pixels. Those without a stage share what is
    left, in order."""
    found = {who: _STAGE[side] * WIDTH for who, side in scene.stage.items() if who in characters}
    if len(set(found.values())) < len(found):
        found = {}
    rest = [who for who in characters if who not in found]
    for k, who in enumerate(rest):
        found[who] = WIDTH * (k + 1) / (len(rest) + 1) if not scene.stage else WIDTH * (
            0.5 if len(rest) == 1 and 0.5 * WIDTH not in found.values() else (k + 0.5) / len(rest)
        )  # fmt: skip
    return found


def points_of(motion: CharacterMotion, frames_per_s: float, at_x: float) -> dict[str, FloatArray]:
    """A character's points in the picture, shape (frames, 2) each."""
    body = body_of(motion, frames_per_s)
    head, chest = body.joints["head"], body.joints["chest base"]
    space: dict[str, FloatArray] = {
        name: head + np.einsum("fij,j->fi", body.head, np.array(own))
        for name, own in _ON_HEAD.items()
    }
    space["chest"] = chest + np.einsum("fij,j->fi", body.chest, np.array(_ON_CHEST))
    space["hips"] = body.joints["hips"]
    for letter, name in (("l", "left"), ("r", "right")):
        for part in _LIMB:
            space[f"{letter}_{part}"] = body.joints[f"{name} {part}"]
    origin = np.array([at_x, HIPS_Y])
    return {
        f"{motion.who}_{name}": origin + HEAD_PX * point[:, :2] * np.array([1.0, -1.0])
        for name, point in space.items()
    }


def track_points(
    performance: Performance, scene: Scene, who: str | None = None
) -> dict[str, FloatArray]:
    """The points of everybody (or of one), by track name."""
    names = tuple(m.who for m in performance.characters)
    at = places(scene, names)
    rate = float(performance.frames_per_s)
    found: dict[str, FloatArray] = {}
    for motion in performance.characters:
        if who in (None, motion.who):
            found |= points_of(motion, rate, at[motion.who])
    return found
