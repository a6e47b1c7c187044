"""The stresses of a shot on frames, and the one rule of what a phrase's main accent is.

Conventions: readings are as the user hears them; a stress stands on the frame on screen at its
vowel's onset (`nucleus_s`). A phrase's main accent is its strongest syllable, where that bears a
stress at all: light or strong. Words are compared and shown bare, without the marks around them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from audio.reading import VoiceReading
from planner.frames import Clock
from planner.scene import Line, Scene
from planner.scene.words import bare


@dataclass(frozen=True, slots=True)
class SpokenStress:
    """A stressed syllable on its frame; `syllable` counts from 0 in its line."""

    who: str
    line: int
    syllable: int
    text: str | None
    frame: int
    main: bool
    strong: bool
    weight: float

    @property
    def word(self) -> str:
        """As people call it: `"third"`, or "the stress on 1016" without a transcript."""
        return f'"{self.text}"' if self.text else f"the stress on {self.frame}"

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of the stress a pose stands on."""
        return {"line": self.line, "syllable": self.syllable, "text": self.text,
                "frame": self.frame, "main": self.main}  # fmt: skip


def main_accents(reading: VoiceReading) -> frozenset[int]:
    """Each phrase's strongest syllable, where it bears a stress at all."""
    syllables = reading.syllables
    return frozenset(
        strongest
        for strongest in (p.strongest_syllable for p in reading.phrases)
        if 0 <= strongest < len(syllables) and syllables[strongest].degree != "none"
    )


def spoken_stresses(scene: Scene, heard: Mapping[int, VoiceReading]) -> tuple[SpokenStress, ...]:
    """All stresses of the scene in order of time."""
    found = []
    for line in scene.lines:
        if line.number in heard:
            found += line_stresses(scene.clock, line, heard[line.number])
    return tuple(sorted(found, key=lambda s: (s.frame, s.line, s.syllable)))


def line_stresses(clock: Clock, line: Line, reading: VoiceReading) -> list[SpokenStress]:
    """The stresses of a line, in order of its syllables."""
    mains = main_accents(reading)
    found = []
    for index, syllable in enumerate(reading.syllables):
        if syllable.degree == "none":
            continue
        main, strong = index in mains, syllable.degree == "strong"
        frame = clock.frame_at(line.at_s + syllable.nucleus_s)
        weight = 2.0 * main + strong + 0.99 * syllable.prominence
        text = word_of(reading, index)
        found.append(SpokenStress(line.who, line.number, index, text, frame, main, strong, weight))
    return found


def word_of(reading: VoiceReading, syllable: int) -> str | None:
    """The bare word a syllable belongs to; its own text where it belongs to none."""
    word = reading.syllables[syllable].word
    if word is None or not 0 <= word < len(reading.words):
        return reading.syllables[syllable].text
    return bare(reading.words[word].text)
