"""Files of points, and pins kept in a track file."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audio.errors import TableError
from planner.paths.track_file import parse_csv
from planner.picture.patches import make_patch
from planner.picture.pins import Pin, parse_pins, pin_remark, pins_text
from planner.picture.track_text import tracks_text


def test_a_pin_file_is_read_back() -> None:
    pins = (Pin(1001, "clerk_nose", 812.0, 340.25), Pin(1040, "clerk_nose", 700.5, 322.0))

    assert [(p.frame, p.name, p.x, p.y) for p in parse_pins(pins_text(pins))] == [
        (p.frame, p.name, p.x, p.y) for p in pins
    ]


def test_a_track_file_keeps_its_pins_and_stays_a_track_file() -> None:
    """The look comes back as it was cut; `paths` reads the same file and skips confidence."""
    look = np.random.default_rng(1).integers(0, 255, (21, 21)).astype(np.float32)
    pin = Pin(7, "nose", 40.0, 50.0)
    places = np.array([[[1.0, 2.0], [np.nan, np.nan], [3.0, 4.0]]])
    remarks = ["followed in a.mp4", pin_remark(pin, make_patch(look, 10))]
    text = tracks_text(("nose",), 7, places, np.array([[1.0, 0.0, 0.5]]), remarks=remarks)

    (back,) = parse_pins(text)
    tracks = parse_csv(text)

    assert (back.frame, back.name, back.x, back.y) == (7, "nose", 40.0, 50.0)
    assert np.array_equal(back.look, look)
    assert tracks.names == ("nose",)
    assert tracks.first_frame == 7
    assert np.array_equal(tracks.points[0], places[0], equal_nan=True)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no points"),
        ("frame,name,x\n1,a,2\n", "is no table of points"),
        ("frame,name,x,y\n1,a,2\n", "points.csv:2: 3 cells"),
        ("frame,name,x,y\n1.5,a,2,3\n", 'points.csv:2: frame "1.5"'),
        ("frame,name,x,y\n1,a=b,2,3\n", "is no name"),
        ("frame,name,x,y\n1,a,nan,3\n", '"nan" is no pixel'),
        ("frame,name,x,y\n1,a,2,3\n1,a,4,5\n", '"a" stands twice on frame 1'),
        ("# pin 1\ta\t2\t3\t!!\n", "points.csv:1: the look"),
        ("# pin 1 a\n", "is no pin"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text: str, said: str) -> None:
    with pytest.raises(TableError, match=r"points\.csv") as caught:
        parse_pins(text)

    assert said in caught.value.line()


@given(st.text(alphabet="frame,nxy#pi \t\n\r0123456789.-\0eNAAé=", max_size=120))
def test_any_text_is_pins_or_one_line(text: str) -> None:
    try:
        parse_pins(text)
    except TableError as error:
        assert "\n" not in error.line()
