"""The performance as BVH: a character a file, a line a frame as shown.

Hips have place and turn, the other joints a turn: Z, X, Y in degrees, applied in that order (the
usual one). Centimetres. Rest pose and axes as in `planner.motion.skeleton`. Pure.
"""

from __future__ import annotations

import numpy as np

from audio.reading import FloatArray
from planner.export.facts import ShotFacts
from planner.motion.performance import CharacterMotion
from planner.motion.skeleton import Bone, Skeleton, skeleton_of

CM = 100.0
ORDER = "Zrotation Xrotation Yrotation"


def bvh_text(facts: ShotFacts, motion: CharacterMotion) -> str:
    """One character's file."""
    rate = facts.clock.rate.frames_per_s
    skeleton = skeleton_of(motion, float(rate))
    low = facts.frames[0] - motion.first_frame
    keep = slice(low, low + facts.frames[1] - facts.frames[0] + 1)
    turns = euler_zxy(skeleton.turns[keep]).reshape(-1, 3 * len(skeleton.bones))
    values = np.concatenate([skeleton.root[keep] * CM, turns], axis=1)
    values = values[:, _column_order(skeleton)]
    lines = ["HIERARCHY", *_joint(skeleton, 0, 0), "MOTION", f"Frames: {len(values)}",
             f"Frame Time: {float(1 / rate):.8f}"]  # fmt: skip
    lines += [" ".join(f"{v:.4f}" for v in row) for row in values]
    return "\n".join(lines) + "\n"


def euler_zxy(turns: FloatArray) -> FloatArray:
    """Turns (frames, bones, 3, 3) as Z, X, Y in degrees, (frames, bones, 3), without jumps."""
    x = np.arcsin(np.clip(turns[..., 2, 1], -1.0, 1.0))
    z = np.arctan2(-turns[..., 0, 1], turns[..., 1, 1])
    y = np.arctan2(-turns[..., 2, 0], turns[..., 2, 2])
    found: FloatArray = np.degrees(np.unwrap(np.stack([z, x, y], axis=-1), axis=0))
    return found


def _children(skeleton: Skeleton, index: int) -> list[int]:
    return [i for i, bone in enumerate(skeleton.bones) if bone.parent == index]


def _walk(skeleton: Skeleton, index: int) -> list[int]:
    """Bones in the order in which the hierarchy names them."""
    found = [index]
    for child in _children(skeleton, index):
        found += _walk(skeleton, child)
    return found


def _column_order(skeleton: Skeleton) -> list[int]:
    return [0, 1, 2, *(3 + 3 * i + k for i in _walk(skeleton, 0) for k in range(3))]


def _joint(skeleton: Skeleton, index: int, depth: int) -> list[str]:
    bone = skeleton.bones[index]
    pad = "\t" * depth
    root = bone.parent < 0
    channels = f"6 Xposition Yposition Zposition {ORDER}" if root else f"3 {ORDER}"
    lines = [f"{pad}{'ROOT' if root else 'JOINT'} {bone.name}", f"{pad}{{",
             f"{pad}\tOFFSET {_place(bone.offset)}", f"{pad}\tCHANNELS {channels}"]  # fmt: skip
    children = _children(skeleton, index)
    for child in children:
        lines += _joint(skeleton, child, depth + 1)
    if not children:
        lines += [f"{pad}\tEnd Site", f"{pad}\t{{", f"{pad}\t\tOFFSET {_end(bone)}", f"{pad}\t}}"]
    return [*lines, f"{pad}}}"]


def _end(bone: Bone) -> str:
    return _place(bone.end)


def _place(place: tuple[float, float, float]) -> str:
    return " ".join(f"{v * CM:.4f}" for v in place)
