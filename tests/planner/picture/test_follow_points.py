"""Points of rendered figures, followed: where they are, and where they are not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

import cv2
import numpy as np
import pytest
from made_movies import FACE_COUNT, Look, Shot, face_shot, limb_shot
from numpy.typing import NDArray

from planner.picture.follow_points import Followed, follow_points
from planner.picture.seen import SURE, Why


class Rendered:
    """Pictures without a file between."""

    def __init__(self, shot: Shot, count: int = FACE_COUNT) -> None:
        self.grey = [cv2.cvtColor(p, cv2.COLOR_BGR2GRAY) for p in shot.pictures(count)]
        self.height, self.count = self.grey[0].shape[0], count

    def forward(self, first: int, last: int) -> Iterator[tuple[int, NDArray[np.uint8]]]:
        return ((n, self.grey[n]) for n in range(first, last + 1))

    def backward(self, last: int, first: int) -> Iterator[tuple[int, NDArray[np.uint8]]]:
        return ((n, self.grey[n]) for n in range(last, first - 1, -1))

    def at(self, numbers: Iterable[int]) -> Iterator[tuple[int, NDArray[np.uint8]]]:
        return ((n, self.grey[n]) for n in sorted(set(numbers)))


def followed(shot: Shot, *, at: tuple[int, ...] = (0,)) -> tuple[Followed, NDArray[np.float64]]:
    """All points pinned exactly on some frames, and how far off they are then."""
    true = shot.true_points(FACE_COUNT)
    pins = {n: {k: (true[k, n, 0], true[k, n, 1]) for k in range(len(true))} for n in at}
    got = follow_points(Rendered(shot), pins, len(true), first=0, last=FACE_COUNT - 1)
    return got, np.linalg.norm(got.seen.places - true, axis=2)


LOOKS = {
    "plain": Look(), "flat": Look(backdrop="flat"), "grain": Look(grain=5.0),
    "blur": Look(blur=True), "drift": Look(drift=(0.7, 0.3)),
}  # fmt: skip


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_points_stay_where_they_are(look: Look) -> None:
    """Median within half a pixel, 95 % within two, nothing lost that can be seen."""
    got, off = followed(face_shot(look))

    assert np.isfinite(off).mean() > 0.97
    assert np.nanmedian(off) < 0.5
    assert np.nanpercentile(off, 95) < 2.0
    assert not got.cuts


def test_what_a_limb_covers_is_empty_and_told_as_covered() -> None:
    shot = limb_shot()
    hidden = shot.hidden(FACE_COUNT)

    got, off = followed(shot)

    sure = got.seen.confidence >= SURE
    assert hidden.any(axis=1).all()
    assert (sure & hidden).sum(axis=1).max() <= 2
    assert np.nanpercentile(off[~hidden], 95) < 2.0
    assert np.all(got.seen.why[hidden & ~np.isfinite(off)] == Why.COVERED)
    assert np.isfinite(off[:, -1]).all(), "found again behind the limb"


def test_a_cut_ends_every_point() -> None:
    got, off = followed(face_shot(Look(cut_at=20)))

    assert got.cuts == (20,)
    assert np.isfinite(off[:, :20]).all()
    assert not np.isfinite(off[:, 20:]).any()
    assert np.all(got.seen.why[:, 20:] == Why.CUT)


def test_a_flash_is_no_cut() -> None:
    shot = face_shot()
    source = Rendered(shot)
    source.grey[12] = np.clip(source.grey[12].astype(float) * 0.6 + 90, 0, 255).astype(np.uint8)
    true = shot.true_points(FACE_COUNT)

    got = follow_points(source, {0: {0: tuple(true[0, 0])}}, 1, first=0, last=FACE_COUNT - 1)

    assert not got.cuts
    assert np.linalg.norm(got.seen.places[0, 20] - true[0, 20]) < 1.0


@pytest.mark.parametrize("step", [2, 3])
def test_a_drawing_held_is_one_place(step: int) -> None:
    """On twos and threes the pictures of a drawing have exactly the same place."""
    got, off = followed(face_shot(Look(twos=step, grain=4.0)))

    assert (got.exposure.step, got.exposure.phase) == (step, 0)
    places = got.seen.places[:, : FACE_COUNT // step * step]
    drawings = places.reshape(len(places), -1, step, 2)
    assert np.all(drawings == drawings[:, :, :1])
    assert np.nanmedian(off) < 0.5


def test_pins_on_both_ends_are_joined() -> None:
    """Between two pins neither end jumps, and what is before the first is followed backwards."""
    _, off = followed(face_shot(Look(grain=4.0)), at=(6, 24))

    assert np.isfinite(off).all()
    assert off[:, [6, 24]].max() < 1e-6
    assert np.nanpercentile(off, 95) < 1.0


def test_a_point_that_leaves_the_picture_is_told() -> None:
    shot = face_shot()
    leaving = replace(shot.sprites[0], place=lambda t: (160 + 15 * t, 170.0, 0.0, 1.0))
    shot = replace(shot, sprites=(leaving,))
    hidden = shot.hidden(FACE_COUNT)

    got, off = followed(shot)

    assert hidden[:, -1].all()
    assert not (np.isfinite(off) & hidden)[:, 3:].any() or np.nanmax(off[hidden]) < 3.0
    assert np.all(got.seen.why[:, -1] == Why.LEFT)


def test_nothing_to_hold_on_to_is_told() -> None:
    shot = face_shot(Look(backdrop="flat"))

    got = follow_points(Rendered(shot), {0: {0: (440.0, 40.0)}}, 1, first=0, last=5)

    assert got.weak == ((0, 0),)
