"""Paths over the picture: what is drawn where."""

from __future__ import annotations

import io
from fractions import Fraction

import av
import cv2
import numpy as np

from planner.export.path_overlay import (
    Paths,
    draw_frame,
    draw_still,
    overlay_movie,
    png_bytes,
    rings_of,
)
from planner.paths.findings import Finding

GREY = np.full((270, 480, 3), 90, np.uint8)


def paths(finding: Finding | None = None) -> Paths:
    """A point that goes 10 px a frame to the right, unseen on its fifth frame."""
    places = np.stack([100.0 + 10.0 * np.arange(12), np.full(12, 150.0)], axis=1)[None].copy()
    places[0, 4] = np.nan
    return Paths(("nose",), 1001, places, np.ones((1, 12)), (finding,) if finding else ())


def finding() -> Finding:
    return Finding(
        kind="pop", who="", frames=(1008, 1008), parts=("head",), measured={}, usual={},
        certain=True, text="", tracks=("nose",),
    )  # fmt: skip


def changed(picture: np.ndarray, x: float, y: float) -> bool:
    return bool(np.any(picture[round(y), round(x)] != GREY[0, 0]))


def test_there_is_a_dot_a_frame_and_none_where_nothing_was_seen() -> None:
    drawn = draw_frame(GREY, paths(), 1007, [])

    assert all(changed(drawn, 100 + 10 * k, 150) for k in (0, 1, 2, 3, 5, 6))
    assert not changed(drawn, 140, 150)
    assert not changed(drawn, 180, 150), "what comes later is not drawn yet"


def test_the_still_shows_the_whole_way_and_the_ring() -> None:
    made = paths(finding())
    (ring,) = rings_of(made)

    drawn = draw_still(GREY, made, rings_of(made))

    assert ring.place == (170.0, 150.0)
    red = (drawn[:, :, 2] > 180) & (drawn[:, :, 1] < 120)
    y, x = np.nonzero(red)
    left = 100 - 0.06 * GREY.shape[1]  # cut there: the path begins at 100, with some room
    assert abs(float(x[y == y.min()].mean()) + left - 170) < 3, "the top of the ring"
    assert np.array_equal(cv2.imdecode(np.frombuffer(png_bytes(drawn), np.uint8), 1), drawn)


def test_the_movie_has_a_picture_a_frame_at_its_rate() -> None:
    """Read back by PyAV; an odd size loses a pixel, as H.264 wants even ones."""
    odd = [np.full((101, 151, 3), 20 * k, np.uint8) for k in range(5)]

    with av.open(io.BytesIO(overlay_movie(iter(odd), Fraction(24000, 1001)))) as movie:
        stream = movie.streams.video[0]
        count = sum(1 for _ in movie.decode(stream))

    assert count == 5
    assert stream.average_rate == Fraction(24000, 1001)
    assert (stream.width, stream.height) == (150, 100)
