"""Pauses that were put in, and phrases that end as they were made to end."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import made_sounds as made
import numpy as np
import pytest

from audio.clip import clip_from_samples
from audio.reading import Pause, Phone, PitchTrack, Syllable, Word, frozen_array
from audio.sound.loudness import find_loudness
from audio.syllables.find_syllables import syllables_from_sound
from audio.voice.phrases import (
    ending_semitones,
    find_pauses,
    find_phrases,
    words_beside_silence,
)
from audio.voice.pitch import find_pitch


def talk(seed: int = 1, count: int = 5) -> np.ndarray:
    return made.syllable_train(np.random.default_rng(seed), count)[0]


def read(sound: np.ndarray, *, floor: float = 1e-4):
    whole = 0.1 * np.concatenate((made.silence(0.3), sound, made.silence(0.3)))
    whole = whole + floor * np.random.default_rng(8).standard_normal(len(whole))
    clip = clip_from_samples(whole, made.RATE_HZ)
    return clip, find_pitch(clip), find_loudness(clip)


@pytest.mark.parametrize("floor", [1e-4, 3e-3])
def test_a_pause_is_found_with_its_edges(floor: float) -> None:
    first = talk()
    _, pitch, loudness = read(np.concatenate((first, made.silence(0.5), talk(2))), floor=floor)
    (pause,) = find_pauses(loudness, pitch, ())
    start_s = 0.3 + len(first) / made.RATE_HZ
    assert pause.start_s == pytest.approx(start_s, abs=0.03)
    assert pause.end_s == pytest.approx(start_s + 0.5, abs=0.03)


def test_a_breath_is_part_of_its_pause() -> None:
    air = 0.1 * made.breath(0.35, np.random.default_rng(3))
    gap = np.concatenate((made.silence(0.15), air, made.silence(0.1)))
    _, pitch, loudness = read(np.concatenate((talk(), gap, talk(2))))
    (pause,) = find_pauses(loudness, pitch, ())
    assert pause.end_s - pause.start_s == pytest.approx(0.6, abs=0.06)


def test_a_closure_is_no_pause_and_the_shortest_is_a_setting() -> None:
    _, pitch, loudness = read(np.concatenate((talk(), made.silence(0.12), talk(2))))
    assert find_pauses(loudness, pitch, ()) == ()
    assert len(find_pauses(loudness, pitch, (), shortest_s=0.1)) == 1


def test_silence_at_the_ends_of_a_clip_is_no_pause() -> None:
    _, pitch, loudness = read(talk())
    assert find_pauses(loudness, pitch, ()) == ()


def test_a_silence_inside_a_word_is_no_pause() -> None:
    _, pitch, loudness = read(np.concatenate((talk(), made.silence(0.4), talk(2))))
    (pause,) = find_pauses(loudness, pitch, ())
    over = Word("uh-oh", pause.start_s - 0.1, pause.end_s + 0.1, (), 1.0)
    assert find_pauses(loudness, pitch, (over,)) == ()


def test_phrases_are_parted_by_pauses_and_know_their_strongest_syllable() -> None:
    sound = np.concatenate((talk(1, 3), made.silence(0.5), talk(2, 4)))
    clip, pitch, loudness = read(sound)
    syllables = list(syllables_from_sound(clip, pitch, loudness))
    syllables[1] = replace(syllables[1], prominence=0.9)
    syllables[5] = replace(syllables[5], prominence=0.8)
    pauses = find_pauses(loudness, pitch, ())
    phrases = find_phrases(tuple(syllables), (), pauses, pitch)
    assert [p.syllables for p in phrases] == [(0, 2), (3, 6)]
    assert [p.strongest_syllable for p in phrases] == [1, 5]
    assert all(p.words is None for p in phrases)
    assert phrases[0].end_s <= pauses[0].start_s + 0.05


def test_a_phrase_spans_its_words() -> None:
    words = (Word("a", 0.1, 0.3, (), 1.0), Word("lamp", 0.3, 0.8, (), 1.0),
             Word("there", 1.4, 1.8, (), 1.0))  # fmt: skip
    syllables = tuple(
        Syllable(w.text, n, w.start_s, w.start_s, w.end_s, 1) for n, w in enumerate(words)
    )
    pitch = PitchTrack(0.005, 0.0, frozen_array(np.full(400, 120.0)))
    found = find_phrases(syllables, words, (Pause(0.8, 1.4),), pitch)
    assert [p.words for p in found] == [(0, 1), (2, 2)]
    assert (found[0].start_s, found[0].end_s) == (0.1, 0.8)


@pytest.mark.parametrize(
    ("moved_st", "ending"), [(-6.0, "fall"), (-3.0, "fall"), (0.0, "level"), (3.0, "rise"),
                             (7.0, "rise")],
)  # fmt: skip
def test_the_ending_is_the_last_movement(moved_st: float, ending: str) -> None:
    rng = np.random.default_rng(4)
    last_hz = 140.0 * 2 ** (moved_st / 12)
    final = made.voiced(made.glide(140.0, last_hz, 0.3), 0.3, rng)
    clip, pitch, loudness = read(np.concatenate((talk(), made.silence(0.06), final)))
    syllables = syllables_from_sound(clip, pitch, loudness)
    (phrase,) = find_phrases(syllables, (), (), pitch)
    assert phrase.ending == ending
    assert phrase.ending_semitones == pytest.approx(moved_st, abs=1.0)


def test_an_unvoiced_ending_is_level() -> None:
    pitch = PitchTrack(0.005, 0.0, frozen_array(np.full(100, np.nan)))
    assert ending_semitones(pitch, 0.0, 0.5) == 0.0


def test_no_syllables_no_phrases() -> None:
    pitch = PitchTrack(0.005, 0.0, frozen_array(np.full(10, np.nan)))
    assert find_phrases((), (), (), pitch) == ()


def word(*edges_s: float) -> Word:
    phones = tuple(Phone("B", a, b) for a, b in pairwise(edges_s))
    return Word("bob", edges_s[0], edges_s[-1], phones, 0.9)


@pytest.mark.parametrize(
    ("edges_s", "start_s", "end_s"),
    [
        ((0.98, 1.45, 1.50, 1.60), 1.4, 1.6),  # begun where the voice stopped
        ((1.03, 1.45, 1.50, 1.60), 1.4, 1.6),
        ((0.70, 0.80, 0.90, 1.43), 0.7, 1.0),  # ended where it sets in again
        ((0.95, 0.98, 1.50, 1.60), 0.95, 1.6),  # parted by the silence: left
        ((1.40, 1.45, 1.50, 1.60), 1.4, 1.6),  # beside it
        ((1.05, 1.15, 1.25, 1.35), 1.05, 1.35),  # within it
    ],
)
def test_a_word_laid_across_a_silence_begins_where_it_sounds(
    edges_s: tuple[float, ...], start_s: float, end_s: float
) -> None:
    (moved,) = words_beside_silence((word(*edges_s),), (Pause(1.0, 1.4),))

    assert (moved.start_s, moved.end_s) == (start_s, end_s)
    assert (moved.phones[0].start_s, moved.phones[-1].end_s) == (start_s, end_s)
    assert len(moved.phones) == 3
