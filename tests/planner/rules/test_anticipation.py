"""Anticipations: back before forth, with room, and never without."""

from __future__ import annotations

from plans import beat, of_kind, plan_of


def test_it_ends_where_the_accent_starts_and_goes_the_other_way():
    plan = plan_of("that is the THIRD lamp", beat("teasing", 1, 5), lead_s=1.0)
    (back,), (hit,) = of_kind(plan, "anticipation", "head"), of_kind(plan, "accent")
    assert back.frames[1] == hit.frames[0]
    assert 3 <= back.frames[1] - back.hit <= 4  # held there before the key word
    assert "stop there for" in back.because.rule
    assert (back.direction, hit.direction) == ("up", "down")
    assert back.size < hit.size


def test_there_is_none_where_there_is_no_room():
    plan = plan_of("NOW go", beat("teasing", 1, 2), lead_s=0.02)
    assert not of_kind(plan, "anticipation")


def test_a_short_one_says_that_it_was_shortened():
    plan = plan_of("it is NOW the time", beat("teasing", 1, 5), lead_s=0.15)
    (back,) = of_kind(plan, "anticipation")
    assert "Shorter than it wants to be" in back.because.rule


def test_it_may_start_before_the_line_in_the_handles():
    plan = plan_of("NOW go", beat("neutral", 1, 2), lead_s=0.02, handles=24)
    (back,) = of_kind(plan, "anticipation", "head")
    assert back.frames[0] < plan.lines[0].frames[0]


def test_only_main_accents_are_prepared():
    plan = plan_of("YOU said it would all be DONE now", beat("angry", 1, 8), lead_s=1.0)
    main = {s.text for s in plan.lines[0].stresses if s.main}
    assert {s.text for s in of_kind(plan, "anticipation", "head")} <= main


def test_an_intent_without_preparation_gets_none():
    plan = plan_of("that is the THIRD lamp", beat("blunt", 1, 5), lead_s=1.0,
                   intents={"blunt": {"anticipation_ms": 0}})  # fmt: skip
    assert not of_kind(plan, "anticipation")
