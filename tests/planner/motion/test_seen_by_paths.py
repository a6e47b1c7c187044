"""The compiled motion under linebeat's own eyes: what `paths` and `check` say of it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from planner.check.check_poses import check_poses
from planner.check.pose_file import parse_poses
from planner.commands._shared import load_shot
from planner.export.facts import ShotFacts, shot_facts
from planner.export.motion_tables import motion_csv, plan_poses_csv, tracks_csv
from planner.paths.review import review_paths
from planner.paths.track_file import parse_csv

DEMOS = Path(__file__).parents[3] / "demo_scenes"
NAMES = sorted(p.parent.name for p in DEMOS.glob("*/scene.yaml"))


@cache
def demo(name: str) -> ShotFacts:
    """The facts of a bundled scene."""
    return shot_facts(load_shot(str(DEMOS / name)))


@pytest.mark.parametrize("name", NAMES)
def test_paths_finds_nothing_for_certain_in_a_demo_scene(name: str) -> None:
    facts = demo(name)
    review = review_paths(parse_csv(tracks_csv(facts)), clock=facts.clock, scene=facts.scene)

    assert len(review.moves) > 50
    assert [f.text for f in review.findings if f.certain] == []


def test_squeezed_moves_get_the_frames_that_are_free_and_it_is_told() -> None:
    """A pose the plan gave three frames takes six; its neighbours keep theirs."""
    facts = demo("lost_umbrella")
    spread = {s.id: s for s in facts.performance.spread}
    pose = spread["pose/whole/thanks/b1"]
    poses = [e for e in facts.plan.suggestions if e.kind == "pose" and e.who == pose.who]
    others = [e.frames for e in poses if e.id != pose.id]

    assert pose.planned[1] - pose.planned[0] < 6 <= pose.frames[1] - pose.frames[0]
    assert all(b <= pose.frames[0] or a >= pose.frames[1] for a, b in others)
    assert pose.said in facts.given_up
    accents = [s for s in spread.values() if s.id.startswith("accent/")]
    assert accents
    assert all(s.frames[1] == s.planned[1] for s in accents)  # the extreme stays on its frame


@pytest.mark.parametrize("name", NAMES)
def test_the_plans_own_key_poses_land_every_main_accent(name: str) -> None:
    facts = demo(name)
    poses = parse_poses(plan_poses_csv(facts), facts.scene.characters)
    result = check_poses(facts.shot, poses.poses, plan=facts.plan)

    assert result.summary.main_accents >= 3
    assert result.summary.main_landed == result.summary.main_accents


def test_the_motion_table_has_a_row_a_frame_and_a_column_a_channel() -> None:
    facts = demo("night_kitchen")
    rows = [line.split(",") for line in motion_csv(facts).splitlines()]
    motion = facts.performance.of("cook")
    up = rows[0].index("cook.head.up")

    assert len(rows) == 1 + facts.frames[1] - facts.frames[0] + 1
    assert {len(row) for row in rows} == {len(motion.table.names) + 2}
    assert float(rows[40][up]) == pytest.approx(motion.channel("head.up")[39], abs=0.01)
