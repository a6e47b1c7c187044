"""The user's decisions: relative, kept through every new plan, never lost."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_scenes import two_handers
from made_voices import scene, voice

from planner.plan.decisions import decide
from planner.plan.make import make_plan
from planner.scene import Beat, Decision
from planner.scene.word_diff import new_places
from planner.shot import shot_of

SAID = "that is the THIRD lamp this week. and it RAINS"
ACCENT = "accent/head/1/w4s1"


def planned(*decisions, said=SAID, step=1, **more):
    made = scene(beats=[Beat("teasing", "clerk", 1, (1, 4))], step=step,
                 intents=MappingProxyType({"teasing": {"carriers": "head 1"}}))  # fmt: skip
    return make_plan(shot_of(replace(made, decisions=decisions), {1: voice(said, **more)}))


def by_id(plan, of):
    return next((s for s in plan.suggestions if s.id == of), None)


def test_keep_marks_and_changes_nothing():
    plain, kept = (
        by_id(planned(), ACCENT),
        by_id(planned(Decision(ACCENT, "keep", "third")), ACCENT),
    )
    assert kept == replace(plain, decision="keep")


def test_move_shifts_range_hit_and_chart():
    plain = by_id(planned(), ACCENT)
    moved = by_id(planned(Decision(ACCENT, "move", "third", by=-2)), ACCENT)
    assert moved.hit == plain.hit - 2
    assert moved.frames == (plain.frames[0] - 2, plain.frames[1] - 2)
    assert [m.frame + 2 for m in moved.timing_chart] == [m.frame for m in plain.timing_chart]
    assert moved.decision == "move"


def test_what_prepares_and_trails_a_hit_goes_along():
    plain = planned(lead_s=1.0)
    moved = planned(Decision(ACCENT, "move", "third", by=-2), lead_s=1.0)
    for of in ("anticipation/head/1/w4s1", "follow/chest/1/w4s1", "brow/brows/1/w4s1"):
        assert by_id(moved, of).hit == by_id(plain, of).hit - 2
        assert by_id(moved, of).decision is None


def test_a_follower_with_its_own_decision_stays_where_the_user_put_it():
    keep = Decision("follow/chest/1/w4s1", "keep", "third")
    plain = planned(lead_s=1.0)
    moved = planned(Decision(ACCENT, "move", "third", by=-2), keep, lead_s=1.0)
    assert by_id(moved, keep.of).hit == by_id(plain, keep.of).hit


def test_holds_make_room_for_a_moved_attitude():
    beats = [Beat("sad", "clerk", 1, (1, 7)), Beat("teasing", "clerk", 1, (8, 10))]
    decision = Decision("pose/whole/1/b2", "move", "and", by=-4)
    plan = make_plan(
        shot_of(
            scene(beats=beats, decisions=(decision,)), {1: voice(SAID, lead_s=1.0, pause_s=2.0)}
        )
    )
    pose = by_id(plan, "pose/whole/1/b2")
    for s in plan.suggestions:
        if s.kind == "hold" and s.part == "whole":
            assert s.frames[1] <= pose.frames[0] or s.frames[0] >= pose.frames[1]
    assert not plan.warnings


def test_a_move_stays_inside_the_shot():
    plan = planned(Decision(ACCENT, "move", "third", by=-500))
    assert by_id(plan, ACCENT).frames[0] == plan.shot[0]


def test_a_move_on_twos_lands_on_an_exposed_frame_unless_the_decision_is_on_ones():
    on_twos = by_id(planned(Decision(ACCENT, "move", "third", by=-1), step=2), ACCENT)
    assert (on_twos.hit - 1001) % 2 == 0
    plain = by_id(planned(step=2), ACCENT)
    on_ones = by_id(planned(Decision(ACCENT, "move", "third", by=-1, step=1), step=2), ACCENT)
    assert on_ones.hit == plain.hit - 1


def test_length_keeps_the_hit_and_gives_the_range_that_many_frames():
    plain = by_id(planned(), ACCENT)
    longer = by_id(planned(Decision(ACCENT, "length", "third", frames=21)), ACCENT)
    assert longer.hit == plain.hit
    assert longer.frames[1] - longer.frames[0] + 1 == pytest.approx(21, abs=1)


def test_drop_puts_the_suggestion_among_the_dropped():
    plan = planned(Decision(ACCENT, "drop", "third"))
    assert by_id(plan, ACCENT) is None
    assert [s.id for s in plan.dropped] == [ACCENT]
    assert plan.dropped[0].decision == "drop"


def test_two_main_moves_put_on_one_part_are_said():
    beats = [Beat("teasing", "clerk", 1, (1, 6)), Beat("sad", "clerk", 1, (7, 10))]
    decision = Decision("pose/whole/1/b2", "move", "week", by=-45)
    plan = make_plan(
        shot_of(scene(beats=beats, decisions=(decision,)), {1: voice(SAID, lead_s=1.0)})
    )
    assert any(w.startswith("pose/whole/1/b2 starts") or "pose/whole/1/b2 ends" in w
               for w in plan.warnings)  # fmt: skip


def test_a_second_decision_on_what_is_dropped_is_listed():
    plan = planned(Decision(ACCENT, "drop", "third"), Decision(ACCENT, "move", "third", by=1))
    assert plan.unplaced_decisions[0]["why"] == "already dropped"


def test_lock_holds_against_a_changed_intent():
    plan = planned()
    lock = decide(plan, ACCENT, "lock")
    made = scene(beats=[Beat("sad", "clerk", 1, (1, 4))],
                 intents=MappingProxyType({"sad": {"carriers": "chest 1"}}))  # fmt: skip
    again = make_plan(shot_of(replace(made, decisions=(lock,)), {1: voice(SAID)}))
    carried = ACCENT.replace("head", "chest")  # the lock follows the accent into what carries it
    old, locked = by_id(plan, ACCENT), by_id(again, carried)
    assert locked.hit == old.hit
    assert locked.frames[1] - locked.frames[0] == pytest.approx(
        old.frames[1] - old.frames[0], abs=1
    )
    free = make_plan(shot_of(made, {1: voice(SAID)}))
    assert by_id(free, carried).hit != old.hit


def test_a_locked_suggestion_moves_with_its_line():
    plan = planned()
    lock = decide(plan, ACCENT, "lock")
    later = scene([("clerk", 1.0)], beats=[Beat("teasing", "clerk", 1, (1, 4))])
    again = make_plan(shot_of(replace(later, decisions=(lock,)), {1: voice(SAID)}))
    assert by_id(again, ACCENT).hit == by_id(plan, ACCENT).hit + 24


def test_add_makes_an_accent_where_the_plan_had_none():
    of = "accent/head/1/w7s1"
    assert by_id(planned(), of) is None
    added = by_id(planned(Decision(of, "add", "week")), of)
    assert added.decision == "add"
    assert added.text == "week"
    assert added.because.source == "your own decision"


@pytest.mark.parametrize(
    "of",
    ["blink/lids/1/w2s1", "brow/brows/1/w2s1", "gesture/shoulders/1/w4s1", "hold/whole/1/p1",
     "breath/chest/1/p1", "head-move/head/1/w5s1", "look/eyes/1/w5s1", "weight-shift/hips/1/b1",
     "settle/head/1/w4s1", "follow/chest/1/w2s1", "laugh/chest/1/w7s1"],
)  # fmt: skip
def test_every_kind_can_be_added(of):
    plan = planned(Decision(of, "add"))
    added = by_id(plan, of)
    assert added is not None
    assert plan.shot[0] <= added.frames[0] <= added.frames[1] <= plan.shot[1]


def test_a_nod_may_be_added_for_a_listener():
    decision = Decision("accent/head/1@visitor/w4s1", "add", "third")
    made = scene(characters=("clerk", "visitor"), decisions=(decision,))
    plan = make_plan(shot_of(made, {1: voice(SAID)}))
    nod = by_id(plan, "accent/head/1@visitor/w4s1")
    assert nod.who == "visitor"
    assert by_id(plan, nod.rides_on).who == "visitor"


@pytest.mark.parametrize("of", ["accent/head/1/w99s1", "wave/head/1/w1s1", "accent/nose/1/w1s1",
                                "accent/head/7/w1s1", "nonsense"])  # fmt: skip
def test_what_cannot_be_added_is_listed(of):
    plan = planned(Decision(of, "add"))
    assert plan.unplaced_decisions[0]["of"] == of


def test_a_decision_names_its_line_by_id_or_number():
    named = scene(beats=[Beat("teasing", "clerk", 1, (1, 4))])
    named = replace(named, lines=(replace(named.lines[0], id="third"),))
    decision = Decision("accent/head/1/w4s1", "drop", "third")
    plan = make_plan(shot_of(replace(named, decisions=(decision,)), {1: voice(SAID)}))
    assert [s.id for s in plan.dropped] == ["accent/head/third/w4s1"]


def test_a_decision_follows_its_word_when_words_are_put_before_it():
    moved = planned(Decision(ACCENT, "move", "third", by=-2), said=f"oh well {SAID}")
    assert by_id(moved, "accent/head/1/w6s1").decision == "move"
    assert not moved.unplaced_decisions


def test_a_decision_whose_word_is_gone_is_listed_with_the_reason():
    plan = planned(Decision(ACCENT, "move", "third", by=-2), said="that is the FOURTH lamp")
    (left,) = plan.unplaced_decisions
    assert left == {"of": ACCENT, "do": "move", "word": "third", "by": -2,
                    "why": 'its word "third" is gone'}  # fmt: skip


def test_a_decision_on_what_no_longer_arises_is_listed():
    plan = planned(Decision(ACCENT, "move", "third", by=-2), said=SAID.replace("THIRD", "third"))
    (left,) = plan.unplaced_decisions
    assert left["why"] == "the plan no longer suggests it"


def test_a_replaced_take_keeps_decisions_on_their_words():
    decision = Decision(ACCENT, "move", "third", by=-2)
    slow = planned(decision, syllable_s=0.3)
    free = planned(syllable_s=0.3)
    assert by_id(slow, ACCENT).hit == by_id(free, ACCENT).hit - 2


def test_a_beats_decision_follows_its_first_word():
    beats = [Beat("sad", "clerk", 1, (1, 2)), Beat("teasing", "clerk", 1, (3, 6))]
    made = scene(beats=[beats[1]])
    of = "pose/whole/1/b2"
    decision = Decision(of, "move", "the", by=-1)
    with_first = make_plan(
        shot_of(replace(scene(beats=beats), decisions=(decision,)), {1: voice(SAID)})
    )
    assert by_id(with_first, of).decision == "move"
    more = (Beat("angry", "clerk", 1, (1, 1)), Beat("sad", "clerk", 1, (2, 2)), beats[1])
    again = make_plan(shot_of(replace(made, beats=more, decisions=(decision,)), {1: voice(SAID)}))
    assert by_id(again, "pose/whole/1/b3").decision == "move"


@pytest.mark.parametrize(
    ("old", "new", "places"),
    [
        ([(0, "the"), (3, "lamp")], "the third big lamp", {0: 0, 3: 3}),
        ([(0, "the"), (2, "the")], "oh the lamp the week", {0: 1, 2: 3}),
        ([(2, "the")], "the lamp oh and the week", {2: 0}),
        ([(1, "One"), (4, "one.")], "and one for you and one", {1: 1, 4: 5}),
        ([(1, "gone")], "nothing here", {}),
        ([(0, "a"), (1, "b")], "b a", {0: 1}),
    ],
)
def test_words_find_their_new_places_in_order(old, new, places):
    assert new_places(old, new.split()) == places


QUICK = settings(
    max_examples=50, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip


@QUICK
@given(two_handers(), st.data())
def test_no_decision_is_ever_lost(given_scene, data):
    """Whatever is decided and however line 1 is read again: applied, dropped, or listed."""
    lines, readings, beats = given_scene
    made = scene(lines, beats=beats)
    plan = make_plan(shot_of(made, readings))
    chosen = data.draw(st.lists(st.sampled_from(plan.suggestions), min_size=1, max_size=8,
                                unique_by=lambda s: s.id))  # fmt: skip
    dos = st.sampled_from(("keep", "move", "length", "drop", "lock"))
    decisions = tuple(decide(plan, s.id, data.draw(dos), by=2, frames=9) for s in chosen)
    words = " ".join(w.text for w in readings[1].words)
    other = voice(data.draw(st.sampled_from((words, words.upper(), f"ham {words}", "oak"))),
                  syllable_s=0.22)  # fmt: skip
    kept_beats = tuple(b for b in beats if b.line != 1)
    again = make_plan(
        shot_of(replace(made, beats=kept_beats, decisions=decisions), {**readings, 1: other})
    )
    applied = [s for s in again.suggestions if s.decision]
    assert len(applied) + len(again.dropped) + len(again.unplaced_decisions) == len(decisions)


@QUICK
@given(two_handers(), st.data())
def test_decisions_survive_a_plan_made_again(given_scene, data):
    lines, readings, beats = given_scene
    made = scene(lines, beats=beats)
    plan = make_plan(shot_of(made, readings))
    chosen = data.draw(st.lists(st.sampled_from(plan.suggestions), min_size=1, max_size=6,
                                unique_by=lambda s: s.id))  # fmt: skip
    decisions = tuple(decide(plan, s.id, "move", by=-1) for s in chosen)
    again = make_plan(shot_of(replace(made, decisions=decisions), readings))
    assert not again.unplaced_decisions
    assert {s.id for s in again.suggestions if s.decision == "move"} == {s.id for s in chosen}


def test_a_changed_frame_rate_keeps_decisions_relative():
    decision = Decision(ACCENT, "move", "third", by=-2)
    for rate in ("24", "25", "60"):
        made = scene(beats=[Beat("teasing", "clerk", 1, (1, 4))], rate=rate)
        free = by_id(make_plan(shot_of(made, {1: voice(SAID)})), ACCENT)
        moved = by_id(
            make_plan(shot_of(replace(made, decisions=(decision,)), {1: voice(SAID)})), ACCENT
        )
        assert moved.hit == free.hit - 2
