"""Lines of our own that plans are judged on: said by espeak-ng, acted by its pitch and pace.

`monologue()` is one character for most of a minute, untagged; `sentence()` one sentence to be
played under every intent; `acted()` eight lines in different voices, each with its beats. Readings
come from the ear as it is, so that a change of the ear changes what is judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from audio.clip import clip_from_samples
from audio.read_voice import read_voice
from audio.reading import VoiceReading
from planner.frames import Clock, FrameRate
from planner.scene import Beat, Cue, Line, Scene
from tests.benchmarks.espeak import say

MONOLOGUE = (
    "I kept the shop for eleven years. My mother kept it before me, and her brother before that.",
    "People think you sell them bread. You do not. You sell them five minutes by a warm window.",
    "There was a man who came on Mondays. He never bought a thing, he just stood there and read.",
    "Then one Monday he was gone. Nobody knew his name, not even the postman.",
    "So I asked. I asked at the station, I asked at the school, I asked the priest.",
    "And in the end there was a letter, with no stamp on it, under the door of the shop.",
)  # fmt: skip
SENTENCE = "I told you that the blue lantern would never hold until the morning."


@dataclass(frozen=True, slots=True)
class Acted:
    """A line to judge: what is said, in which voice, and what it is to mean."""

    name: str
    text: str
    voice: str
    words_per_min: int
    pitch: int
    pitch_range: int
    beats: tuple[tuple[int, int, str, float, str], ...]  # first word, last, intent, strength, note
    pad_s: float = 1.0


ACTED = (
    Acted("found the key", "You had it. You had it all this time, in your own coat.", "en-us+f3",
          150, 55, 80, ((1, 3, "surprised", 0.7, ""), (4, 13, "amused", 0.7, ""))),
    Acted("no more soup", "No, no, no. Not one more spoon, and that is my last word.", "en-gb+m3",
          165, 35, 75, ((1, 3, "impatient", 0.8, ""), (4, 13, "angry", 0.7, ""))),
    Acted("the boat", "Yes, I was there. I saw the boat, and I saw who was in it.", "en-us+m2",
          125, 30, 45, ((1, 4, "confident", 0.6, ""),
                        (5, 14, "suspicious", 0.7, "hides that he was afraid"))),
    Acted("who knows", "Who knows where she goes on Tuesdays? I don't know. I never asked.",
          "en-gb+f2", 145, 60, 70, ((1, 7, "curious", 0.6, ""), (8, 13, "sad", 0.6, "tired"))),
    Acted("three things", "I need three things: the map, the rope, and your little brother.",
          "en-us+f4", 160, 50, 60, ((1, 11, "teasing", 0.8, ""),)),
    Acted("please stay", "Please. Stay until the snow is over, just this once.", "en-us+f1",
          120, 55, 55, ((1, 1, "pleading", 0.5, ""), (2, 10, "pleading", 0.9, "under her breath"))),
    Acted("my own roof",
          "I built this roof with my own two hands, and it has never let the rain in.", "en-gb+m1",
          140, 40, 60, ((1, 9, "proud", 0.7, ""), (10, 17, "tender", 0.5, ""))),
    Acted("the noise", "Did you hear that? There, behind the wall. Do not move.", "en-us+m4",
          170, 60, 85, ((1, 4, "frightened", 0.8, ""), (5, 11, "frightened", 0.6, ""))),
)  # fmt: skip


@lru_cache(maxsize=64)
def heard(
    text: str,
    voice: str = "en-us",
    words_per_min: int = 150,
    pitch: int = 45,
    pitch_range: int = 60,
    pad_s: float = 0.8,
) -> tuple[VoiceReading, np.ndarray, int]:
    """A text as espeak-ng says it, with silence around it, and what the ear hears."""
    made = say(text, voice=voice, words_per_min=words_per_min, pitch=pitch, pitch_range=pitch_range)
    quiet = np.random.default_rng(7).normal(0.0, 1e-4, int(pad_s * made.rate_hz))
    sound = np.concatenate([quiet, made.samples, quiet])
    clip = clip_from_samples(sound, made.rate_hz, "spoken.wav")
    return read_voice(clip, text=text), sound, made.rate_hz  # fmt: skip


def scene_of(
    lines: list[tuple[str, str, float]],
    beats: tuple[Beat, ...] = (),
    *,
    step: int = 1,
    **more: object,
) -> Scene:
    """A scene of (who, text, starts at seconds)."""
    made = tuple(
        Line(k + 1, str(k + 1), who, f"{k + 1}.wav", at_s, say=text)
        for k, (who, text, at_s) in enumerate(lines)
    )
    more.setdefault("characters", tuple(dict.fromkeys(who for who, _, _ in lines)))
    return Scene(
        "texture",
        Clock(FrameRate.parse("24"), 1001, step),
        lines=made,
        beats=beats,
        stage=MappingProxyType({}),
        **more,
    )  # type: ignore[arg-type]


def monologue() -> tuple[Scene, dict[int, VoiceReading]]:
    """One character, untagged, near a minute."""
    readings, lines, at_s = {}, [], 0.0
    for k, text in enumerate(MONOLOGUE):
        reading, _, _ = heard(
            text, pitch_range=(55, 75, 65)[k % 3], words_per_min=(145, 160)[k % 2]
        )
        readings[k + 1] = reading
        lines.append(("keeper", text, at_s))
        at_s += reading.clip.duration_s
    return scene_of(lines), readings


def sentence(intent: str, strength: float = 0.8) -> tuple[Scene, dict[int, VoiceReading]]:
    """The same sentence under an intent, said to someone."""
    reading, _, _ = heard(SENTENCE, pad_s=1.2, pitch_range=75)
    beat = Beat(intent, "one", 1, (1, len(reading.words)), strength=strength, toward="two")
    made = scene_of([("one", SENTENCE, 0.0)], (beat,), characters=("one", "two"))
    return made, {1: reading}


def acted(line: Acted) -> tuple[Scene, dict[int, VoiceReading], np.ndarray, int]:
    """An acted line as a scene with a listener who hears its last word."""
    reading, sound, rate_hz = heard(
        line.text, line.voice, line.words_per_min, line.pitch, line.pitch_range, line.pad_s
    )
    beats = tuple(
        Beat(intent, "speaker", 1, (first, last), strength=strength, toward="other", note=note)
        for first, last, intent, strength, note in line.beats
    )
    cue = Cue("other", 1, min(4, len(reading.words)), "surprised", strength=0.5)
    made = scene_of(
        [("speaker", line.text, 0.0)], beats, characters=("speaker", "other"), cues=(cue,)
    )
    return made, {1: reading}, sound, rate_hz  # fmt: skip
