"""Poses that say which word they are for, and how late they are meant to be."""

from __future__ import annotations

from types import MappingProxyType

from planner.check.aim import aimed_at, aimed_verdict
from planner.check.assign import Window
from planner.scene import KeyPose
from planner.shot.stresses import SpokenStress

THIRD = SpokenStress("clerk", 1, 3, "third", 1020, True, True, 1.0)
WEEK = SpokenStress("clerk", 1, 7, "week", 1026, False, True, 0.8)
AGAIN = SpokenStress("clerk", 3, 1, "third", 1060, False, True, 0.8)
HEAD = Window(-4, 1, -8, 8)


def pose(frame: int, **extra: str) -> KeyPose:
    return KeyPose(frame, "clerk", "head", "", MappingProxyType(extra))


def test_a_pose_is_judged_by_the_word_it_is_for() -> None:
    late = pose(1023, on="third")

    assert aimed_at(late, [THIRD, WEEK, AGAIN]) is THIRD
    verdict = aimed_verdict(late, THIRD, HEAD)
    assert (verdict.verdict, verdict.by_frames) == ("late", 3)


def test_what_is_meant_to_be_late_lands() -> None:
    verdict = aimed_verdict(pose(1023, on="third", late="3"), THIRD, HEAD)

    assert (verdict.verdict, verdict.by_frames, verdict.reason) == ("lands", 3, "3 late is meant")


def test_a_line_can_be_named_and_nothing_is_guessed() -> None:
    assert aimed_at(pose(1023, on="3/third"), [THIRD, WEEK, AGAIN]) is AGAIN
    assert aimed_at(pose(1023, on="fourth"), [THIRD]) is None
    assert aimed_at(pose(1023), [THIRD]) is None
