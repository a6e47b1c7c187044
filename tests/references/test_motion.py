"""Motion against the outside: calculus, geometry, published models, scipy.

BVH against paper and an outside reader: tests/planner/paths/test_bvh.py.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.frames import Clock, FrameRate
from planner.paths.lags import best_shift, correlate_speeds
from planner.paths.moves import find_moves, peak_speed_of
from planner.paths.review import review_paths
from planner.paths.signals import measure_signal
from planner.paths.tracks import Tracks

CLOCK = Clock(FrameRate.parse("24"), 1)
FRAMES = np.arange(400.0)


def move_of(points: np.ndarray) -> Any:
    signal = measure_signal(points)
    table, _ = find_moves(signal, frames_per_s=24.0, figure_speed=peak_speed_of(signal))
    assert len(table) == 1
    return table


def along(share: np.ndarray, x: float = 300.0, y: float = 0.0) -> np.ndarray:
    return np.stack([x * share, y * share], axis=1)


def minimum_jerk(v: np.ndarray) -> np.ndarray:
    """Flash & Hogan 1985."""
    return v**3 * (10 - 15 * v + 6 * v**2)


def u(length: float, start: float = 150.0) -> np.ndarray:
    return np.clip((FRAMES - start) / length, 0.0, 1.0)


@pytest.mark.parametrize(
    ("ease", "ratio"),
    [
        # Flash & Hogan 1985: 10u^3 - 15u^4 + 6u^5, peak over mean 1.875
        (lambda v: 10 * v**3 - 15 * v**4 + 6 * v**5, 1.875),
        # calculus
        (lambda v: v, 1.0),
        (lambda v: 3 * v**2 - 2 * v**3, 1.5),
        (lambda v: (1 - np.cos(np.pi * v)) / 2, np.pi / 2),
        (lambda v: np.where(v < 0.5, 2 * v**2, 1 - 2 * (1 - v) ** 2), 2.0),
        (lambda v: 1 - (1 - v) ** 2, 2.0),
    ],
)
def test_peak_over_mean_speed_tells_eases_apart(ease: Any, ratio: float) -> None:
    """A move of 40 frames; within 8 %: ends are found to a frame or so."""
    table = move_of(along(ease(u(40.0))))

    assert float(table.spacing[0]) == pytest.approx(ratio, rel=0.08)


@pytest.mark.parametrize(
    ("degrees", "straightness", "bulge"),
    [(30, 0.9886, 0.0658), (60, 0.9549, 0.1340), (90, 0.9003, 0.2071), (180, 0.6366, 0.5)],
)
def test_circular_arcs_have_the_straightness_and_bulge_of_geometry(
    degrees: float, straightness: float, bulge: float
) -> None:
    """Chord over arc and sag over chord, worked out by geometry; to a thousandth or two."""
    angle = np.radians(degrees) * minimum_jerk(u(40.0))
    table = move_of(200.0 * np.stack([np.sin(angle), np.cos(angle)], axis=1))

    assert float(table.straightness[0]) == pytest.approx(straightness, abs=0.002)
    assert float(table.bulge[0]) == pytest.approx(bulge, abs=0.002)


def test_a_line_is_straight_to_the_last_digit() -> None:
    table = move_of(along(u(40.0) ** 2 * (3 - 2 * u(40.0)), 300.0, 170.0))

    assert float(table.straightness[0]) == pytest.approx(1.0, abs=1e-9)
    assert float(table.bulge[0]) == pytest.approx(0.0, abs=1e-9)


def test_noise_on_a_line_does_not_make_it_an_arc() -> None:
    """Of 40 lines with noise of a thousandth of the way all are straight, 38 or more certainly."""
    certain = 0
    for seed in range(40):
        noise = np.random.default_rng(seed).normal(0, 0.3, (400, 2))
        share = minimum_jerk(u(20.0))
        points = along(share, 240.0, 180.0) + noise
        review = review_paths(Tracks(("nose",), 1, points[None]), clock=CLOCK)
        found = [f for f in review.findings if f.kind == "straight-path"]
        assert len(found) == 1
        certain += found[0].certain
    assert certain >= 38


def test_noise_is_measured_as_it_was_made() -> None:
    """White noise of a known deviation beside eased moves; the estimate within 15 %."""
    for seed, level in enumerate((0.05, 0.2, 1.0)):
        noise = np.random.default_rng(seed).normal(0, level, (400, 2))

        assert measure_signal(along(u(30.0)) + noise).noise == pytest.approx(level, rel=0.15)


def test_an_ellipse_in_harmonic_motion_obeys_the_two_thirds_power_law() -> None:
    """Lacquaniti, Terzuolo & Viviani 1983: speed goes with curvature^(-1/3), gain (ab)^(1/3).

    Exact on an ellipse in harmonic motion (calculus). Checks our speeds; curvature by the formula.
    """
    a, b, rate = 300.0, 120.0, 2 * np.pi / 160.0
    phase = rate * FRAMES
    ellipse = np.stack([a * np.cos(phase), b * np.sin(phase)], axis=1)
    inner = slice(5, -5)
    speed = measure_signal(ellipse).speed[inner]
    curvature = a * b / (a**2 * np.sin(phase[inner]) ** 2 + b**2 * np.cos(phase[inner]) ** 2) ** 1.5

    slope, gain = np.polyfit(np.log(curvature), np.log(speed / rate), 1)

    assert slope == pytest.approx(-1 / 3, abs=0.002)
    assert np.exp(gain) == pytest.approx((a * b) ** (1 / 3), rel=0.01)


def test_the_lag_has_the_sign_and_size_that_scipy_finds() -> None:
    """scipy.signal.correlate peaks at -lag where y is x delayed by lag (its correlation_lags)."""
    signal = pytest.importorskip("scipy.signal")
    rng = np.random.default_rng(8)
    for late in (-6, -1, 0, 2, 5):
        x = np.convolve(rng.normal(0, 1, 400), np.hanning(9), mode="same")
        y = np.roll(x, late)
        full = signal.correlate(x[100:300], y[100:300], mode="full")
        theirs = int(signal.correlation_lags(200, 200, mode="full")[np.argmax(full)])

        ours, likeness = best_shift(
            correlate_speeds(x, y, np.array([100]), np.array([299]), reach=8)
        )

        assert round(float(ours[0])) == late == -theirs
        assert float(likeness[0]) == pytest.approx(1.0, abs=1e-6)


def test_the_likeness_is_numpys_correlation_coefficient() -> None:
    rng = np.random.default_rng(9)
    x, y = rng.random(200), rng.random(200)

    ours = correlate_speeds(x, y, np.array([50, 80]), np.array([90, 140]), reach=3)

    for row, (first, last) in enumerate(((50, 90), (80, 140))):
        for k, shift in enumerate(range(-3, 4)):
            theirs = np.corrcoef(x[first : last + 1], y[first + shift : last + 1 + shift])[0, 1]
            assert ours[row, k] == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("late", [-5.0, -2.5, -1.0, 0.3, 1.0, 2.5, 4.0, 6.0])
def test_a_planted_lag_comes_back_within_one_frame(late: float) -> None:
    """Planted between two parts that move on different arcs, with noise; found within a third."""
    rng = np.random.default_rng(int(10 * (late + 9)))

    def ease(start: float) -> np.ndarray:
        return minimum_jerk(u(14.0, start))

    head, chest = ease(150.0), ease(150.0 + late)
    points = np.array([
        np.stack([90 * head, 40 * head * (1 - head)], axis=1),
        np.stack([-20 * chest, 300 + 30 * chest], axis=1),
    ])  # fmt: skip
    tracks = Tracks(("head", "chest"), 1, points + rng.normal(0, 0.1, points.shape))

    lags = review_paths(tracks, clock=CLOCK).lags

    assert len(lags) == 1
    signed = lags[0].lag_frames * (1 if lags[0].leader == "head" else -1)
    assert signed == pytest.approx(late, abs=1 / 3)
