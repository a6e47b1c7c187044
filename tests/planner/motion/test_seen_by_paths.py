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
# What a body that is put together rightly never shows, whatever the plan asks of it.
NEVER = {"same-way-back", "one-axis", "twins", "dead-wrist", "opposed-on-one-frame",
         "locked-parts"}  # fmt: skip


@cache
def demo(name: str) -> ShotFacts:
    """The facts of a bundled scene."""
    return shot_facts(load_shot(str(DEMOS / name)))


@pytest.mark.parametrize("name", NAMES)
def test_the_body_shows_no_fault_of_its_own(name: str) -> None:
    facts = demo(name)
    review = review_paths(parse_csv(tracks_csv(facts)), clock=facts.clock, scene=facts.scene)
    certain = [f for f in review.findings if f.certain]

    assert len(review.moves) > 50
    assert not [f.text for f in certain if f.kind in NEVER]
    assert len(certain) < len(review.moves) / 10


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
