"""Tolerances at every rate: exact arithmetic, and against what is published of sound and picture.

Frames at 24 are common practice; published limits are notes, never failures of a user's work.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.check.tolerance import BODY, HEAD, REACH_MS, frames_at, window
from planner.frames import FrameRate

RATES = ("12", "23.976", "24", "25", "29.97", "29.97df", "30", "48", "50", "59.94", "60")

# head early, head late, body early, body late, reach: worked out by hand, nearest frame, halves
# away from zero: at 30, -6 at 24 is -250 ms, -7.5 frames, so -8; at 29.97 it is -7.49, so -7.
EDGES = {
    "12": (-2, 1, -3, 1, 4),
    "23.976": (-4, 1, -6, 1, 8),
    "24": (-4, 1, -6, 1, 8),
    "25": (-4, 1, -6, 1, 8),
    "29.97": (-5, 1, -7, 1, 10),
    "29.97df": (-5, 1, -7, 1, 10),
    "30": (-5, 1, -8, 1, 10),
    "48": (-8, 2, -12, 2, 16),
    "50": (-8, 2, -13, 2, 17),
    "59.94": (-10, 2, -15, 2, 20),
    "60": (-10, 3, -15, 3, 20),
}


@pytest.mark.parametrize("rate", RATES)
def test_edges_at_every_rate(rate: str) -> None:
    parsed = FrameRate.parse(rate)
    head, body = window("head", parsed), window("chest", parsed)

    assert (head.early, head.late, body.early, body.late, body.reach_late) == EDGES[rate]
    assert head.reach_early == -head.reach_late == -EDGES[rate][4]


@pytest.mark.parametrize("rate", RATES)
def test_edges_are_the_nearest_frame_exactly(rate: str) -> None:
    """Against fractions: no frame count is nearer to the milliseconds meant."""
    per_s = FrameRate.parse(rate).frames_per_s
    for at_24 in (*HEAD, *BODY):
        exact = Fraction(at_24, 24) * per_s
        assert abs(frames_at(FrameRate.parse(rate), at_24) - exact) <= Fraction(1, 2)


@pytest.mark.parametrize("rate", RATES)
def test_pose_lands_up_to_each_edge_and_not_a_frame_beyond(rate: str) -> None:
    for part in ("head", "chest"):
        allowed = window(part, FrameRate.parse(rate))

        assert allowed.lands(allowed.early)
        assert allowed.lands(allowed.late)
        assert not allowed.lands(allowed.early - 1)
        assert not allowed.lands(allowed.late + 1)
        assert allowed.reaches(allowed.reach_late)
        assert not allowed.reaches(allowed.reach_late + 1)


def test_late_is_held_more_strictly_than_early_as_the_standards_do() -> None:
    """ITU-R BT.1359-1: sound is noticed 45 ms early (picture late), 125 ms late (picture early).

    ITU-R BS.1204: in film the picture leads by 2 frames at most, trails by 1. Ours go the same way.
    """
    for early, late in (HEAD, BODY):
        assert late * 1000 / 24 <= 45
        assert -early * 1000 / 24 >= 125
    assert HEAD[0] <= -2
    assert HEAD[1] <= 1


def test_reach_is_a_third_of_a_second() -> None:
    assert abs(REACH_MS - 1000 / 3) < 1


def test_a_table_of_the_scene_overrides_by_part_then_by_kind() -> None:
    rate = FrameRate.parse("24")
    table = {"body": (-8, 2), "hips": (-10, 0), "head": (-2, 0)}

    assert (window("chest", rate, table).early, window("chest", rate, table).late) == (-8, 2)
    assert (window("hips", rate, table).early, window("hips", rate, table).late) == (-10, 0)
    assert (window("brows", rate, table).early, window("head", rate, table).late) == (-2, 0)
    assert window("hips", rate, {"hips": (-1, 0)}, table).early == -1


def test_a_follower_is_late_by_its_lag() -> None:
    plain, led = (window("chest", FrameRate.parse("24"), lag_frames=n) for n in (0, 3))

    assert (led.early, led.late) == (plain.early + 3, plain.late + 3)
