"""Not everything at once: a quiet intent has few things around its hit."""

from __future__ import annotations

import pytest
from plans import beat, plan_of

from planner.plan.crowding import FEWEST, HALF_S, MORE_AT_FULL

SAID = "well I told them that it was the THIRD one this week"


def around(plan):
    hit = next(s for s in plan.suggestions if s.kind == "accent" and s.text == "third")
    return [s for s in plan.suggestions if s.who == "clerk" and s.kind != "hold"
            and abs((s.hit or s.frames[0]) - hit.hit) <= HALF_S * 24 - 1]  # fmt: skip


@pytest.mark.parametrize("intent", ["amused", "pleading", "surprised", "angry", "teasing"])
@pytest.mark.parametrize("strength", [0.3, 0.6, 1.0])
def test_around_a_hit_there_is_no_more_than_its_strength_allows(intent, strength):
    plan = plan_of(SAID, beat("neutral", 1, 6), beat(intent, 7, 11, strength=strength))
    assert len(around(plan)) <= FEWEST + MORE_AT_FULL * strength


def test_the_point_itself_always_stays():
    plan = plan_of(SAID, beat("neutral", 1, 6), beat("pleading", 7, 11, strength=0.3))
    kinds = {s.kind for s in around(plan)}
    assert {"accent", "pose"} <= kinds
    marked = [s for s in plan.suggestions if "marked by" in s.because.intent]
    assert len(marked) == 1


def test_preparations_and_fingers_go_first():
    full, quiet = (
        {f"{s.kind} {s.part}" for s in around(plan_of(
            SAID, beat("neutral", 1, 6), beat("pleading", 7, 11, strength=s)))}
        for s in (1.0, 0.3)
    )  # fmt: skip
    assert any(k.startswith("follow") for k in full)
    assert not [k for k in quiet if k.endswith("fingers") or k.startswith("anticipation")]
