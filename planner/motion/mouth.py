"""Jaw and lips from the sounds heard: how far open, narrow or wide, closed, lip on teeth.

Each phone is a shape at its middle, a frame early (`mouth_early_ms`), run through by a straight
line from one to the next: sounds melt into each other. Lips that must close do, on the frame of
their sound, however short it is; other short sounds are passed over. A louder vowel opens more.
Without text the jaw goes with the level of the voice. No sound: the mouth rests.

Conventions: arrays have a value a frame; times in scene seconds become frames by the clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from audio.reading import FloatArray, VoiceReading
from planner.frames import Clock
from planner.motion.table import MotionTable, load_table

REST_S = 0.11  # the mouth opens and closes over so much before the first and after the last sound
LEVEL_DB = 14.0  # from the loudest vowel down to where a vowel opens half as far
MOUTH = ("jaw.open", "lips.wide", "lips.closed", "lips.on teeth")


@lru_cache(maxsize=2)
def _shapes(table: MotionTable) -> Mapping[str, tuple[float, ...]]:
    """What the mouth does, by phone without its stress."""
    return {
        phone: tuple(float(v) for v in row["does"])
        for row in table.raw["mouth"].values()
        for phone in row["phones"].split()
    }


def mouth_of(
    lines: Sequence[tuple[float, VoiceReading]], clock: Clock, first: int, count: int,
    table: MotionTable | None = None,
) -> FloatArray:  # fmt: skip
    """Jaw and lips over the shot, shape (frames, 4): open, wide, closed, on teeth.

    lines : (where the line's clip begins in scene seconds, its reading).
    """
    table = table or load_table()
    found = np.zeros((count, len(MOUTH)))
    rate = float(clock.rate.frames_per_s)
    times = (np.arange(count) + first - clock.first_frame + 0.5) / rate
    for at_s, reading in lines:
        keys = _from_words(reading, table) if reading.words else _from_level(reading)
        if not len(keys):
            continue
        keys[:, 0] += at_s - float(table.raw["mouth_early_ms"]) / 1000
        low, high = np.searchsorted(times, [keys[0, 0], keys[-1, 0]])
        for k in range(len(MOUTH)):
            values = np.interp(times[low:high], keys[:, 0], keys[:, k + 1])
            found[low:high, k] = np.where(
                np.abs(values) > np.abs(found[low:high, k]), values, found[low:high, k]
            )
    return found


def _from_words(reading: VoiceReading, table: MotionTable) -> FloatArray:
    """Rows of (clip seconds, open, wide, closed, on teeth)."""
    shapes = _shapes(table)
    least_s = float(table.raw["mouth_least_ms"]) / 1000
    phones = [p for word in reading.words for p in word.phones]
    rows: list[tuple[float, ...]] = []
    ended = -1.0
    for phone in phones:
        shape = shapes.get(phone.phone.rstrip("012"))
        contact = shape is not None and (shape[2] > 0 or shape[3] > 0)
        if shape is None or (phone.end_s - phone.start_s < least_s and not contact):
            continue
        if phone.start_s - ended > 2 * REST_S:
            if ended >= 0:
                rows.append((ended + REST_S, 0.0, 0.0, 0.0, 0.0))
            rows.append((phone.start_s - REST_S, 0.0, 0.0, 0.0, 0.0))
        rows.append((0.5 * (phone.start_s + phone.end_s), *shape))
        ended = phone.end_s
    if not rows:
        return np.zeros((0, 5))
    rows.append((ended + REST_S, 0.0, 0.0, 0.0, 0.0))
    keys = np.array(rows)
    keys[:, 0] = np.maximum.accumulate(keys[:, 0])
    keys[:, 1] *= _loudness(reading, keys[:, 0])
    return keys


def _loudness(reading: VoiceReading, times: FloatArray) -> FloatArray:
    """How far a vowel opens for its level: 1 at the loudest, half LEVEL_DB under it."""
    track = reading.loudness
    if not len(track.db):
        return np.ones(len(times))
    level = np.interp(times, track.times_s(), track.db)
    found: FloatArray = np.clip(1.0 - 0.5 * (level.max() - level) / LEVEL_DB, 0.35, 1.0)
    return found


def _from_level(reading: VoiceReading) -> FloatArray:
    """Without text: the jaw opens on each syllable as loud as it is, and closes between."""
    rows: list[tuple[float, ...]] = []
    for s in reading.syllables:
        rows.append((s.start_s, 0.12, 0.1, 0.0, 0.0))
        rows.append((0.5 * (s.nucleus_s + s.end_s), 0.65, 0.15, 0.0, 0.0))
    if not rows:
        return np.zeros((0, 5))
    keys = np.array([(rows[0][0] - REST_S, 0, 0, 0, 0), *rows,
                     (reading.syllables[-1].end_s + REST_S, 0, 0, 0, 0)])  # fmt: skip
    keys[:, 0] = np.maximum.accumulate(keys[:, 0])
    keys[:, 1] *= _loudness(reading, keys[:, 0])
    return keys


def mouth_word(values: Sequence[float] | Any) -> str:
    """What the mouth does on a frame, in words for a sheet; "" at rest."""
    opened, wide, closed, teeth = (float(v) for v in values)
    if closed > 0.5:
        return "closed"
    if teeth > 0.5:
        return "lip on teeth"
    shape = "narrow" if wide < -0.4 else "wide" if wide > 0.5 else ""
    size = "open" if opened > 0.6 else "half open" if opened > 0.3 else "a little" if (
        opened > 0.12 or shape) else ""  # fmt: skip
    return ", ".join(w for w in (size, shape) if w)
