"""Which point of a figure a track is."""

from __future__ import annotations

import pytest

from planner.paths.parts import Point, name_words, point_of
from planner.scene import TrackOf


@pytest.mark.parametrize(
    ("name", "part", "role"),
    [
        ("nose", "head", ""), ("chin", "head", ""), ("Head", "head", ""), ("Spine1", "chest", ""),
        ("Hips", "hips", ""), ("l_wrist", "left hand", "wrist"), ("wrist_R", "right hand", "wrist"),
        ("LeftHand", "left hand", "wrist"), ("LeftForeArm", "left arm", "elbow"),
        ("RightArm", "right arm", "shoulder"), ("left_elbow", "left arm", "elbow"),
        ("l_fingertip", "left fingers", "tip"), ("LeftHandIndex1", "left hand", "wrist"),
        ("shoulder_l", "shoulders", "shoulder"), ("l_eye", "eyes", ""), ("jaw", "jaw", ""),
    ],
)  # fmt: skip
def test_parts_are_read_from_names(name: str, part: str, role: str) -> None:
    point = point_of(name)

    assert (point.part, point.role, point.known) == (part, role, True)


def test_an_unknown_name_is_a_part_of_its_own() -> None:
    assert point_of("pt_07", who="clerk") == Point("clerk", "pt_07", known=False)


@pytest.mark.parametrize(
    "name", ["clerk_l_wrist", "clerk.l_wrist", "clerk:l_wrist", "Clerk_l_wrist"]
)
def test_a_leading_character_says_who(name: str) -> None:
    point = point_of(name, characters=("clerk", "visitor"), who="visitor")

    assert (point.who, point.part) == ("clerk", "left hand")


def test_the_scene_overrules_names() -> None:
    given = {"nose": TrackOf("visitor", "right hand")}

    assert point_of("nose", given=given) == Point("visitor", "right hand", "wrist", "right")


def test_the_only_character_is_meant() -> None:
    assert point_of("nose", characters=("clerk",)).who == "clerk"
    assert point_of("nose", characters=("clerk", "visitor")).who == ""


def test_names_fall_into_words() -> None:
    assert name_words("LeftForeArm_end") == ["left", "forearm", "end"]
    assert name_words("clerk2-fingerTip") == ["clerk", "2", "fingertip"]
