"""Whether a reading taken from disk is one that could have been heard: indexes, order, numbers.

A kept reading is believed by all that follows; one that is well written and wrong (an index past
the end, a track without a step, a time that is no number) would break far from here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, get_args

import numpy as np

from audio.reading import Degree, Ending, EventKind, GlideShape, VoiceReading

SLACK_S = 1.0  # a word's end may lie a little past the clip's: frames of analysis are rounded up


def is_sound(reading: VoiceReading) -> bool:
    """True if nothing in the reading contradicts the rest."""
    try:
        return _kinds(reading) and _spans(reading) and _indexes(reading) and _tracks(reading)
    except (TypeError, ValueError, AttributeError, OverflowError):
        return False


def _kinds(r: VoiceReading) -> bool:
    """Names out of the lists they come from, texts that are texts."""
    return (
        all(s.degree in get_args(Degree) for s in r.syllables)
        and all(g.shape in get_args(GlideShape) for g in r.glides)
        and all(p.ending in get_args(Ending) for p in r.phrases)
        and all(e.kind in get_args(EventKind) for e in r.events)
        and all(isinstance(w.text, str) for w in r.words)
        and all(isinstance(w, str) for w in r.warnings)
        and all(s.text is None or isinstance(s.text, str) for s in r.syllables)
    )


def _spans(r: VoiceReading) -> bool:
    """Times that are numbers, inside the clip, each end after its start."""
    last = r.clip.duration_s + SLACK_S
    spans: Iterable[Any] = (*r.words, *r.syllables, *r.glides, *r.phrases, *r.pauses, *r.events)
    numbers = [*_numbers(r.speaker), r.clip.duration_s]
    for s in r.syllables:
        numbers += [s.nucleus_s, s.prominence, s.lean]
        numbers += [*_numbers(s.because), *_numbers(s.delivery)]
    return (
        0 < r.clip.duration_s < math.inf
        and all(-SLACK_S <= s.start_s <= s.end_s <= last for s in spans)
        and all(math.isfinite(n) for n in numbers)
    )


def _numbers(record: Any) -> Iterable[float]:
    return (getattr(record, name) for name in record.__slots__)


def _indexes(r: VoiceReading) -> bool:
    """Indexes that point at something."""
    words, syllables = len(r.words), len(r.syllables)

    def inside(pair: tuple[int, int], count: int) -> bool:
        return 0 <= pair[0] <= pair[1] < count

    return (
        all(s.word is None or 0 <= s.word < words for s in r.syllables)
        and all(0 <= i < syllables for g in r.glides for i in g.syllables)
        and all(inside(p.syllables, syllables) for p in r.phrases)
        and all(p.words is None or inside(p.words, words) for p in r.phrases)
        and all(0 <= i < syllables
                for p in r.phrases for i in (p.strongest_syllable, *p.leaned_syllables))
    )  # fmt: skip


def _tracks(r: VoiceReading) -> bool:
    """Tracks with a step, as long as the clip allows."""
    return (
        all(0 < t.step_s < 1 and math.isfinite(t.start_s) for t in (r.pitch, r.loudness))
        and len(r.loudness.db) == len(r.loudness.sonorant_db)
        and not np.isnan(r.loudness.db).any()
        and not (r.pitch.hz <= 0).any()
        and 0 < r.pitch.floor_hz < r.pitch.ceiling_hz
    )
