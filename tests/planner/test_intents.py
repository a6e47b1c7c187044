"""The table of intents: complete, checked, changed by a scene, blended by strength."""

from __future__ import annotations

from dataclasses import fields, replace
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_voices import scene, voice

from audio.errors import SceneError, TableError
from planner.intents import CHOICES, Intent, blend, load_intents, scene_intents, table_of
from planner.plan.make import make_plan
from planner.scene import Beat
from planner.shot import shot_of

NAMES = (
    "neutral", "teasing", "surprised", "amused", "proud", "pleading", "embarrassed", "relieved",
    "curious", "suspicious", "angry", "tender", "sad", "impatient", "confident", "frightened",
    "thoughtful", "disgusted",
)  # fmt: skip


def with_intents(made, **intents):
    return replace(made, intents=MappingProxyType(intents), places={"beats/0": 9, "intents/x": 20})


def test_the_shipped_table_has_every_intent_with_a_reason():
    table = load_intents()
    assert set(NAMES) <= set(table)
    for intent in table.values():
        assert intent.reason.endswith("."), intent.name
        assert "\n" not in intent.reason
        assert intent.attitude


def test_no_two_intents_move_alike():
    moves = [replace(i, name="", reason="", attitude="") for i in load_intents().values()]
    for i, a in enumerate(moves):
        for b in moves[i + 1 :]:
            differing = [f.name for f in fields(Intent) if getattr(a, f.name) != getattr(b, f.name)]
            assert len(differing) >= 5


@pytest.mark.parametrize("name", NAMES)
def test_drifts_and_lags_stay_within_common_practice(name):
    intent = load_intents()[name]
    assert intent.hold_drift_ratio <= 0.05  # at most a twentieth of the move
    assert 42 <= intent.follow_lag_ms <= 250  # 1-6 frames at 24
    assert 83 <= intent.overshoot_ms <= 167  # 2-4 frames at 24
    assert 250 <= intent.settle_ms <= 585  # 6-14 frames at 24
    assert 42 <= intent.lead_head_ms <= 125  # 1-3 frames at 24, about two


def test_a_scene_may_base_its_own_intent_on_another():
    made = with_intents(scene(), impressing={"based_on": "proud", "lead": "hips"})
    table = scene_intents(made)
    assert table["impressing"].lead == "hips"
    assert table["impressing"].pose_ms == table["proud"].pose_ms


def test_a_scene_may_change_a_shipped_intent():
    table = scene_intents(with_intents(scene(), teasing={"pose_ms": "300"}))
    assert table["teasing"].pose_ms == 300
    assert table["teasing"].tilt == load_intents()["teasing"].tilt


def test_own_intents_may_be_based_on_each_other_in_any_order():
    made = with_intents(scene(), b={"based_on": "a"}, a={"based_on": "sad", "gaze": "up"})
    assert scene_intents(made)["b"].gaze == "up"


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"based_on": "prowd"}, 'based_on names no intent "prowd"; did you mean "proud"?'),
        ({"based_on": "x"}, "based_on goes round in a circle"),
        ({"pose_mz": 3}, 'intent x has no quality "pose_mz"; did you mean "pose_ms"?'),
        ({"pose_ms": "soon"}, "intent x: pose_ms is soon; give a number between 0 and 3000"),
        ({"pose_size": 1.5}, "intent x: pose_size is 1.5; give a number between 0 and 1"),
        ({"lead": "nose"}, 'intent x: lead is "nose"; choose from head, chest, hips, eyes'),
        ({"parts_together": "maybe"}, "intent x: parts_together is maybe; say yes or no"),
    ],
)
def test_a_mistake_in_a_scenes_intents_names_place_and_mend(entry, words):
    with pytest.raises(SceneError) as caught:
        scene_intents(with_intents(scene(), x=entry))
    assert caught.value.line().startswith("scene.yaml:20: ")
    assert words in caught.value.line()


def test_an_unknown_intent_of_a_beat_names_the_nearest():
    made = replace(scene(beats=[Beat("teazing", "clerk", 1, (1, 2))]), places={"beats/0": 9})
    with pytest.raises(SceneError, match='unknown intent "teazing"; did you mean "teasing"') as e:
        make_plan(shot_of(made, {1: voice("that IS it")}))
    assert e.value.line().startswith("scene.yaml:9: ")


def test_a_studios_table_needs_neutral():
    with pytest.raises(TableError, match="needs the intent neutral"):
        table_of({"proud": {}}, file="ours.yaml")


@given(st.sampled_from(NAMES), st.floats(0, 1))
def test_strength_blends_lengths_from_neutral(name, strength):
    table = load_intents()
    neutral, whole = table["neutral"], table[name]
    mixed = blend(whole, neutral, strength)
    low, high = sorted((neutral.pose_ms, whole.pose_ms))
    assert low - 1e-9 <= mixed.pose_ms <= high + 1e-9
    for choice in CHOICES:
        kept = whole if strength >= 0.3 else neutral
        assert getattr(mixed, choice) == getattr(kept, choice)


def test_full_strength_is_the_intent_itself():
    table = load_intents()
    for intent in table.values():
        assert blend(intent, table["neutral"], 1.0) == intent
