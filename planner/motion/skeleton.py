"""The body as a skeleton of bones that turn: what other programs take in.

Conventions: metres, right-handed, y up, z toward the viewer; the rest pose stands upright, looks
along z, arms hanging. Left and right are the character's own here (its left arm is the picture's
right one where it looks at the viewer), as skeletons have them elsewhere. A bone's turn is in its
parent's axes. Bones keep their lengths: where the figure stretches a little (a neck that gives way,
shoulders that rise) the bone points there. A head is HEAD_M high.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.motion.body import (
    CHEST_UP,
    FINGERS,
    FOREARM,
    HIP_JOINT,
    HIPS_UP,
    LEG,
    NECK,
    PALM,
    SHOULDERS_AT,
    SHOULDERS_OUT,
    SPINE,
    UPPER_ARM,
    Body,
    body_of,
)
from planner.motion.performance import CharacterMotion

HEAD_M = 0.3
_DOWN = np.array([0.0, -1.0, 0.0])
_UP = np.array([0.0, 1.0, 0.0])
_FRONT = np.array([0.0, 0.0, 1.0])
# The character's own left is the picture's right while it looks at the viewer.
OWN = (("Left", "right", 1.0), ("Right", "left", -1.0))


@dataclass(frozen=True, slots=True)
class Bone:
    """A bone: its joint's place in its parent's axes at rest, and its end from there (metres)."""

    name: str
    parent: int
    offset: tuple[float, float, float]
    end: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Skeleton:
    """Bones, parents first; turns (frames, bones, 3, 3); root: the hips' place (frames, 3)."""

    bones: tuple[Bone, ...]
    turns: FloatArray
    root: FloatArray


def _bones() -> tuple[Bone, ...]:
    made: list[tuple[str, str, tuple[float, float, float], tuple[float, float, float]]] = [
        ("Hips", "", (0, 0, 0), (0, HIPS_UP, 0)),
        ("Spine", "Hips", (0, HIPS_UP, 0), (0, SPINE, 0)),
        ("Chest", "Spine", (0, SPINE, 0), (0, CHEST_UP, 0)),
        ("Neck", "Chest", (0, CHEST_UP, 0), (0, NECK, 0.05)),
        ("Head", "Neck", (0, NECK, 0.05), (0, 1.1, 0.09)),
    ]
    for own, _, sign in OWN:
        made += [
            (f"{own}Shoulder", "Chest", (0, SHOULDERS_AT, 0), (sign * SHOULDERS_OUT, 0, 0)),
            (f"{own}Arm", f"{own}Shoulder", (sign * SHOULDERS_OUT, 0, 0), (0, -UPPER_ARM, 0)),
            (f"{own}ForeArm", f"{own}Arm", (0, -UPPER_ARM, 0), (0, -FOREARM, 0)),
            (f"{own}Hand", f"{own}ForeArm", (0, -FOREARM, 0), (0, -PALM, 0)),
            (f"{own}Fingers", f"{own}Hand", (0, -PALM, 0), (0, -FINGERS, 0)),
        ]
    for own, _, sign in OWN:
        made += [
            (f"{own}UpLeg", "Hips", (sign * HIP_JOINT, -0.12, 0), (0, -0.5 * LEG + 0.06, 0)),
            (f"{own}Leg", f"{own}UpLeg", (0, -0.5 * LEG + 0.06, 0), (0, -0.5 * LEG + 0.06, 0)),
        ]
    index = {name: i for i, (name, *_) in enumerate(made)}
    return tuple(
        Bone(name, index.get(parent, -1), _metres(offset), _metres(end))
        for name, parent, offset, end in made
    )


def _metres(place: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = (round(v * HEAD_M, 5) for v in place)
    return x, y, z


def skeleton_of(motion: CharacterMotion, frames_per_s: float) -> Skeleton:
    """A character's skeleton on every frame as shown."""
    body = body_of(motion, frames_per_s)
    bones = _bones()
    wholes = [_whole(bone.name, body) for bone in bones]
    turns = np.stack(
        [
            whole if bone.parent < 0 else np.transpose(wholes[bone.parent], (0, 2, 1)) @ whole
            for bone, whole in zip(bones, wholes, strict=True)
        ],
        axis=1,
    )
    root = (body.joints["hips"] + np.array([0.0, LEG, 0.0])) * HEAD_M
    return Skeleton(bones, turns, root)


def _whole(name: str, body: Body) -> FloatArray:
    """A bone's turn in the picture's axes, shape (frames, 3, 3)."""
    joints = body.joints
    if name in ("Hips", "Chest", "Head"):
        return {"Hips": body.hips, "Chest": body.chest, "Head": body.head}[name]
    if name == "Spine":
        return _pointing(joints["chest base"] - joints["waist"], _UP, body.chest)
    if name == "Neck":
        rest = np.array([0.0, NECK, 0.05])
        return _pointing(joints["head pivot"] - joints["neck root"], rest, body.chest)
    own, side, sign = next(o for o in OWN if name.startswith(o[0]))
    ends = {
        "Shoulder": ("chest base", f"{side} shoulder"),
        "Arm": (f"{side} shoulder", f"{side} elbow"),
        "ForeArm": (f"{side} elbow", f"{side} wrist"),
        "Hand": (f"{side} wrist", f"{side} knuckles"),
        "Fingers": (f"{side} knuckles", f"{side} fingertip"),
        "UpLeg": (f"{side} hip", f"{side} knee"),
        "Leg": (f"{side} knee", f"{side} foot"),
    }[name.removeprefix(own)]
    way = joints[ends[1]] - joints[ends[0]]
    if name.endswith("Shoulder"):
        way = way - SHOULDERS_AT * body.chest[:, :, 1]
        return _pointing(way, np.array([sign, 0.0, 0.0]), body.chest)
    return _pointing(way, _DOWN, body.hips if "Leg" in name else body.chest)


def _pointing(way: FloatArray, rest: FloatArray, near: FloatArray) -> FloatArray:
    """The turn nearest to `near` that brings a bone's rest direction onto its way.

    The shortest turn from where `near` alone would bring it (Rodrigues' formula).
    """
    way = way / np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
    now = near @ (rest / np.linalg.norm(rest))
    cross = np.cross(now, way)
    cosine = np.clip(np.sum(now * way, axis=1), -0.999999, 1.0)[:, None, None]
    zero = np.zeros(len(way))
    x, y, z = cross.T
    skew = np.stack([zero, -z, y, z, zero, -x, -y, x, zero], axis=1).reshape(-1, 3, 3)
    shortest = np.eye(3) + skew + skew @ skew / (1.0 + cosine)
    found: FloatArray = shortest @ near
    return found


def joint_places(skeleton: Skeleton) -> FloatArray:
    """Where each bone begins, from the turns alone, shape (frames, bones, 3), metres."""
    frames, count = skeleton.turns.shape[:2]
    whole = np.empty((frames, count, 3, 3))
    place = np.empty((frames, count, 3))
    for i, bone in enumerate(skeleton.bones):
        if bone.parent < 0:
            whole[:, i], place[:, i] = skeleton.turns[:, i], skeleton.root
            continue
        above = whole[:, bone.parent]
        whole[:, i] = above @ skeleton.turns[:, i]
        place[:, i] = place[:, bone.parent] + above @ np.array(bone.offset)
    return place
