"""Even spacing and twins: found where planted, not in eased or own movement."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from planner.paths.review import PathReview

Kinds = Callable[[PathReview], set[str]]


def test_a_key_to_a_key_without_an_ease_is_even(made: Any, certain: Kinds) -> None:
    u = np.clip((made.t - 30) / 16, 0, 1)

    even = made.review(nose=made.breathing(made.arc(u, degrees=40), 0.4))
    eased = made.review(nose=made.breathing(made.arc(made.ease(30, 46), degrees=40), 0.4))

    assert "even-spacing" in certain(even)
    assert "even-spacing" not in {f.kind for f in eased.findings}
    told = next(f for f in even.findings if f.kind == "even-spacing")
    assert told.measured["spacing"] == "even" and abs(told.frames[0] - 31) <= 2


def test_mirrored_and_repeated_hands_are_twins_and_named_so(made: Any) -> None:
    def names(turn: float, late: float) -> set[Any]:
        hand = made.breathing(made.arc(made.ease(30, 46), degrees=60), 0.8)
        other = made.breathing(made.arc(made.ease(30 + late, 46 + late), degrees=60), 0.8)
        found = made.review(l_wrist=hand, r_wrist=other * np.array([turn, 1.0]) - 400.0)
        return {f.measured["twins"] for f in found.findings if f.kind == "twins" and f.certain}

    assert names(-1.0, 0.0) == {"mirrored"}
    assert names(1.0, 0.0) == {"repeated"}
    assert names(-1.0, 2.0) == set()
