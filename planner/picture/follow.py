"""Points followed through the pictures in one direction.

One picture is held beside the one at hand. Where a cut is seen every point is dropped until its
next pin; a pin always has the last word on its picture.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.picture.behind import backdrop_move
from planner.picture.cuts import is_cut
from planner.picture.flow import Scaled, flow, scaled
from planner.picture.patches import Patch, cut_patch
from planner.picture.point import SMALL, Point
from planner.picture.seen import SeenPoints, Why, nothing_seen

Picture = NDArray[np.uint8]
Place = tuple[float, float]

NOISE_EVERY = 12  # pictures between two looks at the noise
NOISE_SIDE = 512  # pixels of the middle of the picture that are looked at
FLOW = 0.7  # of a patch's radius: the windows of the flow
BESIDE = 14.0  # of a patch's radius: points this near are likely on the same part
TWIN = 3.0  # of a patch's radius: steps that differ more are not of one part
LEAVING = 1.5  # of a patch's radius: this near the edge, heading out, a lost point has left


def radius_for(height: int) -> int:
    """How far a patch reaches: 15 pixels at 1080, in proportion, 7 at least."""
    return int(np.clip(round(height / 72), 7, 24))


class Follower:
    """Follows points picture by picture; `take` is called with each, in either order."""

    def __init__(
        self, names: int, pictures: int, radius: int, pins: Mapping[int, Mapping[int, Place]],
        patches: Sequence[Sequence[Patch]],
    ) -> None:  # fmt: skip
        """names, pictures : how many; pins : picture -> point -> place; patches : of each point's
        pins, on whatever picture."""
        self.radius = radius
        self.pins = pins
        self.points = [Point(radius, list(known)) for known in patches]
        self.places, self.confidence, self.why = nothing_seen(names, pictures)
        self.cuts: list[int] = []
        self.noise = 2.0
        self._before: Scaled | None = None
        self.taken = 0
        self._after_cut = False

    def take(self, number: int, picture: Picture) -> None:
        """Follow the points to the next picture."""
        now = scaled(picture)
        if self.taken % NOISE_EVERY == 0:
            self.noise = noise_of(picture)
        self.taken += 1
        if self._before is not None:
            if is_cut(self._before.small, now.small):
                self.cuts.append(number)
                self._after_cut = True
                for point in self.points:
                    point.drop()
            self._follow(self._before, now, number)
        for index, place in self.pins.get(number, {}).items():
            self.points[index].pin(place, pin_patches(picture, place, self.radius))
        self._write(number, picture.shape)
        self._before = now

    def _follow(self, before: Scaled, now: Scaled, number: int) -> None:
        seen = [p for p in self.points if p.alive and not p.lost]
        missing = [p for p in self.points if p.alive and p.lost]
        starts = np.array([p.place for p in seen]).reshape(-1, 2)
        there, off = flow(before, now, starts, max(7, round(FLOW * self.radius)))
        backdrop = backdrop_move(before, now) if seen else np.zeros(2)
        for row, point in enumerate(seen):
            point.follow(before.picture, now.picture, there[row], float(off[row]), number,
                         self.noise, backdrop)  # fmt: skip
        steps = [(p.place, p.place - start) for p, start in zip(seen, starts, strict=True)
                 if not p.lost]  # fmt: skip
        alone = [p for p in seen if p.lost and self._companions(p, steps) is None]
        for point in (p for p in seen if p.lost):
            along = self._companions(point, steps)
            point.retry(now.picture, along, number, self.noise)
            if point.lost and along is not None:
                point.go_along(along)
        self._doubt_twins([point for point in alone if not point.lost])
        for point in missing:
            along = self._companions(point, steps)
            if along is not None:
                point.go_along(along)
            point.look(now.picture, number, self.noise, beside=along is not None)

    def _doubt_twins(self, found: Sequence[Point]) -> None:
        """Of points found far off at once, doubt those that went another way than the others.

        One eye taken for the other moves unlike nose and chin.
        """
        steps = [(p.place - p.pace, p.pace) for p in found]
        doubted = []
        for k, point in enumerate(found):
            others = [s for j, s in enumerate(steps) if j != k]
            along = self._companions_at(steps[k][0], others)
            if along is not None and np.hypot(*(point.pace - along)) > TWIN * self.radius:
                doubted.append(point)
        for point in doubted:
            point.doubt()

    def _companions(
        self, point: Point, steps: Sequence[tuple[FloatArray, FloatArray]]
    ) -> FloatArray | None:
        """The middle step of the nearest points that are seen; None if none is near."""
        return self._companions_at(point.place, steps)

    def _companions_at(
        self, place: FloatArray, steps: Sequence[tuple[FloatArray, FloatArray]]
    ) -> FloatArray | None:
        reach = BESIDE * self.radius
        near = sorted((float(np.hypot(*(there - place))), k) for k, (there, _) in enumerate(steps))
        chosen = [steps[k][1] for distance, k in near[:3] if distance < reach]
        return np.median(chosen, axis=0) if chosen else None

    def _write(self, number: int, shape: tuple[int, ...]) -> None:
        height, width = shape[:2]
        for index, point in enumerate(self.points):
            if not point.alive:
                if self._after_cut:
                    self.why[index, number] = Why.CUT
                continue
            x, y = point.place
            inside = -0.5 <= x < width - 0.5 and -0.5 <= y < height - 0.5
            if not point.lost and not inside:
                point.lost, point.confidence = 1, 0.0
            if point.lost:
                self.why[index, number] = Why.LEFT if self._left(point, shape) else Why.COVERED
                continue
            self.places[index, number] = point.place
            self.confidence[index, number] = point.confidence
            self.why[index, number] = Why.SEEN

    def _left(self, point: Point, shape: tuple[int, ...]) -> bool:
        room = LEAVING * self.radius
        x, y = point.place + point.pace
        height, width = shape[:2]
        near = x < room or y < room or x > width - room or y > height - room
        return bool(near)

    def seen(self) -> SeenPoints:
        """What was seen, picture by picture."""
        return SeenPoints(self.places, self.confidence, self.why)


def pin_patches(picture: Picture, place: Place, radius: int) -> tuple[Patch, Patch]:
    """The patches of a pin: a large one, and a small one for what is thin."""
    small = max(5, round(SMALL * radius))
    return cut_patch(picture, place, radius), cut_patch(picture, place, small)


def follow_through(pictures: Iterable[tuple[int, Picture]], follower: Follower) -> Follower:
    """The follower after all pictures."""
    for number, picture in pictures:
        follower.take(number, picture)
    return follower


def noise_of(picture: Picture) -> float:
    """Deviation of the picture's noise, grey levels.

    Source: Immerkaer 1996, with the median instead of the mean, so that edges do not count.
    """
    import cv2

    height, width = picture.shape
    y, x = max((height - NOISE_SIDE) // 2, 0), max((width - NOISE_SIDE) // 2, 0)
    middle = picture[y : y + NOISE_SIDE, x : x + NOISE_SIDE].astype(np.float32)
    kernel = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)
    found = np.abs(cv2.filter2D(middle, -1, kernel))
    return float(np.clip(np.median(found) / 0.6745 / 6.0, 2.0, 20.0))
