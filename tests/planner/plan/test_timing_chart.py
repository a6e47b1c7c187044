"""Timing charts: which drawings stand between the keys."""

from __future__ import annotations

import pytest

from planner.plan.timing_chart import breakdown_frame, cut_chart, favouring, timing_chart


def test_on_ones_every_frame_between_the_keys_is_a_drawing():
    chart = timing_chart([(1001, 0.0), (1007, 1.0)], ease="linear", step=1)
    assert [m.frame for m in chart] == list(range(1001, 1008))
    assert [m.mark for m in chart].count("key") == 2
    assert next(m for m in chart if m.mark == "breakdown").frame == 1004


def test_on_twos_every_second_frame_is_a_drawing():
    chart = timing_chart([(1001, 0.0), (1009, 1.0)], ease="cubic", step=2)
    assert [m.frame for m in chart] == [1001, 1003, 1005, 1007, 1009]
    assert chart[2].mark == "breakdown"
    assert chart[2].at == pytest.approx(0.5)


def test_shares_are_the_eases_own():
    """Minimum jerk at a quarter of the time: 0.10352 of the way (references, section 9, C)."""
    chart = timing_chart([(1, 0.0), (9, 1.0)], ease="minimum-jerk", step=1)
    assert next(m for m in chart if m.frame == 3).at == pytest.approx(0.10352, abs=1e-5)


def test_a_move_out_and_back_has_two_breakdowns():
    chart = timing_chart([(1, 0.0), (5, 1.0), (11, 0.0)], ease="sine", step=1)
    assert [m.frame for m in chart if m.mark == "breakdown"] == [3, 8]
    assert [m.at for m in chart if m.mark == "key"] == [0.0, 1.0, 0.0]


def test_keys_on_one_frame_become_one():
    assert len(timing_chart([(5, 0.0), (5, 1.0)], ease="sine", step=1)) == 1


def test_there_is_no_breakdown_where_there_is_no_drawing_between():
    assert breakdown_frame(1001, 1002, 1) is None
    assert breakdown_frame(1001, 1003, 2) is None


@pytest.mark.parametrize(
    ("at", "words"), [(0.5, "half"), (0.34, "a third"), (0.65, "two thirds"), (0.76, "three q")]
)
def test_a_breakdowns_place_is_said_in_halves_and_thirds(at, words):
    assert favouring(at).startswith(words)


def test_a_cut_chart_has_keys_at_its_new_ends():
    chart = cut_chart(timing_chart([(1, 0.0), (9, 1.0)], ease="linear", step=2), 2, 7)
    assert [(m.frame, m.mark) for m in chart] == [
        (2, "key"), (3, "inbetween"), (5, "breakdown"), (7, "key")]  # fmt: skip
    assert [m.at for m in chart] == pytest.approx([1 / 8, 2 / 8, 4 / 8, 6 / 8])
