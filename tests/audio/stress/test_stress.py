"""Rules of stress, on made-up syllables whose pitch, level and length are known."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import LoudnessTrack, Pause, Phone, Phrase, PitchTrack, Syllable, Word
from audio.stress.accent_odds import one_a_word, one_of_two
from audio.stress.expected_length import length_ratios, phones_ms
from audio.stress.find_stress import phrase_ranges, weigh_syllables
from audio.stress.prominence_wavelet import prominence_at, respond
from audio.stress.word_weight import word_weight, word_weights

STEP_S = 0.005
SYLLABLE_S = 0.2


@dataclass(frozen=True)
class Made:
    """A made-up voice: what `weigh_syllables` takes."""

    syllables: tuple[Syllable, ...]
    words: tuple[Word, ...]
    pitch: PitchTrack
    loudness: LoudnessTrack
    clip: VoiceClip

    def weighed(self, pauses: tuple[Pause, ...] | tuple[Phrase, ...] = ()) -> tuple[Syllable, ...]:
        return weigh_syllables(
            self.syllables, self.words, self.pitch, self.loudness, pauses, self.clip
        )


def made(
    count: int = 9,
    *,
    texts: str = "",
    up_st: dict[int, float] | None = None,
    up_db: dict[int, float] | None = None,
    longer: dict[int, float] | None = None,
    base_db: float = -25.0,
    voiced: bool = True,
) -> Made:
    """Equal syllables "na" on a falling line, some of them moved. texts: a word a syllable."""
    up_st, up_db, longer = up_st or {}, up_db or {}, longer or {}
    lengths = np.array([SYLLABLE_S * longer.get(i, 1.0) for i in range(count)])
    starts = 0.1 + np.concatenate(([0.0], np.cumsum(lengths)[:-1]))
    ends = starts + lengths
    nuclei = starts + 0.05
    times = np.arange(0.0, ends[-1] + 0.2, STEP_S)
    which = np.clip(np.searchsorted(ends, times, side="right"), 0, count - 1)
    st = -1.0 * times + np.array([up_st.get(int(i), 0.0) for i in which])
    inside = np.array([nuclei[i] <= t < ends[i] - 0.02 for i, t in zip(which, times, strict=True)])
    level = base_db - 12.0 * ~inside + np.array([up_db.get(int(i), 0.0) for i in which])
    level -= 4.0 * times / times[-1]  # a phrase's own fall, so that equal syllables are equal
    hz = np.where(inside & voiced, 140.0 * 2 ** (st / 12), np.nan)
    noise = np.random.default_rng(3).standard_normal(int(times[-1] * ANALYSIS_RATE_HZ))
    samples = (noise * 10 ** (base_db / 20) * 0.3).astype(np.float32)
    names = texts.split()
    words = tuple(
        Word(t, starts[i], ends[i], _na(starts[i], nuclei[i], ends[i]), 0.9)
        for i, t in enumerate(names)
    )
    syllables = tuple(
        Syllable(names[i] if names else None, i if names else None, starts[i], nuclei[i], ends[i],
                 1 if names else None)
        for i in range(count)
    )  # fmt: skip
    return Made(
        syllables,
        words,
        PitchTrack(STEP_S, 0.0, hz),
        LoudnessTrack(STEP_S, 0.0, level, level),
        VoiceClip("", samples, ANALYSIS_RATE_HZ, ""),
    )


def _na(start_s: float, nucleus_s: float, end_s: float) -> tuple[Phone, ...]:
    return (Phone("N", start_s, nucleus_s), Phone("AA1", nucleus_s, end_s))


def strongest(syllables: tuple[Syllable, ...]) -> int:
    return max(range(len(syllables)), key=lambda i: syllables[i].prominence)


@pytest.mark.parametrize(
    ("move", "cue"),
    [
        ({"up_st": {4: 4.0}}, "pitch"),
        ({"up_db": {4: 6.0}}, "loudness"),
        ({"longer": {4: 1.6}}, "length"),
    ],
)
def test_each_cue_alone_lifts_its_syllable_and_is_named(
    move: dict[str, dict[int, float]], cue: str
) -> None:
    heard = made(**move).weighed()

    assert strongest(heard) == 4
    shares = heard[4].because
    assert getattr(shares, cue) == max(shares.pitch, shares.loudness, shares.length)
    assert getattr(shares, cue) > 0.3


def test_gain_changes_nothing() -> None:
    """`strong` and `light` mean the same on a quiet and on a loud take."""
    moves = {"up_st": {2: 3.0, 6: 5.0}, "up_db": {2: 2.0, 6: 4.0}}
    loud = made(base_db=-15.0, **moves).weighed()
    quiet = made(base_db=-50.0, **moves).weighed()

    assert [s.degree for s in loud] == [s.degree for s in quiet]
    assert [s.prominence for s in loud] == pytest.approx([s.prominence for s in quiet], abs=1e-3)


def test_register_changes_nothing() -> None:
    """A child's voice an octave up is read as the same line."""
    low = made(up_st={3: 4.0})
    high = replace(low, pitch=replace(low.pitch, hz=low.pitch.hz * 2))

    assert [s.prominence for s in high.weighed()] == pytest.approx(
        [s.prominence for s in low.weighed()]
    )


def test_pitch_differences_under_a_semitone_and_a_half_hardly_count() -> None:
    """Rietveld & Gussenhoven 1985: 1.5 semitones make a difference in prominence."""
    small = made(up_st={4: 0.7}).weighed()[4].because.pitch
    large = made(up_st={4: 4.0}).weighed()[4].because.pitch
    level = made().weighed()[4].because.pitch

    assert small - level < 0.1 * (large - level)


def test_pitch_up_counts_the_more_the_higher() -> None:
    heights = [made(up_st={4: st}).weighed()[4].prominence for st in (1.5, 3.0, 4.5, 6.0)]

    assert heights == sorted(heights)
    assert heights[-1] - heights[0] > 0.2


def test_content_words_bear_the_accents_of_a_level_reading() -> None:
    heard = made(7, texts="the umbrella of the captain was lost").weighed()

    for grammar, content in ((0, 1), (2, 4), (3, 4), (5, 6)):
        assert heard[grammar].prominence < heard[content].prominence
        assert heard[grammar].degree != "strong"


def test_a_function_word_wins_when_the_voice_leans_on_it() -> None:
    """Contrast: "I AM going home today"."""
    plain = made(5, texts="I am going home today").weighed()
    leaned = made(
        5, texts="I am going home today", up_st={1: 4.5}, up_db={1: 5.0}, longer={1: 1.6}
    ).weighed()

    assert strongest(plain) != 1
    assert plain[1].degree != "strong"
    assert strongest(leaned) == 1
    assert leaned[1].degree == "strong"


def test_the_prior_fades_as_the_sound_gets_clear() -> None:
    plain = made(5, texts="I am going home today").weighed()[1].because.lexicon
    leaned = (
        made(5, texts="I am going home today", up_st={1: 4.5}, up_db={1: 5.0}, longer={1: 1.6})
        .weighed()[1]
        .because.lexicon
    )

    assert abs(leaned) < 0.5 * abs(plain)


def test_every_phrase_has_a_strong_syllable() -> None:
    line = made(9)
    heard = line.weighed((Pause(line.syllables[4].end_s - 0.02, line.syllables[5].nucleus_s),))

    assert any(s.degree == "strong" for s in heard[:5])
    assert any(s.degree == "strong" for s in heard[5:])


def test_strong_and_ranking_agree() -> None:
    heard = made(12, up_st={2: 4.0, 7: 5.0}, up_db={2: 3.0, 7: 3.0}).weighed()
    strong = [s.prominence for s in heard if s.degree == "strong"]
    rest = [s.prominence for s in heard if s.degree != "strong"]

    assert strong and rest
    assert min(strong) > max(rest)
    assert all(0.0 <= s.prominence <= 1.0 for s in heard)


def test_phrases_and_pauses_cut_alike() -> None:
    line = made(6)
    middle_s = line.syllables[3].start_s
    phrases = tuple(
        Phrase(line.syllables[a].start_s, line.syllables[b].end_s, None, (a, b), a, "fall", 0.0)
        for a, b in ((0, 2), (3, 5))
    )

    assert phrase_ranges(line.syllables, (Pause(middle_s - 0.01, middle_s + 0.01),)) == [
        (0, 2),
        (3, 5),
    ]
    assert phrase_ranges(line.syllables, phrases) == [(0, 2), (3, 5)]


def test_a_whisper_is_weighed_without_pitch() -> None:
    heard = made(voiced=False, up_db={5: 6.0}, longer={5: 1.4}).weighed()

    assert strongest(heard) == 5
    assert heard[5].because.pitch == pytest.approx(heard[4].because.pitch)


@pytest.mark.parametrize("count", [0, 1, 2])
def test_very_short_lines_are_weighed(count: int) -> None:
    line = made(max(count, 1))
    heard = replace(line, syllables=line.syllables[:count]).weighed()

    assert len(heard) == count
    assert sum(s.degree == "strong" for s in heard) == min(count, 1)


def test_an_unstressed_syllable_stays_under_its_words_main_stress() -> None:
    """A late pitch peak falls on the syllable after the accented one."""
    pair = tuple(
        Syllable(text, 0, 0.2 * i, 0.2 * i + 0.05, 0.2 * i + 0.2, 1 - i)
        for i, text in enumerate(("lan", "tern"))
    )

    late = one_a_word(np.array([1.0, 1.3]), pair)
    clear = one_a_word(np.array([1.0, 3.5]), pair)

    assert late[1] < late[0]
    assert clear.tolist() == [1.0, 3.5]


def test_the_weaker_of_two_side_by_side_is_held_back() -> None:
    odds = one_of_two(np.array([-3.0, 2.0, 1.0, -3.0]))

    assert 2.0 - odds[1] < 1.0 - odds[2]


def test_the_wavelet_answers_a_bump_by_its_height_and_a_level_by_nothing() -> None:
    times = np.arange(0, 4, 0.01)
    bump = 3.0 * np.exp(-((times - 2.0) ** 2) / (2 * 0.17**2))

    assert respond(np.full(400, 7.0), 0.01, 0.17) == pytest.approx(np.zeros(400), abs=1e-9)
    assert prominence_at(bump, 0.01, np.array([2.0]), (0.17,))[0, 0] == pytest.approx(3.0, rel=0.01)


def test_the_wavelet_keeps_the_shares_of_cues_apart() -> None:
    rng = np.random.default_rng(1)
    one, other = rng.standard_normal((2, 300))

    assert respond(one + other, 0.01, 0.11) == pytest.approx(
        respond(one, 0.01, 0.11) + respond(other, 0.01, 0.11)
    )


def test_length_is_measured_against_the_phones_and_the_phrase_end() -> None:
    """A long last syllable is no stress (Klatt 1976: final vowels up to twice as long)."""
    line = made(4, texts="na na na na", longer={1: 1.5, 3: 1.5})
    whole, _ = length_ratios(line.syllables, line.words, [(0, 3)])

    assert whole[1] - whole[0] == pytest.approx(np.log(1.5), abs=1e-6)
    assert whole[3] - whole[0] < 0.1


def test_diphthongs_and_full_syllables_are_expected_longer() -> None:
    assert phones_ms(["AH0"])[0] < phones_ms(["DH", "AH0"])[0] < phones_ms(["S", "AY1", "N"])[0]
    cluster, apart = phones_ms(["S", "T", "AA1"])[0], phones_ms(["S", "AA1", "T"])[0]
    assert cluster < apart  # Klatt 1987: consonants in a cluster are shorter


@pytest.mark.parametrize(
    ("less", "more"),
    [("the", "umbrella"), ("of", "because"), ("because", "said"), ("said", "lantern"),
     ("is", "isn't"), ("we're", "never"), ("him", "himself")],
)  # fmt: skip
def test_words_of_grammar_lead_one_to_expect_less(less: str, more: str) -> None:
    assert word_weight(less) < word_weight(more)


def test_marks_and_capitals_make_no_difference() -> None:
    assert word_weight("\u201cThe") == word_weight("the")
    assert word_weight("don\u2019t,") == word_weight("don't")


def test_what_was_just_said_is_expected_less() -> None:
    weights = word_weights("a lantern is a lantern".split())

    assert weights[4] < weights[1]
    assert weights[3] == weights[0]
