"""Synthetic readings and scenes for the planner's tests: no sound needed, every time chosen.

`voice("that IS the THIRD one.", ...)`: a word in capitals bears a strong stress, one that starts
with ~ a light one; a full stop ends a phrase and is followed by a pause. The tracks carry a real
contour, so that figures in `because` can be checked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

import numpy as np

from audio.reading import (
    Because,
    ClipFacts,
    Glide,
    LoudnessTrack,
    Phrase,
    PitchTrack,
    Speaker,
    Syllable,
    VoiceEvent,
    VoiceReading,
    Word,
)
from planner.frames import Clock, FrameRate
from planner.scene import Beat, Line, Scene

STEP_S = 0.005
BASE_HZ = 120.0


def voice(
    text: str,
    *,
    lead_s: float = 0.3,
    syllable_s: float = 0.18,
    pause_s: float = 0.5,
    tail_s: float = 0.3,
    lift_st: float = 5.0,
    glides: Sequence[Glide] = (),
    events: Sequence[VoiceEvent] = (),
    with_text: bool = True,
) -> VoiceReading:
    """A reading of a text in which each word is one syllable; stressed ones are longer, higher."""
    words: list[Word] = []
    syllables: list[Syllable] = []
    phrases: list[Phrase] = []
    now_s, first = lead_s, 0
    for raw in text.split():
        bare = raw.strip("~.").rstrip(".")
        strong, light = bare.isupper() and bare != "I", raw.startswith("~")
        length_s = syllable_s * (1.6 if strong else 1.2 if light else 1.0)
        words.append(Word(bare.lower(), now_s, now_s + length_s, (), 0.9))
        syllables.append(
            Syllable(
                bare.lower() if with_text else None, len(words) - 1 if with_text else None,
                now_s, now_s + 0.3 * length_s, now_s + length_s, 1 if with_text else None,
                0.9 if strong else 0.5 if light else 0.2,
                "strong" if strong else "light" if light else "none",
                Because(pitch=1.0 if strong else 0.0),
            )
        )  # fmt: skip
        now_s += length_s
        if raw.endswith("."):
            phrases.append(_phrase(syllables, first, with_text))
            first = len(syllables)
            now_s += pause_s
    if first < len(syllables):
        phrases.append(_phrase(syllables, first, with_text))
    end_s = (syllables[-1].end_s if syllables else lead_s) + tail_s
    hz, db = _tracks(syllables, end_s, lift_st)
    return VoiceReading(
        ClipFacts("synthetic.wav", end_s, 48000, "0" * 64),
        Speaker(BASE_HZ, BASE_HZ * 0.8, BASE_HZ * 1.6, 5.0),
        tuple(words) if with_text else (), tuple(syllables), tuple(glides), tuple(phrases), (),
        tuple(events), PitchTrack(STEP_S, 0.0, hz), LoudnessTrack(STEP_S, 0.0, db, db), (),
    )  # fmt: skip


def silent_voice(duration_s: float = 2.0) -> VoiceReading:
    """A reading without a single syllable."""
    return voice("", lead_s=duration_s, tail_s=0.0)


def laughing(*, bursts: int, apart_s: float = 0.2) -> tuple[VoiceReading, float]:
    """A line with a laugh of so many bursts after it, and when the laugh starts (seconds)."""
    reading = voice("that is the THIRD lamp. and it is NOT mine", tail_s=0.6 + bursts * apart_s)
    start_s = reading.syllables[-1].end_s + 0.2
    db = np.array(reading.loudness.db)
    for k in range(bursts):
        at = int((start_s + apart_s / 2 + apart_s * k) / STEP_S)
        db[at - 8 : at + 9] = -25.0 - k - np.abs(np.arange(-8, 9))
    event = VoiceEvent("laugh", start_s, start_s + bursts * apart_s + 0.1, 0.9)
    track = LoudnessTrack(STEP_S, 0.0, db, db)
    return replace(reading, loudness=track, events=(event,)), start_s


def _phrase(syllables: Sequence[Syllable], first: int, with_text: bool) -> Phrase:
    last = len(syllables) - 1
    strongest = max(range(first, last + 1), key=lambda i: syllables[i].prominence)
    return Phrase(
        syllables[first].start_s, syllables[last].end_s, (first, last) if with_text else None,
        (first, last), strongest, "fall", -3.0,
    )  # fmt: skip


def _tracks(
    syllables: Sequence[Syllable], end_s: float, lift_st: float
) -> tuple[np.ndarray, np.ndarray]:
    n = max(int(end_s / STEP_S) + 1, 2)
    hz, db = np.full(n, np.nan), np.full(n, -70.0)
    for s in syllables:
        low, high = int(s.nucleus_s / STEP_S), int(s.end_s / STEP_S)
        lift = lift_st if s.degree == "strong" else lift_st / 2 if s.degree == "light" else 0.0
        hz[low:high] = BASE_HZ * 2 ** (lift / 12)
        db[low:high] = -20.0 + lift / 2
    hz.flags.writeable = db.flags.writeable = False
    return hz, db


def scene(
    lines: Sequence[tuple[str, float]] = (("clerk", 0.0),),
    *,
    rate: str = "24",
    first_frame: int = 1001,
    step: int = 1,
    beats: Sequence[Beat] = (),
    **more: object,
) -> Scene:
    """A scene with lines of (who, at_s)."""
    made = tuple(
        Line(k + 1, str(k + 1), who, f"{k + 1}.wav", at_s) for k, (who, at_s) in enumerate(lines)
    )
    characters = tuple(dict.fromkeys(who for who, _ in lines)) or ("clerk",)
    clock = Clock(FrameRate.parse(rate), first_frame, step)
    more.setdefault("characters", characters)
    return Scene("test", clock, lines=made, beats=tuple(beats), **more)  # type: ignore[arg-type]


def seconds(frame: int, clock: Clock) -> Fraction:
    """A frame's start, exact."""
    return Fraction(frame - clock.first_frame) / clock.rate.frames_per_s


def frozen(mapping: Mapping[object, object]) -> Mapping[object, object]:
    """A read-only copy."""
    return MappingProxyType(dict(mapping))
