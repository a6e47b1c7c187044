"""Glides of contours that are written down: what is heard as a movement, and as which."""

from __future__ import annotations

import numpy as np
import pytest

from audio.reading import LoudnessTrack, Pause, PitchTrack, Syllable, frozen_array
from audio.voice.contour import clean_contour, last_movement, moving_part, turning_points
from audio.voice.glides import find_glides, glissando_threshold, is_audible

STEP_S = 0.005


def tracks(*pieces: tuple[float, list[float]]) -> tuple[PitchTrack, LoudnessTrack]:
    """A contour from (length in s, semitones over 150 Hz at evenly spread points); [] unvoiced."""
    hz: list[float] = []
    db: list[float] = []
    for length_s, points in pieces:
        count = round(length_s / STEP_S)
        at = np.linspace(0, 1, count)
        if points:
            values = np.interp(at, np.linspace(0, 1, len(points)), points)
            hz.extend(150.0 * 2 ** (values / 12))
            db.extend([-20.0] * count)
        else:
            hz.extend([np.nan] * count)
            db.extend([-70.0] * count)
    level = frozen_array(np.array(db))
    return (
        PitchTrack(STEP_S, 0.0, frozen_array(np.array(hz))),
        LoudnessTrack(STEP_S, 0.0, level, level),
    )


def syllable(start_s: float, end_s: float) -> Syllable:
    return Syllable(None, None, start_s, start_s, end_s)


def glides(pieces, spans, pauses=()):
    pitch, loudness = tracks(*pieces)
    return find_glides(pitch, loudness, tuple(syllable(a, b) for a, b in spans), tuple(pauses))


def test_a_rise_in_one_syllable_is_a_rise_of_its_extent() -> None:
    (found, *rest) = glides([(0.1, []), (0.25, [0, 5]), (0.2, []), (0.15, [0]), (0.1, [])],
                            [(0.1, 0.4), (0.5, 0.75)])  # fmt: skip
    assert found.shape == "rise"
    assert found.audible
    assert found.semitones == pytest.approx(5.0, abs=0.7)
    assert found.syllables == (0,)
    assert found.start_s == pytest.approx(0.1, abs=0.03)
    assert [g.shape for g in rest] == ["level"]


@pytest.mark.parametrize(("points", "shape", "moved"),
                         [([0, 5, 0], "peak", 5.0), ([5, 0, 5], "dip", -5.0)])  # fmt: skip
def test_two_movements_that_meet_make_one_shape(points, shape: str, moved: float) -> None:
    found = glides([(0.1, []), (0.4, points), (0.1, [])], [(0.1, 0.5)])
    assert [g.shape for g in found] == [shape]
    assert found[0].semitones == pytest.approx(moved, abs=0.8)


def test_a_fall_that_goes_on_over_two_syllables_is_one_glide() -> None:
    found = glides([(0.1, []), (0.2, [0, -4]), (0.05, []), (0.2, [-4.5, -8]), (0.1, [])],
                   [(0.1, 0.3), (0.35, 0.55)])  # fmt: skip
    assert [(g.shape, g.syllables) for g in found] == [("fall", (0, 1))]
    assert found[0].semitones == pytest.approx(-8.0, abs=1.0)


def test_a_movement_below_the_threshold_is_level_and_not_audible() -> None:
    found = glides([(0.1, []), (0.2, [0, 0.6]), (0.3, []), (0.2, [0]), (0.1, [])],
                   [(0.1, 0.3), (0.6, 0.8)])  # fmt: skip
    assert [(g.shape, g.audible) for g in found] == [("level", False), ("level", False)]


def test_before_a_pause_a_smaller_movement_is_heard() -> None:
    """0.16 before a pause, 0.32 in running speech: between them the place decides."""
    pieces = [(0.1, []), (0.2, [0, 1.5]), (0.4, []), (0.2, [0]), (0.1, [])]
    spans = [(0.1, 0.3), (0.7, 0.9)]
    running, before = glides(pieces, spans), glides(pieces, spans, [Pause(0.3, 0.7)])
    assert (running[0].audible, before[0].audible) == (False, True)


def test_pitch_where_the_vowel_fades_is_not_counted() -> None:
    pitch, _ = tracks((0.1, []), (0.2, [0]), (0.1, [0, -6]), (0.1, []))
    db = np.concatenate((np.full(20, -70.0), np.full(40, -20.0), np.linspace(-36, -60, 20),
                         np.full(20, -70.0)))  # fmt: skip
    loudness = LoudnessTrack(STEP_S, 0.0, frozen_array(db), frozen_array(db))
    assert not find_glides(pitch, loudness, (syllable(0.1, 0.4),), ())[0].audible


def test_nothing_voiced_no_glides() -> None:
    assert glides([(0.5, [])], [(0.1, 0.3)]) == ()


@pytest.mark.parametrize("duration_s", [0.0, -0.1, float("nan")])
def test_the_threshold_needs_a_length(duration_s: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        glissando_threshold(duration_s)


def test_less_than_35_ms_is_no_movement() -> None:
    assert not is_audible(12.0, 0.03)


def test_turning_points_skip_ripples_and_keep_turns() -> None:
    line = np.concatenate((np.linspace(0, 4, 20), np.linspace(4, -2, 30)))
    line[25:] += 0.3 * np.sin(np.arange(25))
    assert turning_points(line)[1] in (19, 20)
    assert len(turning_points(line)) == 3
    assert turning_points(np.zeros(5)) == [0, 4]


def test_the_last_movement_starts_at_the_last_turn() -> None:
    rise_fall = np.concatenate((np.linspace(0, 5, 40), np.linspace(5, 1, 40)))
    assert last_movement(rise_fall) == pytest.approx(-4.0)
    tail = np.concatenate((rise_fall, np.full(4, 3.0)))
    assert last_movement(tail) < 0


def test_the_moving_part_leaves_long_level_ends_out() -> None:
    line = np.concatenate((np.zeros(30), np.linspace(0, 4, 20), np.full(30, 4.0)))
    low, high = moving_part(line, 0, len(line) - 1)
    assert 27 <= low <= 34
    assert 45 <= high <= 52


def test_a_contour_is_trimmed_where_consonants_pull_it() -> None:
    hz = np.full(60, np.nan)
    hz[10:50] = 120.0
    hz[10:12] = 150.0
    clean = clean_contour(hz, reference_hz=120.0)
    assert np.nanmax(np.abs(clean)) < 0.05
    assert np.isnan(clean[:12]).all()
