"""What keeps a figure alive where the plan asks nothing: breathing, a sway, small looks.

Small, slow, and the same every time: the phase comes from the character's name and counts from the
shot's first frame. Nothing here moves a part farther than the table's `idle` says.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from typing import Any

import numpy as np

from audio.reading import FloatArray
from planner.motion.table import MotionTable

_PAIRS = {
    "shoulders": "shoulder",
    "fingers": "fingers",
    "hands": "hand",
    "wrists": "wrist",
    "elbows": "elbow",
}
IN_SHARE = 0.42  # of a breath goes in; out is slower (common physiology)


def idle_of(who: str, times_s: FloatArray, table: MotionTable) -> FloatArray:
    """What idling adds on every frame, shape (frames, channels)."""
    raw: Mapping[str, Any] = table.raw["idle"]
    seed = zlib.crc32(who.encode("utf-8"))
    phase = [(seed >> shift & 255) / 255.0 for shift in (0, 8, 16)]
    found = np.zeros((len(times_s), len(table.channels)))
    cycle = np.mod(times_s / float(raw["breath_s"]) + phase[0], 1.0)
    warped = np.where(cycle < IN_SHARE, 0.5 * cycle / IN_SHARE,
                      0.5 + 0.5 * (cycle - IN_SHARE) / (1 - IN_SHARE))  # fmt: skip
    breath = -np.cos(2 * np.pi * warped)
    sway = np.sin(2 * np.pi * (times_s / float(raw["sway_s"]) + phase[1]))
    drift = np.sin(2 * np.pi * (times_s / float(raw["drift_s"]) + phase[2]))
    for name, wave in (("breath", breath), ("sway", sway), ("drift", drift)):
        for key, amount in raw[name].items():
            for channel in _channels(key, table):
                found[:, table.index[channel]] += float(amount) * wave
    return found


def fixations(who: str, times_s: FloatArray, table: MotionTable) -> tuple[FloatArray, FloatArray]:
    """Small steps of the eyes while they stay on something, (turn, up) in degrees a frame."""
    raw: Mapping[str, Any] = table.raw["idle"]
    low, high = (float(v) for v in raw["fixation_s"])
    size = float(raw["fixation_degrees"])
    random = np.random.default_rng(zlib.crc32(who.encode("utf-8")))
    count = int((times_s[-1] if len(times_s) else 0.0) / low) + 2
    at = np.cumsum(random.uniform(low, high, count)) - low
    place = random.uniform(-size, size, (count + 1, 2))
    place[::3] = 0.0  # back on the face
    index = np.searchsorted(at, times_s, side="right")
    return place[index, 0], place[index, 1]


def _channels(key: str, table: MotionTable) -> tuple[str, ...]:
    if key in table.index:
        return (key,)
    part, _, what = key.rpartition(".")
    return tuple(f"{side} {_PAIRS[part]}.{what}" for side in ("left", "right"))
