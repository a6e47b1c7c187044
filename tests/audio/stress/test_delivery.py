"""Attack, effort, tempo: each on sound in which it is known."""

from __future__ import annotations

import numpy as np
import pytest

from audio.clip import ANALYSIS_RATE_HZ as RATE_HZ
from audio.clip import VoiceClip, clip_from_samples
from audio.reading import Delivery, PitchTrack, Syllable, frozen_array
from audio.sound.loudness import find_loudness
from audio.stress.delivery import attack_db_per_s, find_delivery
from audio.stress.stress_cues import hear_cues


def vowel(length_s: float, *, rise_db_per_s: float = 5000.0, falls: float = 1.0) -> np.ndarray:
    """Harmonics of 120 Hz that fall by n ** -falls, rising steadily in dB from 40 dB below."""
    times = np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    wave = sum(np.sin(2 * np.pi * 120 * n * times + n * n) / n**falls for n in range(1, 40))
    wave = np.asarray(wave) / np.sqrt(np.mean(np.square(wave)))
    return 0.1 * wave * 10 ** (np.minimum(-40 + rise_db_per_s * times, 0) / 20)


def line(parts: list[np.ndarray], gap_s: float = 0.02) -> tuple[VoiceClip, list[Syllable]]:
    """A clip of vowels with gaps between, and the syllables they are."""
    sounds, syllables, at_s = [np.zeros(RATE_HZ // 5)], [], 0.2
    for part in parts:
        end_s = at_s + len(part) / RATE_HZ
        syllables.append(Syllable(None, None, at_s, at_s, end_s))
        sounds += [part, np.zeros(round(gap_s * RATE_HZ))]
        at_s = end_s + round(gap_s * RATE_HZ) / RATE_HZ
    return clip_from_samples(np.concatenate([*sounds, np.zeros(RATE_HZ // 5)]), RATE_HZ), syllables


def deliver(clip: VoiceClip, syllables: list[Syllable]) -> tuple[Delivery, ...]:
    loudness, phrases = find_loudness(clip), [(0, len(syllables) - 1)]
    pitch = PitchTrack(0.005, 0.0, frozen_array(np.full(len(loudness.db), 120.0)))
    cues = hear_cues(syllables, (), pitch, loudness, phrases, clip)
    return find_delivery(syllables, cues, loudness, phrases)


@pytest.mark.parametrize("rise_db_per_s", [200.0, 300.0, 400.0])
def test_a_steady_rise_is_read_as_it_is(rise_db_per_s: float) -> None:
    lead_s = 40 / rise_db_per_s
    sound = np.concatenate((vowel(lead_s, rise_db_per_s=rise_db_per_s), vowel(0.3)))
    clip, _ = line([sound])
    onset_s = 0.2 + lead_s - 0.01
    syllable = Syllable(None, None, onset_s - 0.05, onset_s, onset_s + 0.3)
    (attack,) = attack_db_per_s([syllable], find_loudness(clip))
    assert attack == pytest.approx(rise_db_per_s, rel=0.15)


def test_a_struck_vowel_is_harder_than_one_that_glides_in() -> None:
    clip, syllables = line([vowel(0.3, rise_db_per_s=rise) for rise in (5000.0, 600.0, 250.0)])
    attacks = [d.attack_db_per_s for d in deliver(clip, syllables)]
    assert attacks[0] > 700 > attacks[1] > attacks[2]
    assert attacks[2] < 320


def test_gain_changes_nothing() -> None:
    clip, syllables = line([vowel(0.2), vowel(0.2, rise_db_per_s=300.0), vowel(0.3)])
    louder = clip_from_samples(np.asarray(clip.samples) * 4, RATE_HZ)
    for one, two in zip(deliver(clip, syllables), deliver(louder, syllables), strict=True):
        assert one.attack_db_per_s == pytest.approx(two.attack_db_per_s, abs=1.0)
        assert one.effort_db == pytest.approx(two.effort_db, abs=0.1)


def test_effort_is_the_balance_of_the_spectrum_against_the_clip() -> None:
    """Harmonics that fall by 6 instead of 12 dB an octave: a pressed voice (Sluijter & van
    Heuven 1996)."""
    soft = [vowel(0.2, falls=2.0)] * 5
    clip, syllables = line([*soft[:3], vowel(0.2, falls=1.0), *soft[:1]])
    told = deliver(clip, syllables)
    assert told[3].effort_db > 8.0
    assert abs(told[1].effort_db) < 1.0
    assert told[3].effort_change_db == pytest.approx(told[3].effort_db - told[2].effort_db, abs=1.0)


def test_tempo_doubles_where_the_syllables_are_half_as_long() -> None:
    clip, syllables = line([vowel(0.3)] * 6 + [vowel(0.14)] * 6)
    told = deliver(clip, syllables)
    assert told[8].tempo / told[2].tempo == pytest.approx(0.3 / 0.14, rel=0.05)
    assert told[8].syllables_per_s == pytest.approx(1 / 0.14, rel=0.05)
    assert told[6].tempo_change == pytest.approx(0.3 / 0.14, rel=0.05)
    assert told[4].tempo_change == pytest.approx(1.0, abs=0.05)


def test_nothing_said_nothing_told() -> None:
    clip, _ = line([vowel(0.2)])
    pitch = PitchTrack(0.005, 0.0, frozen_array(np.zeros(0)))
    one = [Syllable(None, None, 0.2, 0.2, 0.4)]
    cues = hear_cues(one, (), pitch, find_loudness(clip), [(0, 0)], clip)
    assert find_delivery([], cues, find_loudness(clip), []) == ()
