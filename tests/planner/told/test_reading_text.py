"""A reading as text: what is not there is not printed as a number."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

from made_voices import voice as spoken_by
from rich.console import Console

from audio.reading import Speaker
from planner.told.reading_text import print_reading


def told(reading: object) -> str:
    console = Console(width=120, record=True, file=StringIO())
    print_reading(reading, console)  # type: ignore[arg-type]
    return console.export_text()


def test_a_whisper_has_no_pitch() -> None:
    whisper = replace(spoken_by("Come here now."), speaker=Speaker(0.0, 0.0, 0.0, 4.0))
    text = told(whisper)
    assert "no pitch: whispered or unvoiced" in text
    assert "0-0 Hz" not in text


def test_a_second_lean_is_named() -> None:
    reading = spoken_by("Come here now.")
    phrase = replace(reading.phrases[0], strongest_syllable=0, leaned_syllables=(0, 2))
    text = told(replace(reading, phrases=(phrase,)))
    assert text.count("main") == 1
    assert text.count("leaned on too") == 1
