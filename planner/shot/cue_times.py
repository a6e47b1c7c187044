"""When a word can be understood at the soonest, and what a listener's cue is on frames.

Conventions: seconds of the clip or of the scene, as each name says. A listener cannot answer before
the cue could be understood: a word is known about 200 ms after its audible onset in context
(Marslen-Wilson & Tyler 1980; a beginning near silence does not count), and the quickest answer to
a sound takes 160 ms more (simple reaction, review from Galton 1899 to Welford 1980).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from audio.reading import VoiceReading
from planner.scene import Cue, Scene
from planner.scene.words import bare

WORD_KNOWN_S = 0.2  # Marslen-Wilson & Tyler 1980: word known about 200 ms after its onset
REACTION_S = 0.16  # simple reaction to sound, 160 ms (review, Galton 1899 to Welford 1980)
AUDIBLE_DB = 25.0  # dB under a word's loudest moment (De Jong & Wempe, 2010 version)


@dataclass(frozen=True, slots=True)
class CueTime:
    """A cue on frames: its word's first audible one, and the first on which it can be answered."""

    cue: Cue
    word: str
    word_frame: int
    earliest: int


def audible_from_s(reading: VoiceReading, start_s: float, end_s: float) -> float:
    """From when a word can be heard: its level first within 25 dB of its own loudest moment.

    A weak beginning ("th", "f") lies near silence and tells a listener nothing. 25 dB below the
    top is where De Jong & Wempe's syllable detector stops counting sound (2010 version).
    Falls back on `start_s` where the loudness track does not reach.
    """
    track = reading.loudness
    low = max(int((start_s - track.start_s) / track.step_s), 0)
    part = track.db[low : int((end_s - track.start_s) / track.step_s) + 1]
    if not len(part):
        return start_s
    first = int(np.argmax(part >= float(part.max()) - AUDIBLE_DB))
    return min(max(start_s, track.start_s + (low + first) * track.step_s), end_s)


def cue_times(scene: Scene, heard: Mapping[int, VoiceReading]) -> tuple[CueTime, ...]:
    """Each cue whose word was read, on frames."""
    found = []
    for cue in scene.cues:
        reading = heard.get(cue.line)
        if reading is None or not 1 <= cue.word <= len(reading.words):
            continue
        word = reading.words[cue.word - 1]
        audible_s = audible_from_s(reading, word.start_s, word.end_s)
        onset_s = scene.lines[cue.line - 1].at_s + audible_s
        frame, clock = scene.clock.frame_at(onset_s), scene.clock
        earliest = clock.frame_at(onset_s + WORD_KNOWN_S + REACTION_S)
        found.append(CueTime(cue, bare(word.text), frame, earliest))
    return tuple(found)
