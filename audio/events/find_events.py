"""Breaths, laughs and sighs: sounds of the speaker that are no words.

`laughs` finds trains of like bursts, `breaths` finds air that is heard. With a transcript, what
lies inside a word that the sound really says is left to the word, unless the word spells a laugh.

Times in seconds, half-open; certainty 0..1 says how well the sound fits the description, it is no
measured probability. What this is tested on: breaths, laughs and sighs built from noise and voiced
bursts of known envelope, put between real phrases. That proves times, and that speech is not taken
for them; it does not prove that every real laugh or breath is found.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from audio.clip import VoiceClip
from audio.events.breaths import find_breaths
from audio.events.laughs import find_laughs
from audio.reading import LoudnessTrack, PitchTrack, Syllable, VoiceEvent, Word
from audio.sound.sounding import find_levels, voiced_mask

LEAST_CERTAINTY = 0.5  # of a laugh
# In noise evenly spoken syllables come out alike: of 78 spoken lines ten had a "laugh" of .55-.77
# at 10 dB, none of .79, while laughs of four bursts and more stay at .85 and above.
LEAST_IN_NOISE = 0.79
NOISY_DB = 25.0  # voice over noise under which that holds
SAID = 0.3  # confidence from which a word is taken to be there
SPELLED_LAUGH = re.compile(r"\W*(?:(?:ha+|he+|ho+|hi+|hee+)h?\W*)+", re.IGNORECASE)
BoolArray = NDArray[np.bool_]


def find_events(
    clip: VoiceClip,
    pitch: PitchTrack,
    loudness: LoudnessTrack,
    words: tuple[Word, ...],
    syllables: tuple[Syllable, ...],
) -> tuple[VoiceEvent, ...]:
    """Breaths, laughs and sighs in order of time.

    words : as laid on the sound, () without a transcript; syllables : only for the interface's
    sake, since a laugh's bursts are syllables too.
    """
    said = _said(len(loudness.db), loudness.step_s, words)
    least = _least_certainty(pitch, loudness)
    laughs = []
    taken = said.copy()
    for laugh in find_laughs(clip, pitch, loudness):
        part = slice(round(laugh.start_s / loudness.step_s), round(laugh.end_s / loudness.step_s))
        if laugh.certainty < least or said[part].mean() > 0.5:
            continue
        laughs.append(VoiceEvent("laugh", laugh.start_s, laugh.end_s, laugh.certainty))
        taken[part] = True
    found = [*laughs, *find_breaths(clip, pitch, loudness, taken)]
    return tuple(sorted(found, key=lambda e: e.start_s))


def _least_certainty(pitch: PitchTrack, loudness: LoudnessTrack) -> float:
    """How sure a laugh must be in this clip."""
    if len(loudness.db) == 0:
        return LEAST_CERTAINTY
    levels = find_levels(loudness, voiced_mask(pitch, loudness))
    return LEAST_CERTAINTY if levels.voice_db - levels.noise_db >= NOISY_DB else LEAST_IN_NOISE


def _said(count: int, step_s: float, words: tuple[Word, ...]) -> BoolArray:
    """Where words stand that the sound says and that are no spelled laughs."""
    mask = np.zeros(count, dtype=bool)
    for word in words:
        if word.confidence >= SAID and not SPELLED_LAUGH.fullmatch(word.text):
            mask[max(0, round(word.start_s / step_s)) : round(word.end_s / step_s)] = True
    return mask
