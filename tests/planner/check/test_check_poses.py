"""Verdicts of key poses: lands, early, late, free, missed; the contract of the JSON."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.check.check_poses import check_poses, verdicts
from planner.check.played import Played
from planner.scene import PARTS, Beat, Heard, KeyPose
from planner.shot import shot_of

Maker = Callable[..., object]

STRESS = {
    "type": ["object", "null"], "additionalProperties": False,
    "required": ["line", "syllable", "text", "frame", "main"],
    "properties": {
        "line": {"type": "integer", "minimum": 1}, "syllable": {"type": "integer", "minimum": 0},
        "text": {"type": ["string", "null"]}, "frame": {"type": "integer"},
        "main": {"type": "boolean"},
    },
}  # fmt: skip
CONTRACT = {
    "type": "object", "additionalProperties": False,
    "required": ["linebeat", "ok", "poses", "missed", "findings", "summary"],
    "properties": {
        "linebeat": {"const": 1}, "ok": {"type": "boolean"},
        "poses": {"items": {
            "required": ["frame", "who", "part", "name", "verdict", "by_frames", "stress"],
            "additionalProperties": False,
            "properties": {
                "frame": {"type": "integer"}, "who": {"type": "string"},
                "part": {"enum": list(PARTS)}, "name": {"type": "string"},
                "verdict": {"enum": ["lands", "early", "late", "free"]},
                "by_frames": {"type": ["integer", "null"]}, "stress": STRESS,
            }}},
        "missed": {"items": {"required": ["who", "line", "syllable", "text", "frame", "main"]}},
        "findings": {"items": {
            "required": ["kind", "who", "frames", "parts", "measured", "usual", "certain", "text"],
            "properties": {
                "kind": {"enum": ["all-on-one-frame", "rushed-settle", "empty-hold",
                                  "early-reaction", "unmotivated-pose"]},
                "frames": {"type": "array", "minItems": 2, "maxItems": 2},
                "measured": {"type": "object"}, "usual": {"type": "object"},
                "certain": {"type": "boolean"},
            }}},
        "summary": {
            "required": ["main_accents", "main_landed", "stresses", "landed"],
            "additionalProperties": {"type": "integer", "minimum": 0},
        },
    },
}  # fmt: skip


def head(frame: int, who: str = "ada", part: str = "head") -> KeyPose:
    return KeyPose(frame, who, part)


@pytest.mark.parametrize(
    ("by", "verdict"),
    [
        (-9, "free"), (-8, "early"), (-5, "early"), (-4, "lands"), (0, "lands"), (1, "lands"),
        (2, "late"), (8, "late"), (9, "free"),
    ],
)  # fmt: skip
def test_a_head_pose_is_judged_by_its_distance(
    voice: Maker, scene_of: Maker, by: int, verdict: str
) -> None:
    """At 24: lands from -4 to +1, early or late up to 333 ms (8 frames), free beyond."""
    scene, readings = scene_of(voice([(1.0, "strong")]))

    result = check_poses(shot_of(scene, readings), [head(1025 + by)])

    judged = result.poses[0]
    assert judged.verdict == verdict
    assert judged.by_frames == (None if verdict == "free" else by)
    assert (len(result.missed) == 1) == (verdict == "free")
    assert result.ok == (verdict == "lands")


@pytest.mark.parametrize(
    ("by", "verdict"), [(-7, "early"), (-6, "lands"), (1, "lands"), (2, "late")]
)
@pytest.mark.parametrize("part", ["chest", "hips", "left hand", "whole", "shoulders"])
def test_a_body_pose_may_be_sooner(
    voice: Maker, scene_of: Maker, part: str, by: int, verdict: str
) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))

    result = check_poses(shot_of(scene, readings), [head(1025 + by, part=part)])

    assert result.poses[0].verdict == verdict


@pytest.mark.parametrize("rate", ["12", "23.976", "24", "25", "29.97df", "30", "50", "60"])
def test_the_stress_stands_on_the_frame_on_screen_at_its_vowel(
    voice: Maker, scene_of: Maker, rate: str
) -> None:
    """Contract arithmetic: first_frame + floor((at_s + t) * rate + 1e-4)."""
    scene, readings = scene_of(voice([(1.0, "strong")]), at_s=[0.5], rate=rate)
    frame = 1001 + int(1.5 * float(scene.rate.frames_per_s) + 1e-4)

    result = check_poses(shot_of(scene, readings), [head(frame)])

    assert result.poses[0].stress is not None
    assert result.poses[0].stress.frame == frame


def test_without_poses_every_main_accent_is_missed(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong"), (2.0, "light")]))

    result = check_poses(shot_of(scene, readings))

    assert not result.ok
    assert [(s.frame, s.main) for s in result.missed] == [(1025, True), (1049, False)]
    assert result.summary.to_json() == {
        "main_accents": 1, "main_landed": 0, "stresses": 2, "landed": 0,
    }  # fmt: skip


def test_a_light_stress_without_a_pose_is_listed_and_not_held_against(
    voice: Maker, scene_of: Maker
) -> None:
    scene, readings = scene_of(voice([(1.0, "strong"), (1.6, "light")]))

    result = check_poses(shot_of(scene, readings), [head(1023)])

    assert [s.main for s in result.missed] == [False]
    assert result.ok


def test_a_settle_near_a_light_stress_is_not_early_for_it(voice: Maker, scene_of: Maker) -> None:
    """Accent on 1023, at rest on 1033; a light stress on 1039 is 6 frames later."""
    scene, readings = scene_of(voice([(1.0, "strong"), (1.6, "light")]))

    result = check_poses(shot_of(scene, readings), [head(1023), head(1033)])

    assert [p.verdict for p in result.poses] == ["lands", "free"]
    assert result.ok


def test_a_pose_between_two_stresses_serves_the_stronger(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "light"), (1.125, "strong")]))

    result = check_poses(shot_of(scene, readings), [head(1025)])

    assert result.poses[0].stress is not None
    assert result.poses[0].stress.frame == 1028


def test_a_character_is_checked_against_its_own_voice_only(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]), who=["ada", "bo"])

    result = check_poses(shot_of(scene, readings), [head(1024, who="bo")])

    assert result.poses[0].verdict == "free"
    assert [s.who for s in result.missed] == ["ada"]


def test_each_part_is_paired_for_itself_and_any_of_them_serves(
    voice: Maker, scene_of: Maker
) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))

    result = check_poses(shot_of(scene, readings), [head(1023), head(1024, part="chest")])

    assert [p.verdict for p in result.poses] == ["lands", "lands"]
    assert (result.summary.stresses, result.summary.landed) == (1, 1)


def test_a_follower_may_land_later_by_its_lag_if_its_leader_lands(
    voice: Maker, scene_of: Maker
) -> None:
    """Neutral: the head leads, followers trail by up to 146 ms (4 frames at 24)."""
    scene, readings = scene_of(voice([(1.0, "strong")]))
    lag = Played(shot_of(scene, readings)).lag_frames("chest", "ada", 1025)
    last = head(1025 + 1 + lag, part="chest")
    beyond = head(1025 + 2 + lag, part="chest")

    led = check_poses(shot_of(scene, readings), [head(1023), last])
    too_far = check_poses(shot_of(scene, readings), [head(1023), beyond])
    alone = check_poses(shot_of(scene, readings), [last])

    assert lag == 4
    assert [p.verdict for p in led.poses] == ["lands", "lands"]
    assert [p.verdict for p in too_far.poses] == ["lands", "late"]
    assert alone.poses[0].verdict == "late"


def test_an_intent_says_who_leads(voice: Maker, scene_of: Maker) -> None:
    """Proud leads with the chest: now the head may trail and the chest may not."""
    beat = Beat("proud", "ada", frames=(1001, 1090))
    scene, readings = scene_of(voice([(1.0, "strong")]), beats=(beat,))

    result = check_poses(shot_of(scene, readings), [head(1028), head(1024, part="chest")])

    assert [(p.pose.part, p.verdict) for p in result.poses] == [
        ("chest", "lands"),
        ("head", "lands"),
    ]


def test_the_scene_sets_its_own_tolerance(voice: Maker, scene_of: Maker) -> None:
    tolerance = MappingProxyType({"head": (-1, 0)})
    scene, readings = scene_of(voice([(1.0, "strong")]), tolerance=tolerance)

    assert check_poses(shot_of(scene, readings), [head(1023)]).poses[0].verdict == "early"
    assert check_poses(shot_of(scene, readings), [head(1026)]).poses[0].verdict == "late"
    assert check_poses(shot_of(scene, readings), [head(1025)]).poses[0].verdict == "lands"


def test_an_intent_sets_its_own_tolerance_and_the_scene_the_rest(
    voice: Maker, scene_of: Maker
) -> None:
    """An intent stricter about the head; at strength 0.5 half-way to neutral's -4..+1."""
    intents = MappingProxyType({"crisp": {"early_head_ms": 83.4, "late_head_ms": 0}})
    tolerance = MappingProxyType({"head": (-6, 2)})

    def verdict(frame: int, strength: float, **parts: object) -> str:
        beat = Beat("crisp", "ada", frames=(1001, 1090), strength=strength)
        scene, readings = scene_of(
            voice([(1.0, "strong")]), beats=(beat,), intents=intents, **parts
        )
        return check_poses(shot_of(scene, readings), [head(frame)]).poses[0].verdict

    assert [verdict(f, 1.0) for f in (1022, 1023, 1025, 1026)] == [
        "early",
        "lands",
        "lands",
        "late",
    ]
    assert [verdict(f, 0.5) for f in (1021, 1022)] == ["early", "lands"]
    assert verdict(1022, 1.0, tolerance=tolerance) == "early"
    scene, readings = scene_of(voice([(1.0, "strong")]), tolerance=tolerance)
    assert check_poses(shot_of(scene, readings), [head(1019)]).poses[0].verdict == "lands"


def test_eyes_lids_and_jaw_keep_their_own_time(voice: Maker, scene_of: Maker) -> None:
    """Eyes lead and lids blink: near a stress they are never early or late."""
    scene, readings = scene_of(voice([(1.0, "strong")]))

    for part in ("eyes", "lids", "jaw"):
        result = check_poses(shot_of(scene, readings), [head(1018, part=part), head(1023)])
        assert [p.verdict for p in result.poses] == ["free", "lands"]
        assert result.ok


def test_the_users_ear_overrules_the_reading(voice: Maker, scene_of: Maker) -> None:
    from dataclasses import replace

    scene, readings = scene_of(voice([(1.0, "strong"), (2.0, "light")]))
    line = replace(scene.lines[0], heard=Heard(stress=(2,), unstress=(1,)))
    scene = replace(scene, lines=(line,))

    result = check_poses(shot_of(scene, readings), [head(1047)])

    assert [(s.frame, s.main) for s in result.missed] == []
    assert result.summary.main_landed == 1


def test_a_line_that_was_not_read_is_left_out(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]), voice([(1.0, "strong")]), at_s=[0, 5])

    result = check_poses(shot_of(scene, {1: readings[1]}), [])

    assert [s.line for s in result.missed] == [1]


def test_one_character_alone(voice: Maker, scene_of: Maker) -> None:
    one = voice([(1.0, "strong")])
    scene, readings = scene_of(one, one, who=["ada", "bo"], at_s=[0, 5])

    result = check_poses(shot_of(scene, readings), [head(1023)], who="ada")

    assert result.ok
    assert result.summary.main_accents == 1


def test_verdicts_come_in_the_order_of_the_poses(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong"), (2.0, "strong")]))
    poses = [head(1052), head(1023), head(1046, part="chest")]

    found = verdicts(shot_of(scene, readings), poses)

    assert [v.pose for v in found] == poses
    assert [v.verdict for v in found] == ["late", "lands", "lands"]


POSE = st.builds(
    KeyPose,
    frame=st.integers(900, 1200), who=st.sampled_from(["ada", "bo"]),
    part=st.sampled_from(PARTS), name=st.text(max_size=5),
)  # fmt: skip
STRESSES = st.lists(
    st.tuples(st.floats(0.1, 3.8), st.sampled_from(["none", "light", "strong"])), max_size=8
).map(sorted)
QUIET = settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@QUIET
@given(STRESSES, STRESSES, st.lists(POSE, max_size=25))
def test_any_poses_give_the_contract(
    voice: Maker, scene_of: Maker, first: list, second: list, poses: list[KeyPose]
) -> None:
    scene, readings = scene_of(voice(first), voice(second), who=["ada", "bo"], at_s=[0, 3.0])

    result = check_poses(shot_of(scene, readings), poses)

    data = result.to_json()
    jsonschema.validate(data, CONTRACT)
    assert len(data["poses"]) == len(poses)
    quick = sorted((v.pose.frame, v.verdict) for v in verdicts(shot_of(scene, readings), poses))
    assert quick == sorted((v.pose.frame, v.verdict) for v in result.poses)


@QUIET
@given(STRESSES, st.lists(POSE, max_size=15), POSE)
def test_one_more_pose_never_lowers_what_landed(
    voice: Maker, scene_of: Maker, stresses: list, poses: list[KeyPose], extra: KeyPose
) -> None:
    scene, readings = scene_of(voice(stresses), who=["ada", "bo"])

    before = check_poses(shot_of(scene, readings), poses).summary
    after = check_poses(shot_of(scene, readings), [*poses, extra]).summary

    assert after.landed >= before.landed
    assert after.main_landed >= before.main_landed


@QUIET
@given(STRESSES, st.lists(POSE, max_size=15), st.integers(-5000, 5000))
def test_shifting_scene_and_poses_together_changes_nothing(
    voice: Maker, scene_of: Maker, stresses: list, poses: list[KeyPose], shift: int
) -> None:
    here, readings = scene_of(voice(stresses), who=["ada", "bo"])
    there, _ = scene_of(voice(stresses), who=["ada", "bo"], first_frame=1001 + shift)
    moved = [KeyPose(p.frame + shift, p.who, p.part, p.name) for p in poses]

    a, b = check_poses(shot_of(here, readings), poses), check_poses(shot_of(there, readings), moved)

    assert [(p.verdict, p.by_frames) for p in a.poses] == [
        (p.verdict, p.by_frames) for p in b.poses
    ]
    assert a.ok == b.ok
    assert a.summary == b.summary
    assert [(f.kind, f.frames[0] + shift, f.certain) for f in a.findings] == [
        (f.kind, f.frames[0], f.certain) for f in b.findings
    ]
