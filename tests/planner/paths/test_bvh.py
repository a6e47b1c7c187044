"""BVH: positions worked out on paper, an outside reader, and broken files."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from audio.errors import TableError
from planner.paths.bvh import parse_bvh

ARM = """HIERARCHY
ROOT Hips
{
  OFFSET 1 2 3
  CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
  JOINT LeftArm
  {
    OFFSET 0 10 0
    CHANNELS 3 Zrotation Xrotation Yrotation
    JOINT LeftForeArm
    {
      OFFSET 5 0 0
      CHANNELS 3 Xrotation Yrotation Zrotation
      End Site
      {
        OFFSET 4 0 0
      }
    }
  }
}
MOTION
Frames: 3
Frame Time: 0.0416667
0 0 0 0 0 0 0 0 0 0 0 0
100 0 0 90 0 0 0 0 0 0 0 0
0 0 0 0 0 0 90 0 0 0 90 0
"""


def test_positions_are_those_worked_out_on_paper() -> None:
    tracks = parse_bvh(ARM, rate=24.0, first_frame=1001)
    place = {name: tracks.points[k] for k, name in enumerate(tracks.names)}

    # frame 1: no rotation, offsets add up from the root's own (1, 2, 3)
    assert place["Hips"][0].tolist() == [1, 2, 3]
    assert place["LeftArm"][0].tolist() == [1, 12, 3]
    assert place["LeftForeArm"][0].tolist() == [6, 12, 3]
    assert place["LeftForeArm_end"][0].tolist() == [10, 12, 3]
    # frame 2: the root is moved 100 along x and turned a quarter about z: y goes to -x, x to y
    assert place["LeftArm"][1] == pytest.approx([91, 2, 3])
    assert place["LeftForeArm"][1] == pytest.approx([91, 7, 3])
    assert place["LeftForeArm_end"][1] == pytest.approx([91, 11, 3])
    # frame 3: the upper arm turned about z (x to y), then the forearm about its own y (x to -z)
    assert place["LeftForeArm"][2] == pytest.approx([1, 17, 3])
    assert place["LeftForeArm_end"][2] == pytest.approx([1, 17, -1])
    assert tracks.first_frame == 1001


def test_the_order_of_channels_is_the_order_of_rotations() -> None:
    turned = ARM.replace("90 0 0 0 90 0\n", "90 90 0 0 0 0\n")

    tip = parse_bvh(turned).points[3][2]

    # Z then X: the arm's x goes by Rz Rx, Rx leaves x alone, Rz takes it to y
    assert tip == pytest.approx([1, 21, 3])
    other = turned.replace("OFFSET 0 10 0\n    CHANNELS 3 Zrotation Xrotation",
                           "OFFSET 0 10 0\n    CHANNELS 3 Xrotation Zrotation")  # fmt: skip
    # X then Z: Rz takes x to y, Rx takes y to z
    assert parse_bvh(other).points[3][2] == pytest.approx([1, 12, 12])


def test_a_joint_with_its_own_position_channels_stands_where_they_say() -> None:
    text = ARM.replace("CHANNELS 3 Xrotation", "CHANNELS 4 Xposition Xrotation")
    text = re.sub(r"(?m)^((?:\S+ ){8}\S+) (\S+ \S+ \S+)$", r"\1 7 \2", text)

    assert parse_bvh(text).points[2][0].tolist() == [8, 12, 3]


def test_positions_are_those_of_an_outside_reader(tmp_path: Path) -> None:
    """pybvh (PyPI, MIT): positions of all joints, random angles, several channel orders.

    It places the root by its channels alone, so the root's OFFSET is zero here.
    """
    pybvh = pytest.importorskip("pybvh")
    rng = np.random.default_rng(4)
    head = ARM.split("MOTION", maxsplit=1)[0].replace("OFFSET 1 2 3", "OFFSET 0 0 0")
    rows = "\n".join(" ".join(f"{v:.4f}" for v in row) for row in rng.uniform(-170, 170, (40, 12)))
    text = f"{head}MOTION\nFrames: 40\nFrame Time: 0.041667\n{rows}\n"
    file = tmp_path / "made.bvh"
    file.write_text(text, encoding="utf-8")

    theirs = pybvh.read_bvh_file(str(file))
    ours = parse_bvh(text)

    assert ours.points.transpose(1, 0, 2) == pytest.approx(theirs.node_positions(), abs=1e-3)


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("Xrotation Yrotation\n  JOINT", "Xrotation Wrotation\n  JOINT",
         r'm\.bvh:5: unknown channel "Wrotation"; did you mean'),
        ("Zrotation Xrotation Yrotation\n  J", "Zrotation Xrotation Xrotation\n  J",
         r"channel Xrotation stands twice"),
        ("CHANNELS 6", "CHANNELS 9", r"m\.bvh:5: 9 channels"),
        ("OFFSET 0 10 0", "OFFSET 0 ten 0", r'm\.bvh:8: "ten" is no number'),
        ("0 0 0 0 0 0 90 0 0 0 90 0\n", "", r"m\.bvh:25: 2 rows of motion where 3 are announced"),
        ("0 0 0 0 0 0 90 0 0 0 90 0\n", "0 0 0 0 0\n", r"m\.bvh:26: 5 values for 12 channels"),
        ("90 0 0 0 90 0\n", "90 0 0 0 x 0\n", r"m\.bvh:26: a value is no number"),
        ("90 0 0 0 90 0\n", "90 0 0 0 nan 0\n", r"m\.bvh:26: a value is no coordinate or angle"),
        ("0.0416667", "0.0333333", r"m\.bvh:23: runs at 30 frames a second, the scene at 24"),
        ("0.0416667", "0", r"m\.bvh:23: a frame time of 0 s"),
        ("Frames: 3", "Frames: three", r'm\.bvh:22: "Frames: three" has no number'),
        ("MOTION", "MOVES", r"m\.bvh: has no MOTION section"),
        ("JOINT LeftForeArm", "JOINT LeftArm", r'two joints are called "LeftArm"'),
        ("HIERARCHY", "HIERARCHIE", r'm\.bvh:1: "HIERARCHIE" where "HIERARCHY" should stand'),
        ("    }\n  }\n}\n", "    }\n", r"the file ends in the middle of the skeleton"),
    ],
)  # fmt: skip
def test_broken_files_are_one_line(old: str, new: str, line: str) -> None:
    assert old in ARM
    with pytest.raises(TableError) as caught:
        parse_bvh(ARM.replace(old, new), file="m.bvh", rate=24.0)

    assert re.search(line, caught.value.line())
    assert "\n" not in caught.value.line()


@pytest.mark.parametrize(("rate", "time"), [(24.0, "0.0417"), (24000 / 1001, "0.0417083"),
                                            (30.0, ".033333"), (25.0, "0.04")])  # fmt: skip
def test_rounded_frame_times_are_taken(rate: float, time: str) -> None:
    assert parse_bvh(ARM.replace("0.0416667", time), rate=rate).count == 3
