"""What is found and what is not: each kind of finding with a planted fault and with its mend."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from planner.frames import Clock, FrameRate
from planner.paths.review import PathReview, review_paths
from planner.paths.tracks import Tracks
from planner.scene import Planted, Scene

Kinds = Callable[[PathReview], set[str]]


def the(review: PathReview, kind: str) -> Any:
    found = [finding for finding in review.findings if finding.kind == kind]
    assert len(found) == 1, [f.kind for f in review.findings]
    return found[0]


def test_a_straight_move_is_found_and_an_arc_is_not(made: Any, certain: Kinds) -> None:
    ease = made.ease(30, 46)
    straight = made.review(nose=made.breathing(made.at(100 * ease, 60 * ease)))
    curved = made.review(nose=made.breathing(made.arc(ease, degrees=45)))

    finding = the(straight, "straight-path")
    assert finding.certain and abs(finding.frames[0] - 31) <= 1 and abs(finding.frames[1] - 47) <= 1
    assert "usual" in finding.text and "may be meant" in finding.text
    assert certain(curved) == set()


def test_a_move_along_one_axis_is_found(made: Any) -> None:
    review = made.review(nose=made.at(100 * made.ease(30, 46), 50))

    assert the(review, "one-axis").measured["axis"] == "x"
    assert the(review, "straight-path").certain


def test_eyes_and_jaw_may_run_straight(made: Any) -> None:
    move = made.breathing(made.at(0, 40 * made.ease(30, 46)))

    kinds = {finding.kind for finding in made.review(jaw=move, l_eye=move + 5).findings}
    assert not kinds & {"straight-path", "one-axis"}


def test_the_same_way_back_is_found_and_another_way_is_not(made: Any, certain: Kinds) -> None:
    there, back = made.ease(30, 44), made.ease(52, 66)
    bow = there * (1 - there) * 60
    same = made.at(100 * (there - back), bow + back * (1 - back) * 60)
    other = made.at(100 * (there - back), bow - back * (1 - back) * 60)

    finding = the(made.review(nose=made.breathing(same, 0.5)), "same-way-back")
    assert finding.certain and abs(finding.frames[0] - 31) <= 1 and abs(finding.frames[1] - 67) <= 1
    assert "same-way-back" not in certain(made.review(nose=made.breathing(other, 0.5)))


def test_one_drawing_off_the_arc_is_found_on_its_frame(made: Any, certain: Kinds) -> None:
    points = made.breathing(made.arc(made.ease(30, 46)))
    points[37] += (4, 4)

    assert the(made.review(nose=points), "arc-break").frames == (38, 38)


@pytest.mark.parametrize("length", [4, 6, 10, 16])
def test_a_round_arc_is_not_broken(made: Any, certain: Kinds, length: int) -> None:
    for degrees in (45, 90, 150):
        points = made.breathing(made.arc(made.ease(30, 30 + length), degrees=degrees))
        assert "arc-break" not in certain(made.review(nose=points))


@pytest.mark.parametrize(("frames", "found"), [(2, True), (3, True), (8, False), (12, False)])
def test_a_settle_of_few_frames_is_rushed(
    made: Any, certain: Kinds, frames: int, found: bool
) -> None:
    share = 1.1 * made.ease(30, 44) - 0.1 * made.ease(44, 44 + frames)

    review = made.review(nose=made.breathing(made.arc(share, degrees=40)))

    assert ("rushed-settle" in certain(review)) is found


def test_a_dead_stop_is_rushed_and_an_ease_is_not(made: Any, certain: Kinds) -> None:
    u = np.clip((made.t - 30) / 16, 0, 1)

    stop = made.review(nose=made.breathing(made.arc(u**2, degrees=40)))
    eased = made.review(nose=made.breathing(made.arc(made.ease(30, 46), degrees=40)))

    assert "rushed-settle" in certain(stop)
    assert "rushed-settle" not in certain(eased)


def test_a_slide_that_does_not_slow_is_a_drift_and_a_slowing_hold_is_none(
    made: Any, certain: Kinds
) -> None:
    u = np.clip((made.t - 44) / 50, 0, 1)
    move = made.arc(made.ease(30, 44))

    slides = made.review(l_wrist=move + made.at(9 * u, 0))
    slows = made.review(l_wrist=move + made.at(9 * (1 - (1 - u) ** 2), 0))

    finding = the(slides, "drift")
    assert finding.certain and finding.measured["direction"] == "right"
    assert finding.measured["per_s"] == pytest.approx(9 / 50 * 24, rel=0.1)
    assert abs(finding.frames[0] - 45) <= 2 and abs(finding.frames[1] - 95) <= 2
    assert "drift" not in {f.kind for f in slows.findings}


def test_a_planted_hand_may_not_slide_even_if_it_slows(made: Any) -> None:
    u = np.clip((made.t - 40) / 30, 0, 1)
    hand = made.at(5 * u, 5 * u)
    tracks = made.tracks(l_wrist=hand, nose=made.breathing(made.at(0, -300)))

    def review(*planted: Planted) -> PathReview:
        return review_paths(tracks, clock=made.clock, who="clerk", planted=planted)

    finding = the(review(Planted("clerk", "left hand", (1, 120))), "drift")
    assert finding.certain and finding.frames == (41, 71)
    assert finding.measured["direction"] == "right and down"
    others = (Planted("visitor", "left hand", (1, 120)), Planted("clerk", "right hand", (1, 120)))
    assert "planted" not in " ".join(f.text for f in review(*others).findings)


def test_what_is_planted_is_its_own_characters(made: Any) -> None:
    """Of two characters a track that names neither may be anybody's; the clerk's hand is not it."""
    u = np.clip((made.t - 40) / 30, 0, 1)
    tracks = made.tracks(l_wrist=made.at(5 * u, 5 * u), nose=made.breathing(made.at(0, -300)))
    planted = (Planted("clerk", "left hand", (1, 120)),)
    two = Scene("", made.clock, ("clerk", "visitor"), (), planted=planted)
    one = replace(two, characters=("clerk",))

    def told(scene: Scene, who: str | None = None) -> str:
        found = review_paths(tracks, clock=made.clock, scene=scene, who=who)
        return " ".join(f.text for f in found.findings)

    assert "is planted and slides" not in told(two)
    assert "is planted and slides" not in told(two, "visitor")
    assert "is planted and slides" in told(two, "clerk")
    assert "is planted and slides" in told(one)


def test_a_planted_hand_that_rests_is_no_fault(made: Any) -> None:
    tracks = made.tracks(l_wrist=made.at(5, 5), nose=made.breathing(made.at(0, -300)))

    planted = [Planted("clerk", "left hand", (1, 120))]
    assert review_paths(tracks, clock=made.clock, who="clerk", planted=planted).findings == ()


def test_a_frozen_hold_is_found(made: Any) -> None:
    breathes = made.review(nose=made.breathing(made.arc(made.ease(80, 96))))

    assert [f.kind for f in breathes.findings] == []
    finding = the(made.review(nose=made.arc(made.ease(90, 112))), "frozen")
    assert finding.certain and finding.frames[0] == 1 and abs(finding.frames[1] - 91) <= 1


def test_jitter_is_found_on_its_frames_and_small_noise_is_not(made: Any, certain: Kinds) -> None:
    rng = np.random.default_rng(3)
    points = made.breathing(made.arc(made.ease(10, 26))) + rng.normal(0, 0.05, (120, 2))
    quiet = made.review(nose=points)
    points[60:80] += rng.normal(0, 1.0, (20, 2))

    finding = the(made.review(nose=points), "jitter")

    assert certain(quiet) == set()
    assert finding.certain and abs(finding.frames[0] - 61) <= 1 and abs(finding.frames[1] - 80) <= 1


@pytest.mark.parametrize("stays", [True, False])
def test_a_jump_of_one_frame_is_found_on_its_frame(made: Any, stays: bool) -> None:
    points = made.breathing(made.arc(made.ease(20, 36)))
    points[80 : 120 if stays else 81] += (20, 6)

    review = made.review(nose=points)

    assert the(review, "pop").frames == (81, 81)
    assert the(review, "pop").measured["jump"] == pytest.approx(np.hypot(20, 6), rel=0.05)
    assert len(review.moves) == 1


@pytest.mark.parametrize("length", [2, 3, 4])
def test_a_quick_accent_is_no_jump(made: Any, certain: Kinds, length: int) -> None:
    review = made.review(nose=made.breathing(made.arc(made.ease(40, 40 + length))))

    assert "pop" not in certain(review)


def test_head_and_chest_as_a_block_are_found_and_a_lag_is_not(made: Any, certain: Kinds) -> None:
    def review(late: float) -> PathReview:
        chest = made.arc(made.ease(30 + late, 46 + late), size=40) + made.at(0, 200)
        return made.review(nose=made.breathing(made.arc(made.ease(30, 46))),
                           chest=made.breathing(chest, 1.0))  # fmt: skip

    assert the(review(0), "locked-parts").parts == ("head", "chest")
    assert the(review(0.2), "locked-parts").certain
    assert the(review(0.4), "locked-parts")
    for late in (2, 3, -3):
        assert "locked-parts" not in {f.kind for f in review(late).findings}


def test_nose_chin_and_head_are_never_locked_to_each_other(made: Any) -> None:
    move = made.breathing(made.arc(made.ease(30, 46)))

    review = made.review(nose=move, chin=move + made.at(0, 60), head=move - made.at(0, 60))

    assert review.lags == ()
    assert "locked-parts" not in {f.kind for f in review.findings}


def test_a_fault_of_a_rigid_part_is_told_once(made: Any) -> None:
    ease = made.ease(30, 46)
    move = made.at(100 * ease, 60 * ease)

    finding = the(made.review(nose=move, chin=move + made.at(0, 60)), "straight-path")

    assert set(finding.tracks) == {"nose", "chin"}


def test_turns_against_each_other_on_one_frame_are_found(made: Any) -> None:
    head = made.arc(made.ease(30, 44) - made.ease(44, 58), degrees=30)

    def chest(turn: float) -> np.ndarray:
        share = made.ease(turn - 18, turn) - made.ease(turn, turn + 18)
        return made.at(300 - 40 * share, 500 + 14 * share * (1 - share))

    together = made.review(nose=made.breathing(head), chest=made.breathing(chest(44), 0.5))
    later = made.review(nose=made.breathing(head), chest=made.breathing(chest(48), 0.5))

    finding = the(together, "opposed-on-one-frame")
    assert finding.certain and abs(finding.frames[0] - 45) <= 1
    assert "opposed-on-one-frame" not in {f.kind for f in later.findings}


def arm(made: Any, drag: float, stop: bool = False) -> PathReview:
    """An arm that swings; the hand follows the forearm `drag` frames late."""
    frames = np.arange(120.0)
    turn = np.radians(-70) * made.ease(30, 44)
    late = drag * (1 - made.ease(30, 44)) if stop else drag
    hand = np.interp(frames - late, frames, turn)
    elbow = made.arc(made.ease(30, 44), size=60, degrees=50)
    wrist = elbow + 100 * np.stack([np.cos(turn), np.sin(turn)], 1)
    tip = wrist + 70 * np.stack([np.cos(hand), np.sin(hand)], 1)
    points = {"l_elbow": elbow, "l_wrist": wrist, "l_fingertip": tip}
    return made.review(**{name: made.breathing(p) for name, p in points.items()})


def test_a_hand_that_turns_with_the_forearm_is_dead(made: Any, certain: Kinds) -> None:
    finding = the(arm(made, 0.0), "dead-wrist")

    assert finding.certain and finding.parts == ("left hand",)
    assert abs(finding.frames[0] - 31) <= 1 and abs(finding.frames[1] - 45) <= 1
    assert "dead-wrist" not in certain(arm(made, 3.5))


def test_an_elbow_that_travels_alone_leaves_a_dead_hand(made: Any) -> None:
    elbow = made.breathing(made.arc(made.ease(30, 46)))

    assert the(made.review(l_elbow=elbow, l_wrist=made.at(150, 300)), "dead-wrist").certain


def test_fingers_that_stop_with_the_hand_are_found(made: Any, certain: Kinds) -> None:
    finding = the(arm(made, 4.0, stop=True), "fingers-stop-with-hand")

    assert finding.certain and finding.parts == ("left fingers", "left hand")
    assert "fingers-stop-with-hand" not in certain(arm(made, 4.0))


def test_a_foreshortened_forearm_is_found_and_its_bend_told(made: Any) -> None:
    share = made.ease(30, 44) - made.ease(80, 94)
    length = 100 * (1 - 0.75 * share)
    limb = {
        "l_shoulder": made.at(0, 0), "l_elbow": made.at(40, 90),
        "l_wrist": made.at(40 + 0.8 * length, 90 + 0.6 * length),
    }  # fmt: skip

    finding = the(made.review(**{n: made.breathing(p) for n, p in limb.items()}), "foreshortened")

    short = np.flatnonzero(length < 50) + 1
    assert abs(finding.frames[0] - short[0]) <= 1 and abs(finding.frames[1] - short[-1]) <= 1
    assert finding.measured["forearm"] == pytest.approx(0.25, abs=0.02)
    assert finding.certain


@pytest.mark.parametrize("rate", ["24", "25", "29.97", "48", "60"])
def test_verdicts_are_the_same_at_every_rate(rate: str) -> None:
    """The same movement, sampled finer: trade frames are counted at 24."""
    clock = Clock(FrameRate.parse(rate), 1)
    fine = float(clock.rate.frames_per_s) / 24.0
    t = np.arange(int(130 * fine)) / fine

    def ease(first: float, last: float) -> np.ndarray:
        u = np.clip((t - first) / (last - first), 0, 1)
        return u**3 * (10 - 15 * u + 6 * u**2)

    def kinds(chest_late: float, settle: float, straight: bool) -> set[str]:
        share = 1.1 * ease(30, 44) - 0.1 * ease(44, 44 + settle)
        bow = 0 * t if straight else 60 * share * (1 - share)
        breath = np.stack([0.3 * np.cos(t / 11), np.sin(t / 14)], 1)
        chest = ease(30 + chest_late, 44 + chest_late)
        points = np.array([
            np.stack([100 * share, 60 * share + bow], 1) + breath,
            np.stack([40 * chest, 200 + 20 * chest * (1 - chest)], 1) + 0.8 * breath,
        ])  # fmt: skip
        points += np.random.default_rng(1).normal(0, 0.05, points.shape)
        found = review_paths(Tracks(("nose", "chest"), 1, points), clock=clock).findings
        return {f.kind for f in found if f.certain}

    assert kinds(3, 10, straight=False) == set()
    assert kinds(3, 10, straight=True) == {"straight-path"}
    assert kinds(3, 3, straight=False) == {"rushed-settle"}
    assert kinds(0, 10, straight=False) == {"locked-parts"}
