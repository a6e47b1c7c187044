"""What must hold for any tracks: no crash, and verdicts that do not depend on the point of view."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from audio.errors import TableError
from planner.frames import Clock, FrameRate
from planner.paths.bvh import parse_bvh
from planner.paths.findings import KINDS, overlap
from planner.paths.review import PathReview, review_paths
from planner.paths.track_file import parse_csv
from planner.paths.tracks import Tracks

CLOCK = Clock(FrameRate.parse("24"), 1)
NAMES = ("nose", "chest", "l_shoulder", "l_elbow", "l_wrist", "l_fingertip", "pt_1")


def figure(seed: int) -> np.ndarray:
    """A figure that moves by chance: eased moves, straight or not, with or without lag."""
    rng = np.random.default_rng(seed)
    frames = np.arange(200.0)
    made = []
    for base in ((0, -200), (0, 0), (60, -20), (100, 90), (200, 120), (260, 130), (400, 0)):
        points = np.tile(np.array(base, dtype=float), (200, 1))
        at = 10 + int(rng.integers(0, 5))
        while at < 170:
            length = int(rng.integers(6, 18))
            u = np.clip((frames - at) / length, 0, 1)
            ease = u**3 * (10 - 15 * u + 6 * u**2)
            way = rng.normal(0, 40, 2)
            bow = rng.choice([0.0, 0.5, -0.6]) * ease * (1 - ease)
            points += ease[:, None] * way + bow[:, None] * np.array([way[1], -way[0]])
            at += length + int(rng.integers(4, 30))
        made.append(points + rng.normal(0, 0.05, points.shape))
    return np.array(made)


def verdicts(review: PathReview, *, without: tuple[str, ...] = ()) -> list[Any]:
    return sorted(
        (f.kind, f.frames, f.parts, f.certain) for f in review.findings if f.kind not in without
    )


def review(points: np.ndarray) -> PathReview:
    return review_paths(Tracks(NAMES, 1, points), clock=CLOCK, who="clerk")


@given(st.integers(0, 10_000), st.floats(-900, 900), st.floats(-900, 900))
@settings(max_examples=12, deadline=None)
def test_verdicts_do_not_depend_on_where_the_figure_stands(seed: int, x: float, y: float) -> None:
    points = figure(seed)

    assert verdicts(review(points + np.array([x, y]))) == verdicts(review(points))


@given(st.integers(0, 10_000), st.sampled_from([0.125, 0.5, 2.0, 64.0]))
@settings(max_examples=12, deadline=None)
def test_verdicts_do_not_depend_on_the_unit(seed: int, scale: float) -> None:
    points = figure(seed)

    assert verdicts(review(points * scale)) == verdicts(review(points))


@given(st.integers(0, 10_000), st.sampled_from([90.0, 180.0, 270.0, 33.0]))
@settings(max_examples=12, deadline=None)
def test_verdicts_do_not_depend_on_a_turned_picture(seed: int, degrees: float) -> None:
    """All but one-axis, which is about the picture's own axes."""
    turn = np.radians(degrees)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    points = figure(seed)

    turned = verdicts(review(points @ matrix.T), without=("one-axis",))

    assert turned == verdicts(review(points), without=("one-axis",))


@given(st.integers(0, 10_000))
@settings(max_examples=12, deadline=None)
def test_time_backwards_swaps_who_leads_and_keeps_straight_paths(seed: int) -> None:
    points = figure(seed)
    ahead, back = review(points), review(points[:, ::-1])

    def straight(found: PathReview, *, mirrored: bool) -> list[Any]:
        return [
            (f.tracks, (201 - f.frames[1], 201 - f.frames[0]) if mirrored else f.frames)
            for f in found.findings if f.kind == "straight-path" and (mirrored or f.certain)
        ]  # fmt: skip

    for tracks, frames in straight(ahead, mirrored=False):
        twins = [other for t, other in straight(back, mirrored=True) if t == tracks]
        assert any(2 * overlap(frames, other) > frames[1] - frames[0] for other in twins)
    clear = [lag for lag in ahead.lags if lag.likeness > 0.95 and 1.0 < lag.lag_frames < 6.0]
    for lag in clear:
        twin = [
            m for m in back.lags
            if {m.leader, m.follower} == {lag.leader, lag.follower}
            and abs(201 - m.frames[1] - lag.frames[0]) <= lag.lag_frames + 3
        ]  # fmt: skip
        assert any(m.leader == lag.follower and abs(m.lag_frames - lag.lag_frames) < 1
                   for m in twin if m.likeness > 0.9) or not twin  # fmt: skip


@given(
    hnp.arrays(
        np.float64, st.tuples(st.integers(1, 3), st.integers(1, 60), st.sampled_from([2, 3])),
        elements=st.one_of(
            st.floats(-1e6, 1e6), st.just(float("nan")), st.sampled_from([0.0, 1.0, -1.0])
        ),
    ),
    st.sampled_from(["12", "23.976", "24", "60", "1000"]),
)  # fmt: skip
@settings(max_examples=100, deadline=None)
def test_no_positions_crash_a_review(points: np.ndarray, rate: str) -> None:
    tracks = Tracks(("nose", "l_elbow", "l_wrist")[: len(points)], 1, points)

    found = review_paths(tracks, clock=Clock(FrameRate.parse(rate) if rate != "1000" else
                                             FrameRate.parse("1000/1"), 1))  # fmt: skip

    assert {f.kind for f in found.findings} <= set(KINDS)
    text = repr(found.to_json())
    assert "nan" not in text and "inf" not in text.replace("infl", "")
    for f in found.findings:
        assert 1 <= f.frames[0] <= f.frames[1] <= tracks.last_frame


@given(st.text(alphabet="frame,.xyz\n0123456789-eE nosechi;\t\"'#", max_size=200))
@settings(max_examples=100, deadline=None)
def test_no_text_crashes_the_table_reader(text: str) -> None:
    try:
        parse_csv("frame,nose.x,nose.y\n" + text)
    except TableError as error:
        assert "\n" not in error.line()


@given(st.text(alphabet="{}HIERACYOTJNSDFMmes: 0123456789.-XYZrotanpi\n", max_size=200))
@settings(max_examples=100, deadline=None)
def test_no_text_crashes_the_skeleton_reader(text: str) -> None:
    for given_text in (text, f"HIERARCHY\nROOT a\n{{{text}}}\nMOTION\n{text}"):
        with pytest.raises(TableError) as caught:
            parse_bvh(given_text)
        assert "\n" not in caught.value.line()
