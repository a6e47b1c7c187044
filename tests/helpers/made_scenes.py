"""Strategies: synthetic voices and scenes for the properties every plan must have."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st
from made_voices import voice

from audio.reading import Glide, VoiceEvent, VoiceReading
from planner.intents import load_intents
from planner.scene import Beat

INTENTS = tuple(load_intents())
WORDS = ("ham", "oak", "rain", "lamp", "tin", "bell", "road", "pear")


@st.composite
def texts(draw: Any, least: int = 2, most: int = 10) -> str:
    """Words of which some are stressed (capitals), some lightly (~), some end a phrase (.)."""
    words = []
    for _ in range(draw(st.integers(least, most))):
        word = draw(st.sampled_from(WORDS))
        form = draw(st.sampled_from(("plain", "plain", "strong", "light", "end")))
        words.append({"plain": word, "strong": word.upper(), "light": f"~{word}",
                      "end": f"{word.upper()}."}[form])  # fmt: skip
    return " ".join(words)


@st.composite
def voices(draw: Any, least: int = 2, most: int = 10) -> VoiceReading:
    """Readings with stresses, pauses, now and then a glide on the last word or a breath."""
    reading = voice(
        draw(texts(least, most)), lead_s=draw(st.sampled_from((0.1, 0.3, 0.9))),
        syllable_s=draw(st.sampled_from((0.12, 0.18, 0.25))),
        pause_s=draw(st.sampled_from((0.3, 0.6, 1.1))),
    )  # fmt: skip
    last = len(reading.syllables) - 1
    end_s = reading.syllables[last].end_s
    glides = [Glide(end_s - 0.3, end_s, draw(st.sampled_from((-6.0, 4.0))),
                    "rise" if draw(st.booleans()) else "fall", True, (last,))]  # fmt: skip
    events = [VoiceEvent("breath", 0.0, reading.syllables[0].start_s, 0.8)]
    return replace(
        reading, glides=tuple(glides) if draw(st.booleans()) else (),
        events=tuple(events) if draw(st.booleans()) else (),
    )  # fmt: skip


@st.composite
def beats_of(
    draw: Any, reading: VoiceReading, line: int, who: str, strength: float | None = None
) -> tuple[Beat, ...]:
    """Beats over the words of a line, one after the other; some words are left untagged."""
    found, word = [], 1
    n = len(reading.words)
    while word <= n:
        last = min(n, word + draw(st.integers(0, 5)))
        if draw(st.integers(0, 4)):
            found.append(
                Beat(
                    draw(st.sampled_from(INTENTS)), who, line, (word, last),
                    strength=draw(st.sampled_from((0.1, 0.4, 0.7, 1.0)))
                    if strength is None else strength,
                    toward=draw(st.sampled_from((None, "visitor" if who == "clerk" else "clerk"))),
                )
            )  # fmt: skip
        word = last + 1
    return tuple(found)


@st.composite
def two_handers(draw: Any) -> tuple[list[tuple[str, float]], dict[int, VoiceReading], list[Beat]]:
    """Lines of two characters, some overlapping: (who, at_s), readings, beats."""
    lines: list[tuple[str, float]] = []
    readings: dict[int, VoiceReading] = {}
    beats: list[Beat] = []
    at_s = 0.0
    for number in range(1, draw(st.integers(1, 4)) + 1):
        who = "clerk" if number % 2 else "visitor"
        reading = draw(voices())
        lines.append((who, at_s))
        readings[number] = reading
        beats += draw(beats_of(reading, number, who))
        at_s += reading.clip.duration_s + draw(st.sampled_from((-0.6, -0.2, 0.1, 0.7)))
        at_s = max(at_s, 0.0)
    return lines, readings, beats
