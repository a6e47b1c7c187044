"""What is done to voices before they are learned from moves their truth along with them."""

from __future__ import annotations

import made_sounds as made
import numpy as np
import pytest

from tests.training import nuclei_augment as augment
from tests.training.nuclei_material import Spoken

GAP_S, VOWEL_S = 0.09, 0.16


def a_line() -> Spoken:
    """Six vowels between silences, the truth known to the sample."""
    rng = np.random.default_rng(2)
    sound, onsets = made.syllable_train(rng, 6, gap_s=GAP_S, vowel_s=VOWEL_S, hiss=0.001)
    samples = np.concatenate((sound, made.silence(0.2)))
    samples = 0.1 * samples + 1e-5 * rng.standard_normal(len(samples))
    vowels = tuple((t, t + VOWEL_S) for t in onsets)
    return Spoken("made", samples.astype(np.float32), tuple(onsets), vowels)


def rise_db(spoken: Spoken, at_s: float) -> float:
    """How much louder the 30 ms after a time are than the 30 ms before it, 10 ms left out."""
    at, near, far = (round(t * made.RATE_HZ) for t in (at_s, 0.01, 0.04))
    before = spoken.samples[max(0, at - far) : at - near]
    after = spoken.samples[at + near : at + far]
    return float(10 * np.log10((np.mean(after**2) + 1e-12) / (np.mean(before**2) + 1e-12)))


@pytest.mark.parametrize(
    "way", ["faster", "revoiced", "drawn_out", "whispered", "padded", "tilted"]
)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_vowels_still_begin_where_the_truth_says(way: str, seed: int) -> None:
    before = a_line()
    after = getattr(augment, way)(before, np.random.default_rng(seed))
    assert len(after.onsets_s) == len(before.onsets_s)
    assert not np.array_equal(after.samples, before.samples)
    assert min(rise_db(after, t) for t in after.onsets_s) > 8.0
    assert all(a < b for a, b in after.vowels_s)
    assert after.vowels_s[-1][1] <= len(after.samples) / made.RATE_HZ + 0.01


def test_a_drawn_out_vowel_is_longer_and_the_others_are_not() -> None:
    after = augment.drawn_out(a_line(), np.random.default_rng(4))
    lengths = sorted(b - a for a, b in after.vowels_s)
    assert lengths[3] == pytest.approx(VOWEL_S, abs=0.002)
    assert lengths[-1] > 1.5 * VOWEL_S


def test_noise_comes_at_a_ratio_and_truth_stays() -> None:
    line = a_line()
    noisy = augment.in_noise(line, np.random.default_rng(1), [])
    assert noisy.onsets_s == line.onsets_s
    added = noisy.samples - line.samples
    loud = line.samples[np.abs(line.samples) > 0.02 * np.abs(line.samples).max()]
    ratio_db = 10 * np.log10(np.mean(loud**2) / np.mean(added**2))
    assert 1.0 < ratio_db < 46.0


@pytest.mark.parametrize("seed", range(6))
def test_what_is_built_knows_its_vowels_and_what_is_empty_has_none(seed: int) -> None:
    built = augment.built(np.random.default_rng(seed))
    assert len(built.onsets_s) == len(built.vowels_s) >= 1
    assert built.vowels_s[-1][1] < len(built.samples) / made.RATE_HZ
    assert augment.no_voice(np.random.default_rng(seed)).onsets_s == ()
