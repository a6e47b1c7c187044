"""Tracks made by hand: eased moves along lines, arcs and given curves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from planner.frames import Clock, FrameRate
from planner.paths.review import PathReview, review_paths
from planner.paths.tracks import Tracks

CLOCK = Clock(FrameRate.parse("24"), 1)
FRAMES = 120


def minimum_jerk(u: np.ndarray) -> np.ndarray:
    """10u^3 - 15u^4 + 6u^5 (Flash & Hogan 1985), held outside 0..1."""
    u = np.clip(u, 0.0, 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u**2)


class Made:
    """Points over 120 frames; frame 1 is index 0. `ease(30, 46)` goes from 0 to 1 in between."""

    t = np.arange(FRAMES, dtype=float)
    clock = CLOCK

    def ease(self, first: float, last: float) -> np.ndarray:
        return minimum_jerk((self.t - first) / (last - first))

    def at(self, x: Any, y: Any) -> np.ndarray:
        return np.stack([np.asarray(x) + 0 * self.t, np.asarray(y) + 0 * self.t], axis=1)

    def arc(self, share: np.ndarray, *, degrees: float = 90.0, size: float = 100.0) -> np.ndarray:
        """Along a circular arc whose chord is `size` long."""
        radius = size / (2.0 * np.sin(np.radians(degrees) / 2.0))
        angle = np.radians(degrees) * share
        return self.at(radius * np.sin(angle) + 300, radius * np.cos(angle) + 200)

    def breathing(self, points: np.ndarray, size: float = 1.5) -> np.ndarray:
        """So that no hold is frozen."""
        return points + self.at(0.4 * size * np.cos(self.t / 11), size * np.sin(self.t / 14))

    def tracks(self, **points: np.ndarray) -> Tracks:
        return Tracks(tuple(points), 1, np.array(list(points.values())))

    def review(self, **points: np.ndarray) -> PathReview:
        return review_paths(self.tracks(**points), clock=CLOCK)


@pytest.fixture
def made() -> Made:
    return Made()


@pytest.fixture
def certain() -> Callable[[PathReview], set[str]]:
    """The kinds that a review is certain of."""

    def kinds(review: PathReview) -> set[str]:
        return {finding.kind for finding in review.findings if finding.certain}

    return kinds
