"""Each kind of finding, by hand and as planted in the demo's poses; one test a rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from audio.reading import VoiceReading
from planner.check.check_poses import check_poses
from planner.check.pose_file import read_poses
from planner.check.result import CheckResult, Finding
from planner.commands._shared import read_lines
from planner.plan.make import make_plan
from planner.scene import Beat, Cue, KeyPose, Scene
from planner.scene_file import read_scene
from planner.shot import shot_of

Maker = Callable[..., Any]


def pose(frame: int, part: str = "head", who: str = "ada") -> KeyPose:
    return KeyPose(frame, who, part)


def found(result: CheckResult, kind: str) -> list[Finding]:
    return [f for f in result.findings if f.kind == kind]


# The demo: what was planted in poses_v1.csv, known here and nowhere in the code ----------------

PLANTED = (
    # kind, who, first frame, last frame, certain
    ("rushed-settle", "clerk", 1018, 1021, True),
    ("early-reaction", "visitor", 1019, 1019, True),
    ("all-on-one-frame", "visitor", 1067, 1067, True),
    ("unmotivated-pose", "clerk", 1440, 1440, False),
    ("empty-hold", "visitor", 1270, 1388, False),
)
OFF = (("late", "clerk", 1283, 3, "course"), ("early", "clerk", 1335, -6, "yours"))
MISSED = ("visitor", "daughter's")


@pytest.fixture(scope="module")
def demo(
    demo_scenes: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Scene, Mapping[int, VoiceReading]]:
    scene = read_scene(demo_scenes / "lost_umbrella" / "scene.yaml")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LINEBEAT_STORE", str(tmp_path_factory.getbasetemp() / "readings"))
        return scene, read_lines(scene)


def demo_check(demo: tuple[Scene, Mapping[int, VoiceReading]], version: int) -> CheckResult:
    scene, readings = demo
    table = read_poses(Path(scene.folder) / f"poses_v{version}.csv", scene.characters)
    plan = make_plan(shot_of(scene, readings))
    return check_poses(shot_of(scene, readings), table.poses, plan=plan)


def test_every_planted_finding_is_found_within_a_frame(
    demo: tuple[Scene, Mapping[int, VoiceReading]],
) -> None:
    result = demo_check(demo, 1)

    for kind, who, first, last, certain in PLANTED:
        near = [
            f for f in found(result, kind)
            if f.who == who and abs(f.frames[0] - first) <= 1 and abs(f.frames[1] - last) <= 1
        ]  # fmt: skip
        assert len(near) == 1, kind
        assert near[0].certain == certain, kind


def test_every_planted_early_and_late_pose_is_found_within_a_frame(
    demo: tuple[Scene, Mapping[int, VoiceReading]],
) -> None:
    result = demo_check(demo, 1)

    off = [p for p in result.poses if p.verdict in ("early", "late")]
    assert [(p.verdict, p.pose.who, p.pose.frame) for p in off] == [o[:3] for o in OFF]
    for judged, (_, _, _, by, word) in zip(off, OFF, strict=True):
        assert judged.stress is not None
        assert judged.stress.text == word
        assert abs((judged.by_frames or 0) - by) <= 1


def test_the_planted_missed_accent_is_found_and_no_other(
    demo: tuple[Scene, Mapping[int, VoiceReading]],
) -> None:
    result = demo_check(demo, 1)

    assert [(s.who, s.text) for s in result.missed if s.main] == [MISSED]
    assert not result.ok


def test_the_mended_version_is_ok_and_nothing_in_it_is_certain(
    demo: tuple[Scene, Mapping[int, VoiceReading]],
) -> None:
    result = demo_check(demo, 2)

    assert [f for f in result.findings if f.certain] == []
    assert [p for p in result.poses if p.verdict in ("early", "late")] == []
    assert result.summary.main_landed == result.summary.main_accents
    assert result.ok


# All on one frame --------------------------------------------------------------------------------


def test_parts_on_one_frame_are_found(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))

    result = check_poses(shot_of(scene, readings), [pose(1023), pose(1023, "chest")])

    (finding,) = found(result, "all-on-one-frame")
    assert finding.frames == (1023, 1023)
    assert finding.parts == ("chest", "head")
    assert finding.certain
    assert not result.ok


@pytest.mark.parametrize(
    "parts",
    [
        ("head",),
        ("left hand", "right hand"),
        ("head", "whole"),
        ("head", "eyes"),
        ("head", "brows"),
    ],
)
def test_one_link_of_the_body_is_no_block(
    voice: Maker, scene_of: Maker, parts: tuple[str, ...]
) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))

    result = check_poses(shot_of(scene, readings), [pose(1023, part) for part in parts])

    assert found(result, "all-on-one-frame") == []


def test_a_part_that_trails_is_an_offset(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))
    poses = [pose(1023), pose(1023, "chest"), pose(1025, "right hand")]

    assert found(check_poses(shot_of(scene, readings), poses), "all-on-one-frame") == []


def test_an_intent_may_move_all_parts_together(voice: Maker, scene_of: Maker) -> None:
    """Angry plays on one frame by choice (parts_together of the intents table)."""
    beat = Beat("angry", "ada", frames=(1001, 1090))
    scene, readings = scene_of(voice([(1.0, "strong")]), beats=(beat,))

    result = check_poses(shot_of(scene, readings), [pose(1023), pose(1023, "chest")])

    assert found(result, "all-on-one-frame") == []


# Rushed settle -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("took", "flagged", "certain"),
    [(3, True, True), (4, True, True), (5, True, False), (6, False, False), (14, False, False)],
)
def test_a_settle_usually_takes_six_frames_or_more(
    voice: Maker, scene_of: Maker, took: int, flagged: bool, certain: bool
) -> None:
    """6-14 frames at 24; sure from two frames short of it (one exposure step is the error)."""
    scene, readings = scene_of(voice([(1.0, "strong")]))

    settles = found(
        check_poses(shot_of(scene, readings), [pose(1023), pose(1023 + took)]), "rushed-settle"
    )

    assert bool(settles) == flagged
    assert [f.certain for f in settles] == [certain] * flagged
    assert [f.measured["settle_frames"] for f in settles] == [took] * flagged


def test_an_overshoot_before_the_rest_is_part_of_the_settle(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))

    result = check_poses(shot_of(scene, readings), [pose(1023), pose(1026), pose(1032)])

    assert found(result, "rushed-settle") == []


def test_a_pose_that_may_prepare_the_next_accent_is_no_settle(
    voice: Maker, scene_of: Maker
) -> None:
    scene, readings = scene_of(voice([(1.0, "strong"), (1.6, "strong")]))

    result = check_poses(shot_of(scene, readings), [pose(1023), pose(1028), pose(1037)])

    assert found(result, "rushed-settle") == []


def test_a_tender_settle_is_longer(voice: Maker, scene_of: Maker) -> None:
    beat = Beat("tender", "ada", frames=(1001, 1090))
    scene, readings = scene_of(voice([(1.0, "strong")]), beats=(beat,))

    (finding,) = found(
        check_poses(shot_of(scene, readings), [pose(1023), pose(1030)]), "rushed-settle"
    )

    assert finding.usual["settle_frames"] == [9, 22]  # type: ignore[comparison-overlap]


def test_at_60_a_settle_counts_more_frames(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]), rate="60")

    (finding,) = found(
        check_poses(shot_of(scene, readings), [pose(1056), pose(1066)]), "rushed-settle"
    )

    assert finding.usual["settle_frames"] == [15, 35]  # type: ignore[comparison-overlap]


# Empty hold --------------------------------------------------------------------------------------


def test_a_long_hold_while_listening_is_pointed_out_and_never_certain(
    voice: Maker, scene_of: Maker
) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]), who=["ada", "bo"])

    result = check_poses(shot_of(scene, readings), [pose(1001, who="bo"), pose(1098, who="bo")])

    (finding,) = found(result, "empty-hold")
    assert finding.frames == (1001, 1098)
    assert finding.measured["hold_frames"] == 97
    assert not finding.certain


@pytest.mark.parametrize(("held", "flagged", "certain"), [(48, 0, 0), (60, 1, 0), (120, 1, 1)])
def test_a_hold_through_the_own_voice_is_shorter(
    voice: Maker, scene_of: Maker, held: int, flagged: bool, certain: bool
) -> None:
    """Usual is two seconds; certain beyond four, since key poses do not show what lives between."""
    spoken = [(0.2 + 0.4 * i, "light") for i in range(20)]
    scene, readings = scene_of(voice(spoken, length_s=9.0))
    poses = [pose(1010), pose(1010 + held), *[pose(f) for f in range(1010 + held, 1210, 40)][1:]]

    holds = found(check_poses(shot_of(scene, readings), poses), "empty-hold")

    assert len(holds) == flagged
    assert sum(f.certain for f in holds) == certain


# Early reaction ----------------------------------------------------------------------------------


def listening(voice: Maker, scene_of: Maker, frame: int) -> tuple[Finding, ...]:
    """Bo hears ada's word at 0.95 s (frame 1023) and answers on a frame."""
    spoken = voice([(1.0, "strong")])
    scene, readings = scene_of(spoken, who=["ada", "bo"], cues=(Cue("bo", 1, 1, "surprised"),))
    return check_poses(shot_of(scene, readings), [pose(frame, who="bo")]).findings


def test_an_answer_waits_until_the_word_can_be_understood(voice: Maker, scene_of: Maker) -> None:
    """200 ms after its onset (Marslen-Wilson & Tyler 1980) and 160 ms to react: frame 1032."""
    kinds = {f: [x.kind for x in listening(voice, scene_of, f)] for f in (1020, 1031, 1032, 1050)}

    assert kinds[1020] == ["early-reaction"]
    assert kinds[1031] == ["early-reaction"]
    assert kinds[1032] == kinds[1050] == []


def test_a_reaction_a_frame_early_is_within_the_error_of_the_reading(
    voice: Maker, scene_of: Maker
) -> None:
    assert [f.certain for f in listening(voice, scene_of, 1031)] == [False]
    assert [f.certain for f in listening(voice, scene_of, 1029)] == [True]


def test_a_reaction_says_how_soon_it_came(voice: Maker, scene_of: Maker) -> None:
    (finding,) = listening(voice, scene_of, 1026)

    assert finding.measured["after_word_ms"] == round(3000 / 24)
    assert "interruption" in finding.text


# Unmotivated pose --------------------------------------------------------------------------------


def unmotivated(voice: Maker, scene_of: Maker, frame: int, **parts: Any) -> list[Finding]:
    spoken = voice([(0.5, "strong"), (1.5, "none"), (2.5, "none"), (3.5, "strong")])
    scene, readings = scene_of(spoken, **parts)
    poses = [pose(1011), pose(1083), pose(frame, "right hand")]
    return found(check_poses(shot_of(scene, readings), poses), "unmotivated-pose")


def test_a_pose_far_from_every_stress_has_no_reason(voice: Maker, scene_of: Maker) -> None:
    (finding,) = unmotivated(voice, scene_of, 1048)

    assert finding.frames == (1048, 1048)
    assert finding.measured["to_stress_frames"] == 35
    assert finding.certain


def test_a_change_of_beat_explains_a_pose(voice: Maker, scene_of: Maker) -> None:
    beats = (Beat("proud", "ada", frames=(1046, 1090)),)

    assert unmotivated(voice, scene_of, 1048, beats=beats) == []


def test_a_cue_explains_a_pose(voice: Maker, scene_of: Maker) -> None:
    cues = (Cue("ada", 1, 2, "surprised"),)  # its word begins on 1035: an answer from 1044 on

    assert unmotivated(voice, scene_of, 1048, cues=cues) == []


def test_a_pose_in_silence_is_never_certain(voice: Maker, scene_of: Maker) -> None:
    (finding,) = unmotivated(voice, scene_of, 1200, shot=(1001, 1300))

    assert not finding.certain


def test_preparation_settle_look_and_follower_are_explained(voice: Maker, scene_of: Maker) -> None:
    spoken = voice([(0.5, "strong"), (1.5, "none"), (2.5, "none"), (3.5, "strong")])
    scene, readings = scene_of(spoken)
    poses = [
        pose(1011), pose(1024), pose(1045, "eyes"), pose(1050), pose(1054, "chest"),
        pose(1073), pose(1083),
    ]  # fmt: skip

    result = check_poses(shot_of(scene, readings), poses)

    assert found(result, "unmotivated-pose") == []
    assert [p.reason for p in result.poses if p.verdict == "free"] == [
        "settles", "looks", "goes with the look", "follows", "prepares an accent",
    ]  # fmt: skip


def test_parts_that_move_together_for_no_reason_are_one_finding(
    voice: Maker, scene_of: Maker
) -> None:
    spoken = voice([(0.5, "strong"), (1.5, "none"), (2.5, "none"), (3.5, "strong")])
    scene, readings = scene_of(spoken)
    poses = [pose(1011), pose(1048), pose(1049, "chest"), pose(1083)]

    findings = found(check_poses(shot_of(scene, readings), poses), "unmotivated-pose")

    assert [(f.frames, f.parts) for f in findings] == [((1048, 1049), ("head", "chest"))]


def test_a_plan_explains_a_pose(voice: Maker, scene_of: Maker) -> None:
    from planner.plan.suggestion import Plan, Suggestion, Why

    spoken = voice([(0.5, "strong"), (1.5, "none"), (2.5, "none"), (3.5, "strong")])
    scene, readings = scene_of(spoken)
    look = Suggestion(
        "look/eyes/1/b1", "look", "ada", 1, "eyes", (1045, 1049), 1047, "", 0.3, "", "",
        Why("", "", "", ""),
    )  # fmt: skip
    plan = Plan("24", 1001, 1, (1001, 1120), (), (look,))
    poses = [pose(1011), pose(1048), pose(1083)]

    assert found(check_poses(shot_of(scene, readings), poses, plan=plan), "unmotivated-pose") == []
    assert found(check_poses(shot_of(scene, readings), poses), "unmotivated-pose") != []
