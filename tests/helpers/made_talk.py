"""A long talk of two: every beat tagged, a cue a line; for what must be quick or the same."""

from __future__ import annotations

import random

from made_voices import scene, voice
from plans import STAGE

from audio.reading import VoiceReading
from planner.intents import load_intents
from planner.scene import Beat, Cue, Scene

LINES_IN_3_MINUTES = 36


def made_talk(
    lines: int = LINES_IN_3_MINUTES, *, seed: int = 1, gap_s: float = -0.1
) -> tuple[Scene, dict[int, VoiceReading]]:
    """A scene of that many lines of 20 syllables, by turns; `gap_s` between two of them."""
    chance = random.Random(seed)
    intents = sorted(load_intents())
    placed, readings, beats, cues, at_s = [], {}, [], [], 0.0
    for number in range(1, lines + 1):
        who, other = ("clerk", "visitor") if number % 2 else ("visitor", "clerk")
        said = [chance.choice(("LAMP", "~oak", "rain", "ham", "tin")) for _ in range(20)]
        said[8] += "."
        readings[number] = voice(" ".join(said))
        placed.append((who, at_s))
        beats += [
            Beat(chance.choice(intents), who, number, words, toward=other)
            for words in ((1, 7), (8, 13), (14, 20))
        ]
        cues.append(Cue(other, number, 5, "surprised"))
        at_s += readings[number].clip.duration_s + gap_s
    return scene(placed, beats=beats, cues=tuple(cues), stage=STAGE), readings
