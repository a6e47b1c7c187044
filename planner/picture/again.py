"""Points of an earlier version, looked for in another: near where they were, by how they looked.

A pin whose look is found near its place is moved there. One that is not, or not clearly, found
is left out and told: it needs a new pin.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.picture.flow import Picture
from planner.picture.follow import noise_of
from planner.picture.patches import NOISE_LEAST, lay, make_patch
from planner.picture.pins import Pin
from planner.picture.point import sound_find
from planner.picture.search import find_patch

REACH = 0.08  # of the picture's width: how far a point may have been moved
SAME_PX = 0.5  # found this near its place, a pin stays as it was set


@dataclass(frozen=True, slots=True, eq=False)
class FoundAgain:
    """pins : as they are to be used now; moved : those found elsewhere; missing : those not found.

    Pins without a look are used as they are.
    """

    pins: tuple[Pin, ...]
    moved: tuple[Pin, ...]
    missing: tuple[Pin, ...]


def find_again(pins: Sequence[Pin], picture_of: Callable[[int], Picture | None]) -> FoundAgain:
    """Pins with a look, looked for on their frames. picture_of : the picture of a frame, or None.

    The pins are asked for in the order of their frames.
    """
    kept: list[Pin] = []
    moved: list[Pin] = []
    missing: list[Pin] = []
    for pin in sorted(pins, key=lambda p: p.frame):
        picture = picture_of(pin.frame) if pin.look is not None else None
        if pin.look is None or picture is None:
            kept.append(pin)
            continue
        found = _place(pin, picture)
        if found is None:
            missing.append(pin)
            continue
        if np.hypot(found.x - pin.x, found.y - pin.y) > SAME_PX:
            moved.append(found)
            kept.append(found)
        else:
            kept.append(pin)
    return FoundAgain(tuple(kept), tuple(moved), tuple(missing))


def _place(pin: Pin, picture: Picture) -> Pin | None:
    if pin.look is None:
        return pin
    patch = make_patch(pin.look, pin.look.shape[0] // 2)
    noise = max(noise_of(picture), NOISE_LEAST)
    at = (pin.x, pin.y)
    found = lay(patch, picture, at, noise=noise)
    if not sound_find(found, noise, patch):
        near = find_patch(patch, picture, at, REACH * picture.shape[1], noise=noise)
        if near is None or not sound_find(near, noise, patch):
            return None
        found = near
    return replace(pin, x=found.place[0], y=found.place[1])
