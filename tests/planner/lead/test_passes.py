"""Passes: phrases counted over the scene, what is done on each, what is open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest

from audio.errors import UsageError
from planner.check.compare import Problem
from planner.lead.passes import pass_of, phrase_states, with_pass
from planner.scene import Passes
from planner.shot import shot_of

Maker = Callable[..., Any]


def two_lines(voice: Maker, scene_of: Maker) -> Any:
    """Line 2 sounds before line 1."""
    spoken = voice([(1.0, "strong")])
    return scene_of(spoken, spoken, who=["ada", "bo"], at_s=[5.0, 0.0])


def test_phrases_count_in_order_of_time(voice: Maker, scene_of: Maker) -> None:
    scene, readings = two_lines(voice, scene_of)

    phrases = shot_of(scene, readings).phrases

    assert [(p.number, p.line, p.who) for p in phrases] == [(1, 2, "bo"), (2, 1, "ada")]
    assert phrases[0].frames == (1023, 1028)
    assert phrases[0].words == "word0"


def test_a_pass_is_done_and_undone(voice: Maker, scene_of: Maker) -> None:
    scene, readings = two_lines(voice, scene_of)
    phrases = shot_of(scene, readings).phrases

    done = with_pass(with_pass(scene, phrases, 2, "arcs"), phrases, 2, "body")
    undone = with_pass(
        with_pass(done, phrases, 2, "arcs", done=False), phrases, 2, "body", done=False
    )

    assert dict(done.passes.done) == {2: ("body", "arcs")}
    assert phrase_states(done, phrases)[1].to_do == ("offsets", "hands", "eyes", "mouth")
    assert dict(undone.passes.done) == {}


def test_all_passes_at_once(voice: Maker, scene_of: Maker) -> None:
    scene, readings = two_lines(voice, scene_of)
    phrases = shot_of(scene, readings).phrases

    assert phrase_states(with_pass(scene, phrases, 1, "all"), phrases)[0].to_do == ()


def test_a_studios_own_names(voice: Maker, scene_of: Maker) -> None:
    scene, readings = two_lines(voice, scene_of)
    scene = replace(scene, passes=Passes(("rough", "tie down"), MappingProxyType({})))
    phrases = shot_of(scene, readings).phrases

    assert dict(with_pass(scene, phrases, 1, "tie down").passes.done) == {1: ("tie down",)}
    with pytest.raises(UsageError, match='no pass "body"'):
        with_pass(scene, phrases, 1, "body")


def test_a_phrase_that_does_not_exist(voice: Maker, scene_of: Maker) -> None:
    scene, readings = two_lines(voice, scene_of)

    with pytest.raises(UsageError, match="no phrase 3"):
        with_pass(scene, shot_of(scene, readings).phrases, 3, "body")


def test_a_problem_is_open_on_the_nearest_phrase_of_its_character(
    voice: Maker, scene_of: Maker
) -> None:
    scene, readings = two_lines(voice, scene_of)
    problem = Problem("all-on-one-frame", "ada", (1010, 1010), ("head",), "x", True)

    states = phrase_states(scene, shot_of(scene, readings).phrases, [problem])

    assert [s.problems for s in states] == [(), (problem,)]
    assert pass_of(problem, scene.passes.names) == "offsets"
    assert pass_of(problem, ("rough",)) is None


def test_the_command_marks_a_pass_in_the_file(
    linebeat: Maker, demo_scenes: Path, tmp_path: Path
) -> None:
    import shutil

    folder = shutil.copytree(demo_scenes / "lost_umbrella", tmp_path / "scene")

    ran = linebeat("passes", folder, "done", "3", "offsets")
    told = linebeat("passes", folder)
    again = linebeat("passes", folder, "undone", "3", "offsets")

    assert (ran.code, ran.out) == (0, "")
    assert "phrase 3: done offsets" in ran.err
    assert told.code == again.code == 0
    assert "done  offsets" in told.out
    assert "phrase 3, visitor" in told.out


@pytest.mark.parametrize(
    "arguments", [("finish", "1", "body"), ("done",), ("done", "x", "body"), ("done", "1", "bdy")]
)
def test_every_mistake_is_one_line(
    linebeat: Maker, demo_scenes: Path, arguments: tuple[str, ...]
) -> None:
    ran = linebeat("passes", demo_scenes / "lost_umbrella", *arguments)

    assert ran.code == 2
    assert len(ran.err.strip().splitlines()) == 1
