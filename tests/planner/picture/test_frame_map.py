"""Pictures on frames: rates, varying times, handles."""

from __future__ import annotations

import numpy as np
import pytest

from planner.picture.frame_map import map_frames, on_frames, one_to_one


def times(count: int, rate: float) -> np.ndarray:
    return np.arange(count) / rate


@pytest.mark.parametrize("rate", [12.0, 24000 / 1001, 24.0, 25.0, 30000 / 1001, 60.0])
def test_the_scenes_own_rate_is_a_picture_a_frame(rate: float) -> None:
    mapped = map_frames(times(500, rate), rate=rate, first_frame=1001)

    assert list(mapped.pictures) == list(range(500))
    assert (mapped.first_frame, mapped.last_frame) == (1001, 1500)
    assert not mapped.remarks


def test_2397_read_as_24_does_not_slip() -> None:
    mapped = map_frames(times(5000, 24000 / 1001), rate=24.0, first_frame=1)

    assert mapped.picture_of(5000) == 4999


def test_twice_the_rate_shows_every_second_picture() -> None:
    mapped = map_frames(times(48, 48.0), rate=24.0, first_frame=1)

    assert list(mapped.pictures) == list(range(0, 48, 2))
    assert "48 pictures a second" in mapped.remarks[0]


def test_half_the_rate_holds_every_picture_twice() -> None:
    mapped = map_frames(times(6, 12.0), rate=24.0, first_frame=1)

    assert list(mapped.pictures) == [0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5]


def test_as_many_pictures_as_frames_is_a_picture_a_frame() -> None:
    """A playblast written at the wrong rate."""
    mapped = map_frames(times(96, 30.0), rate=24.0, first_frame=1001, frames=96)

    assert list(mapped.pictures) == list(range(96))
    assert "one picture for each frame" in mapped.remarks[0]


def test_another_rate_is_taken_between_pictures() -> None:
    mapped = map_frames(times(60, 30.0), rate=24.0, first_frame=1, frames=48)
    # a point that moves 3 px a picture of 1/30 s moves 3.75 px a frame of 1/24 s
    places = np.stack([3.0 * np.arange(60.0), np.zeros(60)], axis=1)[None]

    assert on_frames(places, mapped)[0, :40, 0] == pytest.approx(3.75 * np.arange(40))


def test_uneven_times_show_what_is_on_screen() -> None:
    uneven = np.array([0.0, 1 / 24, 2 / 24, 5 / 24, 6 / 24, 7 / 24])

    mapped = map_frames(uneven, rate=24.0, first_frame=10)

    assert list(mapped.pictures) == [0, 1, 2, 2, 2, 3, 4, 5]
    assert "unequally long" in mapped.remarks[0]


def test_a_part_of_the_frames() -> None:
    part = one_to_one(50, 1001).only(1011, 1020)

    assert (part.first_frame, part.last_frame) == (1011, 1020)
    assert part.picture_of(1011) == 10
    assert part.picture_of(1021) is None
