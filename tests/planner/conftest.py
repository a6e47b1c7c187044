"""Running the command line as a user sees it, and scenes and readings made by hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
import pytest

from audio.reading import (
    ClipFacts,
    LoudnessTrack,
    Phrase,
    PitchTrack,
    Speaker,
    Syllable,
    VoiceReading,
    Word,
    frozen_array,
)
from planner.cli import main
from planner.frames import Clock, FrameRate
from planner.scene import Line, Scene


class Ran(NamedTuple):
    """What a command gave."""

    code: int
    out: str
    err: str


@pytest.fixture
def linebeat(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Calls `linebeat` with arguments."""

    def run(*arguments: object) -> Ran:
        capsys.readouterr()
        code = main([str(a) for a in arguments])
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return run


def a_voice(stresses: Sequence[tuple[float, str]], *, length_s: float = 4.0) -> VoiceReading:
    """A reading made by hand: a word of 0.2 s a stress (vowel onset, degree), one phrase.

    The first strongest stress is the phrase's main accent.
    """
    rank = {"none": 0.0, "light": 0.4, "strong": 0.8}
    words = tuple(
        Word(f"word{i}", t - 0.05, t + 0.15, (), 1.0) for i, (t, _) in enumerate(stresses)
    )
    syllables = tuple(
        Syllable(f"word{i}", i, t - 0.05, t, t + 0.15, 1, rank[degree], degree)  # type: ignore[arg-type]
        for i, (t, degree) in enumerate(stresses)
    )
    n = len(syllables)
    strongest = max(range(n), key=lambda i: rank[stresses[i][1]], default=0)
    phrases = (
        (
            Phrase(
                words[0].start_s, words[-1].end_s, (0, n - 1), (0, n - 1), strongest, "fall", -3.0
            ),
        )
        if n
        else ()
    )
    silent = frozen_array(np.full(4, -60.0))
    return VoiceReading(
        ClipFacts("voice.wav", length_s, 16000, "0" * 64), Speaker(120.0, 90.0, 180.0, 4.0),
        words, syllables, (), phrases, (), (),
        PitchTrack(0.005, 0.0, frozen_array(np.full(4, np.nan))),
        LoudnessTrack(0.005, 0.0, silent, silent), (),
    )  # fmt: skip


def a_scene(
    *readings: VoiceReading, who: Sequence[str] = ("ada",), at_s: Sequence[float] = (),
    rate: str = "24", first_frame: int = 1001, **parts: Any,
) -> tuple[Scene, dict[int, VoiceReading]]:  # fmt: skip
    """A scene of one line a reading, and the readings by line number."""
    names = [*who, *[who[-1]] * len(readings)]
    lines = tuple(
        Line(i + 1, str(i + 1), names[i], "voice.wav", at_s[i] if at_s else 0.0)
        for i in range(len(readings))
    )
    clock = Clock(FrameRate.parse(rate), first_frame)
    characters = tuple(dict.fromkeys(names))
    scene = Scene("made by hand", clock, characters, lines, **parts)
    return scene, dict(enumerate(readings, start=1))


@pytest.fixture
def voice() -> Callable[..., VoiceReading]:
    """Makes a reading from (vowel onset in seconds, degree) pairs; see `a_voice`."""
    return a_voice


@pytest.fixture
def scene_of() -> Callable[..., tuple[Scene, dict[int, VoiceReading]]]:
    """Makes a scene of one line a reading; see `a_scene`."""
    return a_scene
