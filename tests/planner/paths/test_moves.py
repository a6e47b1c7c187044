"""Moves: where they start and stop, spacing, settle, noise."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from planner.paths.drawings import even, find_drawings
from planner.paths.move_table import MoveTable
from planner.paths.moves import find_moves, peak_speed_of
from planner.paths.signals import measure_signal
from planner.paths.tracks import Tracks

EASES: dict[str, Callable[[np.ndarray], np.ndarray]] = {
    "minimum jerk": lambda u: 10 * u**3 - 15 * u**4 + 6 * u**5,
    "even": lambda u: u,
    "quadratic": lambda u: np.where(u < 0.5, 2 * u * u, 1 - 2 * (1 - u) ** 2),
    "sine": lambda u: (1 - np.cos(np.pi * u)) / 2,
}


def moves_of(points: np.ndarray) -> MoveTable:
    signal = measure_signal(points)
    return find_moves(signal, frames_per_s=24.0, figure_speed=peak_speed_of(signal))[0]


@pytest.mark.parametrize("ease", EASES)
@pytest.mark.parametrize("length", [4, 6, 8, 12, 16, 24])
@pytest.mark.parametrize("noise", [0.0, 0.1])
def test_ends_are_found_within_a_frame_and_a_half(
    made: Any, ease: str, length: int, noise: float
) -> None:
    share = EASES[ease](np.clip((made.t - 40) / length, 0, 1))
    points = made.arc(share, degrees=60)
    points = points + np.random.default_rng(length).normal(0, noise, points.shape)

    table = moves_of(points)

    assert len(table) == 1
    assert abs(table.start[0] - 40) <= 1.5
    assert abs(table.end[0] - 40 - length) <= 1.5


@pytest.mark.parametrize("length", [8, 12, 20])
def test_a_minimum_jerk_move_has_its_frames_within_one(made: Any, length: int) -> None:
    table = moves_of(made.arc(made.ease(40, 40 + length)))

    assert abs(int(table.first[0]) - 40) <= 1
    assert abs(int(table.last[0]) - 40 - length) <= 1


def test_noise_alone_makes_no_move(made: Any) -> None:
    for seed in range(30):
        points = made.at(100, 100) + np.random.default_rng(seed).normal(0, 0.3, (120, 2))
        assert len(moves_of(points)) == 0


def test_a_slide_is_no_move(made: Any) -> None:
    points = made.arc(made.ease(10, 24)) + made.at(0.3 * np.clip(made.t - 30, 0, 70), 0)

    assert len(moves_of(points)) == 1


def test_a_drift_does_not_stretch_the_moves_beside_it(made: Any) -> None:
    slide = np.clip((made.t - 24) / 36, 0, 1) * 14
    points = made.arc(made.ease(10, 24)) + made.arc(made.ease(60, 74)) + made.at(slide, 0)

    table = moves_of(points)

    assert len(table) == 2
    assert abs(table.end[0] - 24) <= 1.5 and abs(table.start[1] - 60) <= 1.5


def test_there_and_back_without_a_hold_are_two_moves(made: Any) -> None:
    table = moves_of(made.arc(made.ease(30, 42) - made.ease(42, 54)))

    assert len(table) == 2
    assert abs(table.end[0] - 42) <= 1 and abs(table.start[1] - 42) <= 1


def test_an_overshoot_is_the_settle_of_its_move(made: Any) -> None:
    share = 1.1 * made.ease(30, 44) - 0.1 * made.ease(44, 54)

    table = moves_of(made.arc(share, degrees=40))

    assert table.settles.tolist() == [-1, 0]
    assert table.overshoot[0] == pytest.approx(0.1 / 1.1, abs=0.02)
    assert table.settle[0] == pytest.approx(10, abs=1.5)


@pytest.mark.parametrize("step", [2, 3, 4])
def test_exposures_are_noticed_and_bridged(made: Any, step: int) -> None:
    held = made.arc(made.ease(20, 44) - 0.9 * made.ease(60, 84))[(np.arange(120) // step) * step]

    noise = np.random.default_rng(step).normal(0, 0.1, held.shape)
    for points in (held, held + noise):
        drawings = find_drawings(points)
        assert (drawings.step, drawings.phase) == (step, 0)
        table = moves_of(even(points, drawings, 1))
        assert len(table) == 2
        assert abs(table.first[0] - 20) <= step and abs(table.last[1] - 84) <= step


def test_moves_on_ones_are_not_taken_for_exposures(made: Any) -> None:
    assert find_drawings(made.arc(made.ease(20, 44))).step == 1


def test_tracks_cannot_be_written_to(made: Any) -> None:
    tracks = made.tracks(nose=made.at(1, 2))

    with pytest.raises(ValueError, match="read-only"):
        tracks.points[0, 0, 0] = 5
    with pytest.raises(ValueError, match="different names"):
        Tracks(("a", "a"), 1, np.zeros((2, 9, 2)))
