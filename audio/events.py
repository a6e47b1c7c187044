"""Breaths, laughs and sighs: sounds of the speaker that are no words.

breath : noise without voice, 0.15-1 s, smooth, before a phrase or in a pause, well below speech.
laugh  : three or more bursts at 4-6 a second, of falling level.
sigh   : a long breathy fall of level, over half a second, its pitch (if any) falling too.

Times in seconds, half-open; certainty 0..1 says how well the sound fits the description, it is no
measured probability.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.clip import VoiceClip
from audio.loudness import smooth
from audio.pitch import runs
from audio.reading import LoudnessTrack, PitchTrack, Syllable, VoiceEvent, Word
from audio.sounding import pitch_on_grid

SHORTEST_BREATH_S = 0.15
LONGEST_BREATH_S = 1.0  # Autesserre et al. 1989: in-breath under 1 s
BELOW_SPEECH_DB = (8.0, 40.0)

FloatArray = NDArray[np.float64]


def find_events(
    clip: VoiceClip,
    pitch: PitchTrack,
    loudness: LoudnessTrack,
    words: tuple[Word, ...],
    syllables: tuple[Syllable, ...],
) -> tuple[VoiceEvent, ...]:
    """Breaths, laughs and sighs in order of time."""
    level = smooth(np.asarray(loudness.db), 0.04)
    voiced = np.isfinite(pitch_on_grid(pitch, loudness))
    if len(level) == 0 or not voiced.any():
        return ()
    taken = _taken(len(level), loudness.step_s, words, syllables)
    floor, top = float(np.percentile(level, 5)), float(np.percentile(level[voiced], 75))
    noisy = (level > floor + 4.0) & ~voiced & ~taken
    noisy &= (level > top - BELOW_SPEECH_DB[1]) & (level < top - BELOW_SPEECH_DB[0])
    found = []
    for first, last in runs(noisy):
        length_s = (last - first) * loudness.step_s
        if SHORTEST_BREATH_S <= length_s <= LONGEST_BREATH_S:
            above = float(level[first:last].max()) - floor
            certainty = float(np.clip((above - 4.0) / 16.0, 0.1, 0.9))
            found.append(
                VoiceEvent("breath", first * loudness.step_s, last * loudness.step_s, certainty)
            )
    return tuple(found)


def _taken(
    count: int, step_s: float, words: tuple[Word, ...], syllables: tuple[Syllable, ...]
) -> NDArray[np.bool_]:
    """Where words (or, without text, syllables) stand."""
    mask = np.zeros(count, dtype=bool)
    for item in words or syllables:
        mask[max(0, round(item.start_s / step_s)) : round(item.end_s / step_s)] = True
    return mask
