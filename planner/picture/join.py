"""Points followed from both sides, joined.

Between two pins a point is followed forwards from the first and backwards from the second. Where
both see it at the same place the two are weighed by confidence and nearness to their pins; where
they part, the one that is clearly surer counts, or near a pin the one that comes from it; else the
place is left empty and told: a path in the middle of two that disagree would be made up.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.picture.seen import LEAST, SURE, SeenPoints, Why

SAME_PX = 2.0  # places this near are the same, drift aside
CLEARLY = 0.35  # surer by so much
NEAR_FRAMES = 6  # of its own pin: there a path is right
PARTED_CONFIDENCE = 0.6  # of what was chosen between two that part


def join_passes(
    forth: SeenPoints, back: SeenPoints, pins: Mapping[int, Mapping[int, tuple[float, float]]]
) -> SeenPoints:
    """One path a point of two.

    pins : picture -> point -> place. Both are of the same points and pictures.
    """
    places, confidence = forth.places.copy(), forth.confidence.copy()
    why = forth.why.copy()
    for point in range(len(places)):
        at = sorted(number for number, pinned in pins.items() if point in pinned)
        before, after = _distances(at, places.shape[1])
        one = np.isfinite(forth.places[point, :, 0])
        other = np.isfinite(back.places[point, :, 0])
        alone = other & ~one
        places[point, alone] = back.places[point, alone]
        confidence[point, alone] = back.confidence[point, alone]
        neither = ~one & ~other
        # The pass that was on its way there knows better why there is nothing.
        unknown = neither & np.isin(why[point], (Why.BEFORE, Why.CUT))
        why[point, unknown] = _better(why[point, unknown], back.why[point, unknown])
        why[point, one | other] = Why.SEEN
        for number in np.flatnonzero(one & other):
            place, sure, reason = _joined(
                (forth.places[point, number], float(forth.confidence[point, number])),
                (back.places[point, number], float(back.confidence[point, number])),
                float(before[number]), float(after[number]),
            )  # fmt: skip
            places[point, number], confidence[point, number] = place, sure
            why[point, number] = reason
    weak = confidence < LEAST
    places[weak], confidence[weak] = np.nan, 0.0
    return SeenPoints(places, confidence, why)


def _distances(at: list[int], count: int) -> tuple[FloatArray, FloatArray]:
    """Pictures since the pin before, and to the pin after."""
    numbers = np.arange(count)
    before, after = np.full(count, np.inf), np.full(count, np.inf)
    for pin in at:
        before = np.where(numbers >= pin, np.minimum(before, numbers - pin), before)
        after = np.where(numbers <= pin, np.minimum(after, pin - numbers), after)
    return before, after


def _better(mine: NDArray[np.int8], theirs: NDArray[np.int8]) -> NDArray[np.int8]:
    return np.where(theirs == Why.BEFORE, mine, theirs).astype(np.int8)


def _joined(
    forth: tuple[FloatArray, float], back: tuple[FloatArray, float], before: float, after: float
) -> tuple[FloatArray, float, Why]:
    """Place, confidence and reason where both directions see the point."""
    (a, sure_a), (b, sure_b) = forth, back
    if np.hypot(*(a - b)) <= SAME_PX:
        weight_a, weight_b = sure_a / (1.0 + before), sure_b / (1.0 + after)
        place = (weight_a * a + weight_b * b) / max(weight_a + weight_b, 1e-9)
        return place, max(sure_a, sure_b), Why.SEEN
    nearer_a = before <= NEAR_FRAMES and before < after
    nearer_b = after <= NEAR_FRAMES and after < before
    if (nearer_a and sure_a >= SURE) or sure_a > sure_b + CLEARLY:
        return a, min(sure_a, PARTED_CONFIDENCE), Why.SEEN
    if (nearer_b and sure_b >= SURE) or sure_b > sure_a + CLEARLY:
        return b, min(sure_b, PARTED_CONFIDENCE), Why.SEEN
    return np.full(2, np.nan), 0.0, Why.PARTED
