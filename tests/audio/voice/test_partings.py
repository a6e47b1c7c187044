"""A phrase ends at a mark where the voice parts, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from audio.reading import Pause, Phone, PitchTrack, Syllable, Word, frozen_array
from audio.voice.partings import find_partings

STEP_S = 0.005
LENGTH_S = 0.2


def said(
    count: int, *, seam: int, gap_s: float = 0.0, drawn: float = 1.0, reset_st: float = 0.0
) -> tuple[list[Syllable], list[Word], PitchTrack]:
    """Words of a syllable each; something happens between word `seam` - 1 and word `seam`."""
    syllables, words, at_s = [], [], 0.2
    hz = np.full(1000, np.nan)
    for n in range(count):
        length_s = LENGTH_S * (drawn if n == seam - 1 else 1.0)
        at_s += gap_s if n == seam else 0.0
        end_s = at_s + length_s
        pitch = 120.0 * 2 ** ((reset_st if n >= seam else 0.0) / 12)
        hz[round((at_s + 0.02) / STEP_S) : round((end_s - 0.02) / STEP_S)] = pitch
        phones = (Phone("M", at_s, at_s + 0.05), Phone("EH1", at_s + 0.05, end_s))
        words.append(Word(f"w{n}", at_s, end_s, phones, 0.9))
        syllables.append(Syllable(f"w{n}", n, at_s, at_s + 0.05, end_s, 1))
        at_s = end_s
    return syllables, words, PitchTrack(STEP_S, 0.0, frozen_array(hz))


def partings(mark: str, pauses: tuple[Pause, ...] = (), **how: float) -> tuple[int, ...]:
    syllables, words, pitch = said(8, seam=4, **how)
    marks = ["", "", "", mark, "", "", "", ""]
    return find_partings(syllables, words, marks, pauses, pitch)


@pytest.mark.parametrize("how", [{"gap_s": 0.1}, {"drawn": 1.7}, {"reset_st": 4.0}])
def test_a_sentence_ends_where_the_voice_gives_one_sign(how: dict[str, float]) -> None:
    assert partings(".", **how) == (4,)
    assert partings(",", **how) == ()
    assert partings("", **how) == ()


def test_a_comma_parts_where_two_signs_meet() -> None:
    assert partings(",", drawn=1.7, reset_st=4.0) == (4,)
    assert partings(",", gap_s=0.15) == (4,)


def test_a_voice_that_runs_on_does_not_part() -> None:
    assert partings(".") == ()


def test_a_pause_has_parted_already() -> None:
    syllables, words, pitch = said(8, seam=4, gap_s=0.4)
    pause = Pause(words[3].end_s, words[4].start_s)
    assert find_partings(syllables, words, ["", "", "", "."] + [""] * 4, (pause,), pitch) == ()


def test_marks_for_other_words_are_not_used() -> None:
    syllables, words, pitch = said(8, seam=4, gap_s=0.1)
    assert find_partings(syllables, words, ["."], (), pitch) == ()
    assert find_partings([], [], [], (), pitch) == ()


def test_one_syllable_is_no_phrase_of_a_comma() -> None:
    syllables, words, pitch = said(5, seam=1, gap_s=0.15)
    assert find_partings(syllables, words, [","] + [""] * 4, (), pitch) == ()
    assert find_partings(syllables, words, ["."] + [""] * 4, (), pitch) == (1,)


def test_a_word_of_two_syllables_is_not_cut() -> None:
    syllables, words, pitch = said(8, seam=4, gap_s=0.1)
    joined = [replace(s, word=3) if s.word == 4 else s for s in syllables]
    assert find_partings(joined, words, ["", "", "", "."] + [""] * 4, (), pitch) == ()
