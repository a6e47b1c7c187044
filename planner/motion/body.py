"""The body behind the figure: joints in space from channels, all frames at once.

Conventions: a head is one unit high; x to the picture's right, y up, z toward the viewer; the
picture is seen straight on (no perspective). Turns are about y, bends about x, tips about z as
seen, in degrees, as channels have them; a figure stands turned a little toward the other. Hands
have their place about the shoulder; elbows follow by the two bones (law of cosines). Hand and
fingers point where the forearm pointed a moment before, so they trail it. A planted hand keeps its
place in the picture to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.motion.performance import CharacterMotion

BODY_TURN_DEG = 24.0  # how far a figure stands turned to the other
HEAD_TURN_DEG = 27.0
HIPS_UP, SPINE, CHEST_UP, NECK = 0.28, 0.2, 1.0, 0.24  # heads
SHOULDERS_OUT, SHOULDERS_AT, SHOULDERS_RAISE = 0.54, 0.83, 0.19
UPPER_ARM, FOREARM, PALM, FINGERS = 0.74, 0.7, 0.17, 0.19
ARM = UPPER_ARM + FOREARM
PLACE_TURN_DEG = 50.0  # hands are staged across the picture rather than into it
HAND_TRAILS_S, FINGERS_TRAIL_S = 0.06, 0.16  # by which hand and fingers are dragged
TRAILS = (0.4, 0.8, 1.3, 2.0)  # of the time it trails: what its place was made of
DRAGGED = 0.8  # of its length: as far as a hand or fingers lag behind at most
ARM_TRAILS_S = 0.05  # by which a hanging arm comes after its shoulder
ELBOW_SLOW_S = 0.06
CHEST_BEFORE_HIPS_S = 0.075
CURL_DEG = 75.0
STRETCHED, STRETCH_ROOM = 0.86, 0.11  # of an arm: from here on it eases into its whole length
HIP_JOINT, FOOT_OUT, LEG = 0.26, 0.36, 2.3
UNPLANT_S = 0.25
UNPLANT_BULGE = 0.12  # of the way: a hand is lifted off, not slid
SHIFT = 0.34  # heads that the hips go over
SINK = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """Joints, shape (frames, 3) each, and the turns of head, chest and hips, (frames, 3, 3)."""

    joints: Mapping[str, FloatArray]
    head: FloatArray
    chest: FloatArray
    hips: FloatArray


def body_of(motion: CharacterMotion, frames_per_s: float) -> Body:
    """The body on every frame as shown (on twos it holds)."""
    values = motion.smooth
    c = {name: values[:, i] for name, i in motion.table.index.items()}
    side = float(motion.side)
    trunk_turn = c["hips.turn"] + c["chest.turn"]
    bend = c["hips.bend"] + c["chest.bend"]
    stands = BODY_TURN_DEG * side
    hips = turned(c["hips.tip"], stands + c["hips.turn"], 0.4 * c["hips.bend"])
    spine = turned(0.0 * bend, stands + 0.5 * trunk_turn, c["hips.bend"])
    chest = turned(c["chest.tip"], stands + trunk_turn, bend)
    faces = HEAD_TURN_DEG * side + 0.6 * trunk_turn
    neck_tip = 0.6 * c["chest.tip"] + 0.5 * c["head.tip"]
    neck = turned(neck_tip, faces, 0.7 * bend + 0.25 * c["head.up"])
    head_tip = 0.4 * c["chest.tip"] + c["head.tip"]
    head = turned(head_tip, faces + c["head.turn"], c["head.up"] + 0.3 * bend)
    zero = np.zeros(len(values))
    joints: dict[str, FloatArray] = {}
    joints["hips"] = np.stack([SHIFT * c["hips.shift"], -SINK * c["hips.sink"], zero], axis=1)
    joints["waist"] = joints["hips"] + _of(hips, 0.0, HIPS_UP, 0.0)
    leads = motion.leads * frames_per_s
    below = _before(joints["waist"], CHEST_BEFORE_HIPS_S * frames_per_s)
    joints["chest base"] = below + _of(spine, 0.0, SPINE, 0.0)
    joints["neck root"] = joints["chest base"] + _of(chest, 0.0, CHEST_UP, 0.0)
    root = _before(joints["neck root"], leads)
    joints["head pivot"] = root + _of(neck, 0.0, NECK, 0.05 + 0.26 * c["head.reach"])
    joints["head"] = joints["head pivot"] + _of(head, 0.0, 0.5, 0.09)
    for name, sign in (("left", -1.0), ("right", 1.0)):
        out = sign * SHOULDERS_OUT
        up = SHOULDERS_AT + SHOULDERS_RAISE * c[f"{name} shoulder.raise"]
        joints[f"{name} shoulder"] = joints["chest base"] + _of(chest, out, up, 0.0)
    tip, lean = 0.4 * c["chest.tip"], 0.45 * bend
    place = turned(tip, PLACE_TURN_DEG * side + 0.6 * trunk_turn, lean)
    # Out and across stay the body's own; only forward is staged.
    place[:, :, 0] = turned(tip, stands + 0.6 * trunk_turn, lean)[:, :, 0]
    for name, sign in (("left", -1.0), ("right", 1.0)):
        _arm(joints, motion, c, place, name, sign, frames_per_s)
    _legs(joints, hips, c)
    shown = motion.held
    return Body({k: v[shown] for k, v in joints.items()}, head[shown], chest[shown], hips[shown])


def turned(tip: FloatArray, turn: FloatArray | float, bend: FloatArray) -> FloatArray:
    """Turns as matrices, shape (frames, 3, 3): bent about x, turned about y, tipped as seen."""
    t, y, b = (np.radians(np.broadcast_to(a, np.shape(bend))) for a in (tip, turn, bend))
    ct, st, cy, sy, cb, sb = np.cos(t), np.sin(t), np.cos(y), np.sin(y), np.cos(b), np.sin(b)
    zero = np.zeros_like(ct)
    one = np.ones_like(ct)
    about_x = _matrix(one, zero, zero, zero, cb, sb, zero, -sb, cb)
    about_y = _matrix(cy, zero, sy, zero, one, zero, -sy, zero, cy)
    about_z = _matrix(ct, st, zero, -st, ct, zero, zero, zero, one)
    found: FloatArray = about_z @ about_y @ about_x
    return found


def _matrix(*cells: FloatArray) -> FloatArray:
    return np.stack(cells, axis=-1).reshape(-1, 3, 3)


def _of(
    turn: FloatArray, x: FloatArray | float, y: FloatArray | float, z: FloatArray | float
) -> FloatArray:
    """A vector of a part's own axes, in the picture's."""
    count = len(turn)
    own = np.stack([np.broadcast_to(a, (count,)) for a in (x, y, z)], axis=1)
    found: FloatArray = np.einsum("fij,fj->fi", turn, own)
    return found


def _unit(vector: FloatArray) -> FloatArray:
    found: FloatArray = vector / np.maximum(np.linalg.norm(vector, axis=1), 1e-9)[:, None]
    return found


def _arm(
    joints: dict[str, FloatArray], motion: CharacterMotion, c: Mapping[str, FloatArray],
    place: FloatArray, name: str, sign: float, frames_per_s: float,
) -> None:  # fmt: skip
    """Elbow, wrist and fingertip of one arm."""
    shoulder = joints[f"{name} shoulder"]
    own = [c[f"{name} hand.{way}"] for way in ("out", "up", "forward")]
    near = (sign > 0) == (motion.side > 0)
    trails_s = ARM_TRAILS_S * (1.0 if near else 2.0)  # the far arm swings after the near one
    hangs_from = _before(shoulder, -trails_s * frames_per_s)
    wrist = hangs_from + ARM * _of(place, sign * own[0], own[1], own[2])
    wrist = _planted(wrist, motion, f"{name} hand", frames_per_s)
    reach = wrist - shoulder
    length = np.linalg.norm(reach, axis=1)
    over = np.maximum(length - STRETCHED * ARM, 0.0) / (STRETCH_ROOM * ARM)
    fits = np.minimum(length, STRETCHED * ARM) + STRETCH_ROOM * ARM * np.tanh(over)
    fits = np.maximum(fits, 0.3 * ARM)
    if not any(part == f"{name} hand" for part, _, _ in motion.planted):
        wrist = shoulder + reach * (fits / np.maximum(length, 1e-9))[:, None]
    along = _unit(reach)
    out = c[f"{name} elbow.out"]
    pole = _of(place, sign * (0.3 + 0.9 * out), -0.75 * (1 - 0.5 * out), -0.4 + 0.3 * out)
    pole = _unit(pole - np.sum(pole * along, axis=1)[:, None] * along)
    pole = _slow(pole, ELBOW_SLOW_S * frames_per_s)
    pole = _unit(pole - np.sum(pole * along, axis=1)[:, None] * along)
    first = (UPPER_ARM**2 - FOREARM**2 + fits**2) / (2 * fits)
    off = np.sqrt(np.maximum(UPPER_ARM**2 - first**2, 0.0))
    elbow = shoulder + first[:, None] * along + off[:, None] * pole
    joints[f"{name} elbow"], joints[f"{name} wrist"] = elbow, wrist
    forearm = _unit(wrist - elbow)
    bend = c[f"{name} wrist.bend"]
    curl = CURL_DEG * (c[f"{name} fingers.curl"] - 0.15)
    side = place[:, :, 0]
    back = np.cross(forearm, side) + 0.4 * _of(place, 0.0, 0.6, 0.8)  # of the hand
    back = _slow(_unit(back), ELBOW_SLOW_S * frames_per_s)
    hand = _dragged(_bent(forearm, back, bend), wrist, PALM, HAND_TRAILS_S * frames_per_s)
    joints[f"{name} knuckles"] = wrist + PALM * hand
    tips = _dragged(_bent(forearm, back, bend - curl), joints[f"{name} knuckles"], FINGERS,
                    FINGERS_TRAIL_S * frames_per_s)  # fmt: skip
    joints[f"{name} fingertip"] = joints[f"{name} knuckles"] + FINGERS * tips


def _dragged(direction: FloatArray, root: FloatArray, length: float, frames: float) -> FloatArray:
    """A direction whose end would rather be where it was a moment ago: it trails its root."""
    tip = root + length * direction
    was = sum(_before(tip, -share * frames) for share in TRAILS) / len(TRAILS)
    drag = was - tip
    far = np.maximum(np.linalg.norm(drag, axis=1), 1e-9)[:, None]
    most = DRAGGED * length  # under its length: it never turns over
    drag = drag * most * np.tanh(far / most) / far
    found: FloatArray = _unit(_slow(_unit(tip + drag - root), frames / 2.5))
    return found


def _before(values: FloatArray, frames: FloatArray | float) -> FloatArray:
    """Places as they will be in so many frames (under 0: as they were)."""
    count = len(values)
    at = np.clip(np.arange(count) + frames, 0, count - 1)
    low = np.minimum(at.astype(np.int64), max(count - 2, 0))
    part = (at - low)[:, None]
    found: FloatArray = values[low] * (1 - part) + values[np.minimum(low + 1, count - 1)] * part
    return found


def _bent(direction: FloatArray, up: FloatArray, degrees: FloatArray) -> FloatArray:
    """A direction turned toward "up" (across itself) by so many degrees."""
    across = _unit(up - np.sum(up * direction, axis=1)[:, None] * direction)
    angle = np.radians(degrees)[:, None]
    found: FloatArray = np.cos(angle) * direction + np.sin(angle) * across
    return found


def _slow(values: FloatArray, frames: float) -> FloatArray:
    """Values blurred over so many frames either way (a bell), so that a joint never flips."""
    reach = max(1, round(2.5 * frames))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / frames) ** 2)
    padded = np.pad(values, ((reach, reach), (0, 0)), mode="edge")
    blurred = [np.convolve(padded[:, k], weights / weights.sum(), "valid") for k in range(3)]
    return np.stack(blurred, axis=1)


def _planted(
    wrist: FloatArray, motion: CharacterMotion, part: str, frames_per_s: float
) -> FloatArray:
    """The hand's place with its planted stretches held, and let go of softly."""
    found = wrist
    for planted, first, last in motion.planted:
        if planted.replace("arm", "hand") != part:
            continue
        low = min(max(first - motion.first_frame, 0), len(wrist) - 1)
        high = min(max(last - motion.first_frame, low), len(wrist) - 1)
        low = int(motion.held[low])
        found = found.copy()
        stays = found[low].copy()
        ease = max(2, round(UNPLANT_S * frames_per_s))
        after = np.arange(high + 1, min(high + 1 + ease, len(found)))
        u = ((after - high) / (ease + 1))[:, None]
        u = u * u * (3 - 2 * u)
        way = found[after] - stays
        across = np.stack([-way[:, 1], way[:, 0], 0.0 * way[:, 2]], axis=1)
        rises = np.where(across[:, 1:2] < 0, -1.0, 1.0)
        found[after] = stays + u * way + 4 * UNPLANT_BULGE * u * (1 - u) * rises * across
        found[low : high + 1] = stays
    return found


def _legs(joints: dict[str, FloatArray], hips: FloatArray, c: Mapping[str, FloatArray]) -> None:
    """Hip joints, knees and feet: the foot that bears less has the softer knee."""
    zero = np.zeros(len(hips))
    for name, sign in (("left", -1.0), ("right", 1.0)):
        joints[f"{name} hip"] = joints["hips"] + _of(hips, sign * HIP_JOINT, -0.12, 0.0)
        foot = np.stack([zero + sign * FOOT_OUT, zero - LEG, zero], axis=1)
        bears = c["right foot.weight"] if sign > 0 else 1 - c["right foot.weight"]
        soft = 0.10 * np.clip(0.62 - bears, 0.0, 1.0) + 0.12 * c["hips.sink"]
        knee = 0.5 * (joints[f"{name} hip"] + foot)
        knee[:, 0] += sign * 1.2 * soft
        joints[f"{name} knee"], joints[f"{name} foot"] = knee, foot
