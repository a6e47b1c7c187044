"""Points followed through a movie: pins in, places with confidence out.

    followed = follow_points(movie, {0: {0: (812.0, 340.0)}}, 1, first=0, last=95)

Forwards from the first pin to the end, backwards from the last pin to the beginning where a pin
needs it, the two joined (`join`), held drawings found (`drawings`). It opens nothing: pictures come
from whatever gives them (`Source`), which is `movie.Movie` as a rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from planner.picture.drawings import Exposure, find_exposure, hold_drawings
from planner.picture.follow import Follower, Place, follow_through, pin_patches, radius_for
from planner.picture.join import join_passes
from planner.picture.patches import Patch
from planner.picture.seen import SeenPoints

Pins = Mapping[int, Mapping[int, Place]]  # picture -> point -> place
WEAK_HOLD_PX = 0.12  # a pin that noise of one grey level misplaces by so much holds on to nothing

WEAK_CONTRAST = 3.0  # grey levels: less is paper


class Source(Protocol):
    """What gives pictures: grey, (height, width), numbered from 0."""

    @property
    def height(self) -> int: ...
    @property
    def count(self) -> int: ...

    def forward(self, first: int, last: int) -> Iterator[tuple[int, NDArray[np.uint8]]]: ...
    def backward(self, last: int, first: int) -> Iterator[tuple[int, NDArray[np.uint8]]]: ...
    def at(self, numbers: Iterable[int], /) -> Iterator[tuple[int, NDArray[np.uint8]]]: ...


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """What was followed, on all pictures of the source (those outside the part: nothing).

    cuts : first pictures of new shots; looks : the patch of each pin, by (picture, point); weak :
    pins that have nothing to hold on to, in at least one direction.
    """

    seen: SeenPoints
    cuts: tuple[int, ...]
    exposure: Exposure
    looks: Mapping[tuple[int, int], Patch]
    weak: tuple[tuple[int, int], ...]


def follow_points(
    source: Source, pins: Pins, points: int, *, first: int, last: int,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> Followed:  # fmt: skip
    """Follow points on the pictures first..last (inclusive).

    pins : must lie within; points : how many. tell : is called with pictures done, and of how many.
    Raises ValueError without pins.
    """
    if not any(pins.values()):
        raise ValueError("no pins")
    radius = radius_for(source.height)
    looks, small = _looks(source, pins, radius)
    known = [[p for (_, who), p in sorted(looks.items()) if who == k] for k in range(points)]
    begin, end = min(pins), max(pins)
    ways = [source.forward(begin, last)]
    if _needs_back(pins, first):
        ways.append(source.backward(end, first))
    total = (last - begin + 1) + (end - first + 1 if len(ways) > 1 else 0)
    passes: list[Follower] = []
    for way in ways:
        follower = Follower(points, source.count, radius, pins, known)
        passes.append(follow_through(_counted(way, sum(p.taken for p in passes), total, tell),
                                     follower))  # fmt: skip
    forth = passes[0].seen()
    seen = forth if len(passes) == 1 else join_passes(forth, passes[1].seen(), pins)
    exposure = find_exposure(seen.places)
    cuts = set(passes[0].cuts) | {cut + 1 for p in passes[1:] for cut in p.cuts}
    return Followed(
        hold_drawings(seen, exposure), tuple(sorted(cuts)), exposure, looks,
        tuple(key for key, patch in small.items() if _weak(patch)),
    )  # fmt: skip


def _looks(
    source: Source, pins: Pins, radius: int
) -> tuple[dict[tuple[int, int], Patch], dict[tuple[int, int], Patch]]:
    """The large and the small patch of every pin."""
    large, small = {}, {}
    for number, picture in source.at(pins):
        for point, place in pins[number].items():
            patches = pin_patches(picture, place, radius)
            large[number, point], small[number, point] = patches
    return large, small


def _weak(patch: Patch) -> bool:
    return patch.hold_px > WEAK_HOLD_PX or patch.contrast < WEAK_CONTRAST


def _needs_back(pins: Pins, first: int) -> bool:
    """True if a point has a pin after the first picture."""
    return any(number > first for number, pinned in pins.items() if pinned)


def _counted(
    pictures: Iterator[tuple[int, NDArray[np.uint8]]], done: int, total: int,
    tell: Callable[[int, int], None],
) -> Iterator[tuple[int, NDArray[np.uint8]]]:  # fmt: skip
    for number, picture in pictures:
        done += 1
        tell(done, total)
        yield number, picture
