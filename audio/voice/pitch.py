"""Pitch of the voice every 5 ms, in the speaker's own range, octave jumps repaired.

Method: Praat's autocorrelation tracker (Boersma 1993), twice. A pass over 50-1000 Hz finds where
this voice lives; floor and ceiling follow from its quartiles (0.75 times the first, De Looze &
Hirst 2008; 1.7 times the third, wider than their 1.5 since acted speech is livelier). A second pass
tracks in that range, and `pitch_repair` mends it by the first where a squeal or creak leaves it.
Steady noise is taken down before (`quieten`).

Times are the middle of the analysis window; NaN where no voice is. A whisper gets no pitch.

It does not follow two voices at once, nor tell music from a voice where both are as loud.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import PitchTrack, frozen_array
from audio.sound.quieten import quieter
from audio.voice.pitch_repair import drop_chance, fuse, mend_leaps, runs, steady
from audio.voice.pitch_track import STEP_S, track_whole

__all__ = ["HIGHEST_HZ", "LOWEST_HZ", "STEP_S", "find_pitch", "runs", "semitones"]

LOWEST_HZ = 50.0  # creak goes lower, but below this a pulse train is heard as pulses
HIGHEST_HZ = 1000.0  # an acted squeal; a singer's top notes lie about here
FLOOR_RATIO = 0.75  # of the first quartile (De Looze & Hirst 2008)
CEILING_RATIO = 1.7  # of the third quartile
HIGHEST_FLOOR_HZ = 200.0  # a higher one shortens the window and loses the ends of a squeal
LOWEST_CEILING_HZ = 200.0
UNKNOWN_RANGE_HZ = (60.0, 600.0)  # where too little is voiced to tell
FEWEST_VALUES = 10
TRACK_RATE_HZ = 8000  # eight samples a period at 1000 Hz; what lies above 4 kHz has no pitch in it
WIDE_EVERY = 2  # the wide pass steps by 10 ms

FloatArray = NDArray[np.float64]
Samples = NDArray[np.float32]


def semitones(pitch_hz: FloatArray, *, reference_hz: float) -> FloatArray:
    """Pitch as distance from a reference.

    pitch_hz : shape (n,), NaN where unvoiced; reference_hz : Hz, > 0.
    Returns shape (n,), semitones, NaN kept. Raises ValueError if reference_hz <= 0.
    Source: equal temperament, 12 * log2(f / f_ref).
    >>> semitones(np.array([440.0]), reference_hz=220.0)
    array([12.])
    """
    if not reference_hz > 0:
        raise ValueError("reference_hz must be above 0")
    result: FloatArray = 12.0 * np.log2(np.asarray(pitch_hz, dtype=np.float64) / reference_hz)
    return result


def find_pitch(clip: VoiceClip, quiet: Samples | None = None) -> PitchTrack:
    """The pitch of a clip, every 5 ms from time 0; NaN where unvoiced.

    quiet : the clip's samples with noise taken down (`quieter`), where they are known already.
    """
    samples = _at_track_rate(quieter(clip.samples) if quiet is None else quiet)
    wide = track_whole(samples, TRACK_RATE_HZ, LOWEST_HZ, HIGHEST_HZ, every=WIDE_EVERY)
    floor_hz, ceiling_hz = _range_of(wide.hz[steady(wide)])
    own = track_whole(samples, TRACK_RATE_HZ, floor_hz, ceiling_hz)
    hz = mend_leaps(drop_chance(fuse(own, wide, floor_hz, ceiling_hz)))
    count = 1 + len(clip.samples) // round(STEP_S * ANALYSIS_RATE_HZ)  # as the level track has
    hz = np.pad(hz, (0, max(0, count - len(hz))), constant_values=np.nan)[:count]
    return PitchTrack(STEP_S, 0.0, frozen_array(hz), floor_hz, ceiling_hz)


def _range_of(voiced_hz: FloatArray) -> tuple[float, float]:
    """Search range of this speaker from the pitch where it is sure."""
    if len(voiced_hz) < FEWEST_VALUES:
        return UNKNOWN_RANGE_HZ
    low, high = np.percentile(voiced_hz, (25, 75))
    floor_hz = float(np.clip(FLOOR_RATIO * low, LOWEST_HZ, HIGHEST_FLOOR_HZ))
    least = max(LOWEST_CEILING_HZ, 2.2 * floor_hz)  # the tracker wants an octave at least
    return floor_hz, float(np.clip(CEILING_RATIO * high, least, HIGHEST_HZ))


def _at_track_rate(samples: Samples) -> Samples:
    """The samples at the tracker's rate."""
    import soxr

    result: Samples = soxr.resample(samples, ANALYSIS_RATE_HZ, TRACK_RATE_HZ)
    return result
