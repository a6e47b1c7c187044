"""Track tables: what is read, what is stated, and one line for everything that cannot be right."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from audio.errors import TableError
from planner.paths.track_file import BLOCK_ROWS, parse_csv, read_tracks

GOOD = "frame,nose.x,nose.y,chin.x,chin.y\n1001,1,2,3,4\n1002,5,6,7,8\n"


def refused(text: str) -> str:
    with pytest.raises(TableError) as caught:
        parse_csv(text, file="t.csv")
    line = caught.value.line()
    assert "\n" not in line
    return line


def test_columns_are_found_by_name_in_any_order() -> None:
    tracks = parse_csv("chin.y,nose.y,frame,nose.x,chin.x\n4,2,1001,1,3\n8,6,1002,5,7\n")

    assert set(tracks.names) == {"nose", "chin"}
    assert tracks.points[tracks.names.index("nose")].tolist() == [[1, 2], [5, 6]]
    assert tracks.first_frame == 1001 and tracks.flat


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + GOOD, GOOD.replace("\n", "\r\n"), GOOD.replace(",", ";"),
        GOOD.replace(",", "\t"), "# made by hand\n\n" + GOOD + "\n\n",
        GOOD.replace("frame", "Frame").replace(".x", ".X"), GOOD.replace("1001", '"1001"'),
        GOOD.replace("1001", "1001.0"),
    ],
)  # fmt: skip
def test_ways_of_writing_that_mean_the_same(text: str, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_bytes(text.encode())

    assert np.array_equal(read_tracks(file).points, parse_csv(GOOD).points)


def test_depth_makes_points_in_space() -> None:
    tracks = parse_csv("frame,a.x,a.y,a.z\n1,1,2,3\n2,1,2,3\n")

    assert not tracks.flat and tracks.unit == "units"


def test_gaps_are_kept_and_stated() -> None:
    rows = "".join(f"{f},1,2,3,4\n" for f in range(1, 30) if f not in (7, 8))
    text = ("frame,nose.x,nose.y,chin.x,chin.y\n" + rows).replace("12,1,2,", "12,,nan,")

    tracks = parse_csv(text)

    assert tracks.remarks == (
        "frames 7-8 missing: nothing is measured there", "nose has gaps: frames 12",
    )  # fmt: skip
    assert np.isnan(tracks.points[:, 6:8]).all()
    assert np.isnan(tracks.points[0, 11]).all() and not np.isnan(tracks.points[1, 11]).any()


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", r"t\.csv: has no header"),
        ("frame,nose.x,nose.y\n", r"t\.csv: has a header and no rows"),
        ("nose.x,nose.y\n1,2\n", r"t\.csv:1: no column is called frame"),
        ("frame\n1\n", r"t\.csv:1: has a frame column and no points"),
        ("frame,nose.x\n1,2\n", r't\.csv:1: "nose" has no column nose\.y'),
        ("frame,nose.x,nse.y\n1,2,3\n", r'has no column nose\.y; did you mean "nse\.y"\?'),
        ("frame,nose.x,nose.y,nose.w\n", r'column "nose\.w" is neither frame nor'),
        ("frame,a.x,a.y,A.x\n1,2,3,4\n", r'column "a\.x" stands twice'),
        ("frame,a.x,a.y,a.z,b.x,b.y\n1,1,1,1,1,1\n", r'"a" has a z and "b" has none'),
        (GOOD + "1002,1,2,3,4\n", r"t\.csv:4: frame 1002 stands twice; keep one row"),
        (GOOD + "1003,1,2,3,4\n1001,1,2,3,4\n", r"t\.csv:5: frame 1001 stands twice"),
        (GOOD + "1000,1,2,3,4\n", r"t\.csv:4: frame 1000 comes after 1002; sort"),
        (GOOD + "1003.5,1,2,3,4\n", r"t\.csv:4: frame 1003\.5 is no whole number; is frame the"),
        (GOOD + ",1,2,3,4\n", r"t\.csv:4: the row has no frame"),
        (GOOD + "1003,1,2,3\n", r"t\.csv:4: 4 cells, but the header has 5"),
        (GOOD + "1003,1,2,3,left\n", r't\.csv:4: "left" is no number'),
        (GOOD.replace(",", ";") + "1003;1,5;2;3;4\n", r"decimals with a point"),
        (GOOD + "1003,1,2,3,inf\n", r't\.csv:4: "inf" is no coordinate'),
        (GOOD + "1003,1,2,3,1e300\n", r"t\.csv:4: .* is no coordinate"),
        (GOOD + "9999998,1,2,3,4\n", r"frames jump from 1002 to 9999998"),
    ],
)
def test_what_cannot_be_right_is_one_line(text: str, line: str) -> None:
    assert re.search(line, refused(text))


def test_swapped_frame_and_coordinate_columns_are_noticed() -> None:
    header = "nose.x,frame,nose.y\n"

    assert "frame" in refused(header + "1001,612.5,300\n1002,611.25,301\n")


def test_mistakes_are_found_at_their_line_in_a_long_file() -> None:
    rows = [f"{f},1,2,3,4\n" for f in range(1, BLOCK_ROWS + 500)]
    rows[BLOCK_ROWS + 99] = f"{BLOCK_ROWS + 100},1,2,x,4\n"

    assert refused("frame,a.x,a.y,b.x,b.y\n" + "".join(rows)).startswith(
        f"t.csv:{BLOCK_ROWS + 101}"
    )


@pytest.mark.parametrize("data", [b"\xff\xfef\x00", b"frame,a.x,a.y\n1,\xe4,2\n", b"\0\1\2\3"])
def test_what_is_no_utf8_text_is_one_line(data: bytes, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_bytes(data)

    with pytest.raises(TableError):
        read_tracks(file)


def test_a_missing_file_and_a_folder_are_one_line(tmp_path: Path) -> None:
    for path, what in ((tmp_path / "no.csv", "no such file"), (tmp_path, "is a folder")):
        with pytest.raises(TableError, match=what):
            read_tracks(path)
