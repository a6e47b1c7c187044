"""Words laid on sound: every word gets a place, whatever the sound is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import yaml

from audio.alignment.align import align_words, doubted, sounding_part, spread_words
from audio.clip import ANALYSIS_RATE_HZ, VoiceClip, load_clip
from audio.reading import Word
from audio.words.pronounce import pronounce_text


def clip_of(samples: np.ndarray) -> VoiceClip:
    frozen = np.asarray(samples, dtype=np.float32)
    frozen.flags.writeable = False
    return VoiceClip("", frozen, ANALYSIS_RATE_HZ, "")


def noise(seconds: float, level: float = 0.05) -> np.ndarray:
    rng = np.random.default_rng(5)
    return level * rng.standard_normal(int(seconds * ANALYSIS_RATE_HZ))


@pytest.mark.parametrize("seconds", [0.0, 0.01, 0.05, 0.3, 2.0])
def test_every_word_gets_a_place_on_any_sound(seconds: float) -> None:
    spoken = pronounce_text("that is the third umbrella this week").words

    alignment = align_words(clip_of(noise(seconds)), spoken)

    assert [w.text for w in alignment.words] == [w.text for w in spoken]
    edges = [t for w in alignment.words for p in w.phones for t in (p.start_s, p.end_s)]
    assert edges == sorted(edges)
    assert edges[0] >= 0 and edges[-1] <= seconds + 1e-6
    assert [w.phones for w in alignment.spoken] == [
        tuple(p.phone for p in w.phones) for w in alignment.words
    ]


def test_a_clip_too_short_for_its_text_is_warned_about_with_no_confidence() -> None:
    alignment = align_words(clip_of(noise(0.2)), pronounce_text("the third umbrella").words)

    assert "does not fit the sound" in alignment.warnings[0]
    assert all(w.confidence < 0.1 for w in alignment.words)


def test_no_words_lie_on_nothing() -> None:
    assert align_words(clip_of(noise(0.5)), ()).words == ()


def test_sounding_part_leaves_silence_out() -> None:
    samples = np.concatenate([noise(0.5, 1e-5), noise(1.0), noise(0.7, 1e-5)])

    assert sounding_part(samples.astype(np.float32)) == pytest.approx((0.5, 1.5), abs=0.03)


def test_spread_words_fill_the_range_by_their_phones() -> None:
    words = spread_words(pronounce_text("a third").words, 1.0, 2.0)

    assert (words[0].start_s, words[-1].end_s) == (1.0, pytest.approx(2.0))
    assert words[1].start_s == pytest.approx(1.25)


def word(text: str, confidence: float, length_s: float = 0.3) -> Word:
    """A word laid somewhere, with this confidence."""
    return Word(text, 0.0, length_s, (), confidence)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ([word("train", 0.9), word("at", 0.0), word("seven", 0.9)], []),  # of the grammar
        ([word("train", 0.9), word("tea", 0.0, 0.1), word("seven", 0.9)], []),  # swallowed
        ([word("train", 0.9), word("garden", 0.1), word("seven", 0.9)], []),  # not sure enough
        ([word("train", 0.9), word("garden", 0.001), word("seven", 0.9)], [1]),
        ([word("at", 0.1), word("garden", 0.1), word("seven", 0.9)], [0, 1]),
        ([word("of", 0.0), word("them", 0.0), word("seven", 0.9)], []),
    ],
)
def test_one_word_alone_is_doubted_only_if_it_is_clearly_another(
    words: list[Word], named: list[int]
) -> None:
    assert doubted(words) == named


def test_the_demo_lines_raise_no_doubt(demo_scenes: Path) -> None:
    """Right texts, natural and synthetic voices: no remark."""
    for name in ("lost_umbrella", "night_kitchen"):
        for line in read_lines_of(demo_scenes / name / "scene.yaml"):
            clip = load_clip(demo_scenes / name / line[0])
            assert align_words(clip, pronounce_text(line[1]).words).warnings == ()


def read_lines_of(path: Path) -> list[tuple[str, str]]:
    """Sound and words of each line of a scene file."""
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    return [(line["sound"], line["say"]) for line in data["lines"]]
