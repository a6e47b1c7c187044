"""Frames and seconds: exact at every rate, one way to round, one way to snap."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.frames import (
    Clock,
    FrameRate,
    feet_and_frames,
    index_of_timecode,
    on_step,
    round_half_away,
    timecode,
)

RATES = ["12", "23.976", "24", "25", "29.97", "29.97df", "30", "48", "50", "59.94", "59.94df", "60",
         "24000/1001", "25/2", "120/1", "1/1", "1000/1"]  # fmt: skip
A_DAY_S = 86_400


@pytest.mark.parametrize("text", RATES)
def test_a_frames_own_start_lies_in_that_frame(text: str) -> None:
    """t = n / rate is on frame n, not n - 1, whatever the float division gives."""
    rate = FrameRate.parse(text)
    day = int(A_DAY_S * rate.frames_per_s)
    indexes = [*range(5000), *range(5000, day, max(1, day // 20_000)), day]

    assert [rate.index_at(rate.start_s(n)) for n in indexes] == indexes
    assert [rate.index_at(n / float(rate.frames_per_s)) for n in indexes] == indexes


@pytest.mark.parametrize("text", RATES)
def test_just_before_a_frames_start_is_the_frame_before(text: str) -> None:
    rate = FrameRate.parse(text)
    early_s = 0.01 / float(rate.frames_per_s)  # a hundredth of a frame

    assert all(rate.index_at(rate.start_s(n) - early_s) == n - 1 for n in range(1, 5000))


@pytest.mark.parametrize("text", RATES)
def test_a_rate_reads_back_as_it_is_shown(text: str) -> None:
    rate = FrameRate.parse(text)
    shown = str(rate)

    assert FrameRate.parse(shown) == rate


@pytest.mark.parametrize(
    "text", ["", "0", "-24", "23", "24.5", "1/0", "0/1", "nan", "inf", "1e3", "24fps", "24/", "df",
             "9999999/1", "2000/1", "1/2", "\u0662\u0664", "24 000/1001", "59/2df", "9" * 400]
)  # fmt: skip
def test_what_is_no_rate_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"rate|drop-frame"):
        FrameRate.parse(text)


@pytest.mark.parametrize(
    ("text", "nominal"),
    [("23.976", 24), ("29.97", 30), ("59.94", 60), ("25/2", 13)],
)
def test_labels_a_second_are_the_next_whole_number(text: str, nominal: int) -> None:
    assert FrameRate.parse(text).nominal == nominal


@pytest.mark.parametrize(
    ("value", "rounded"),
    [(0.5, 1), (-0.5, -1), (1.5, 2), (2.5, 3), (-2.5, -3), (2.4999, 2), (-2.4999, -2), (0.0, 0)],
)
def test_halves_round_away_from_zero(value: float, rounded: int) -> None:
    assert round_half_away(value) == rounded


@pytest.mark.parametrize(
    ("milliseconds", "at_12", "at_24", "at_25", "at_30", "at_60"),
    # common practice: 3 frames at 24 are 125 ms, 2 are 83; tolerance -4..+1 and -6..+1 at 24
    [(125.0, 2, 3, 3, 4, 8), (250 / 3, 1, 2, 2, 3, 5), (500 / 3, 2, 4, 4, 5, 10),
     (250.0, 3, 6, 6, 8, 15), (125 / 3, 1, 1, 1, 1, 3), (333.0, 4, 8, 8, 10, 20)],
)  # fmt: skip
def test_lengths_in_milliseconds_become_frames_of_the_rate(
    milliseconds: float, at_12: int, at_24: int, at_25: int, at_30: int, at_60: int
) -> None:
    frames = [FrameRate.parse(r).frames_of_ms(milliseconds) for r in ("12", "24", "25", "30", "60")]

    assert frames == [at_12, at_24, at_25, at_30, at_60]


@pytest.mark.parametrize(
    ("milliseconds", "at_24", "at_25", "at_30"),
    # ITU-R BT.1359, EBU R37 and ATSC IS-191 limits in frames, by arithmetic
    [(15, 0.36, 0.38, 0.45), (45, 1.08, 1.13, 1.35), (60, 1.44, 1.5, 1.8), (90, 2.16, 2.25, 2.7),
     (125, 3.0, 3.13, 3.75), (185, 4.44, 4.63, 5.55)],
)  # fmt: skip
def test_published_sync_limits_in_frames(
    milliseconds: int, at_24: float, at_25: float, at_30: float
) -> None:
    for text, frames in (("24", at_24), ("25", at_25), ("30", at_30)):
        rate = FrameRate.parse(text)

        assert float(rate.frames_per_s) * milliseconds / 1000 == pytest.approx(frames, abs=0.0051)
        assert rate.frames_of_ms(milliseconds) == round_half_away(frames)


def test_on_twos_the_exposed_frames_are_the_odd_ones_from_1001() -> None:
    """Common practice (Whitaker & Halas): on twos drawings stand on frames 1, 3, 5."""
    clock = Clock(FrameRate.parse("24"), first_frame=1001, step=2)

    assert [clock.exposed(f) for f in range(1001, 1008)] == [
        1001, 1001, 1003, 1003, 1005, 1005, 1007]  # fmt: skip


def test_on_threes_the_nearer_exposed_frame_is_taken() -> None:
    assert [on_step(f, first_frame=1, step=3) for f in range(1, 9)] == [1, 1, 4, 4, 4, 7, 7, 7]


def test_snapping_works_before_the_first_frame() -> None:
    assert [on_step(f, first_frame=1001, step=2) for f in (998, 999, 1000)] == [997, 999, 999]


@given(frame=st.integers(-10_000, 10_000), first=st.integers(-2000, 2000), step=st.integers(1, 12))
def test_a_snapped_frame_is_exposed_near_and_the_earlier_of_two(
    frame: int, first: int, step: int
) -> None:
    snapped = on_step(frame, first_frame=first, step=step)

    assert (snapped - first) % step == 0
    assert abs(snapped - frame) * 2 <= step
    if abs(snapped - frame) * 2 == step:
        assert snapped < frame


@given(index=st.integers(0, 10_000_000), text=st.sampled_from(RATES))
def test_timecode_reads_back_within_a_day(index: int, text: str) -> None:
    rate = FrameRate.parse(text)
    label = timecode(index, rate)
    day = index_of_timecode(_last_label(rate), rate) + 1

    assert index_of_timecode(label, rate) == index % day


def _last_label(rate: FrameRate) -> str:
    mark = ";" if rate.drop else ":"
    return f"23:59:59{mark}{rate.nominal - 1:02d}"


def test_time_before_the_first_frame_has_a_minus() -> None:
    rate = FrameRate.parse("24")

    assert timecode(-25, rate) == "-00:00:01:01"
    assert feet_and_frames(-17) == "-1+01"


@pytest.mark.parametrize(
    "label", ["", "1:2:3:4", "24:00:00:00", "00:60:00:00", "00:00:60:00", "00:00:00:24", "00:00:00"]
)
def test_labels_that_do_not_exist_are_refused(label: str) -> None:
    with pytest.raises(ValueError, match="no timecode"):
        index_of_timecode(label, FrameRate.parse("24"))


@pytest.mark.parametrize("text", RATES)
def test_a_scenes_frames_and_seconds_are_inverse(text: str) -> None:
    clock = Clock(FrameRate.parse(text), first_frame=1001)

    assert all(clock.frame_at(clock.scene_s(f)) == f for f in range(900, 3000))


def test_a_line_that_begins_on_a_frame_keeps_its_frames() -> None:
    """at_s + t in floats lands on first_frame + floor(exact)."""
    for text in RATES:
        rate = FrameRate.parse(text)
        clock = Clock(rate, first_frame=1001)
        for at in (1001, 1058, 2977, 87_400):
            for n in range(200):
                t_s = float(Fraction(n) / rate.frames_per_s)

                assert clock.frame_at(clock.scene_s(at) + t_s) == at + n
