"""Named eases against calculus and the minimum-jerk profile."""

from __future__ import annotations

import numpy as np
import pytest

from planner.plan.ease import EASE_WORDS, EASES

# Calculus (references, section 9, rows marked C): peak speed over mean speed, way at a quarter.
PEAK_OVER_MEAN = {
    "linear": 1.0, "cubic": 1.5, "sine": np.pi / 2, "minimum-jerk": 1.875, "quadratic": 2.0,
    "quadratic-out": 2.0, "cubic-out": 3.0, "quadratic-in": 2.0, "cubic-in": 3.0,
}  # fmt: skip
AT_A_QUARTER = {
    "linear": 0.25, "cubic": 0.15625, "sine": 0.14644661, "minimum-jerk": 0.10351563,
    "quadratic": 0.125,
}  # fmt: skip


def test_every_ease_has_words_for_it():
    assert set(EASE_WORDS) == set(EASES)


@pytest.mark.parametrize("name", EASES)
def test_an_ease_starts_at_nothing_ends_at_all_and_never_goes_back(name):
    u = np.linspace(0, 1, 1001)
    x = np.array([EASES[name](v) for v in u])
    assert x[0] == pytest.approx(0)
    assert x[-1] == pytest.approx(1)
    assert np.all(np.diff(x) >= -1e-12)


@pytest.mark.parametrize(("name", "ratio"), PEAK_OVER_MEAN.items())
def test_peak_speed_over_mean_speed_is_what_calculus_gives(name, ratio):
    u = np.linspace(0, 1, 20001)
    speed = np.gradient([EASES[name](v) for v in u], u)
    assert speed.max() == pytest.approx(ratio, rel=1e-3)


@pytest.mark.parametrize(("name", "way"), AT_A_QUARTER.items())
def test_the_way_at_a_quarter_of_the_time(name, way):
    assert EASES[name](0.25) == pytest.approx(way, abs=1e-7)
