"""`linebeat check SCENE`: key poses against the stresses of the voice."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from audio.errors import UsageError
from planner.commands._shared import (
    check_json,
    console,
    load_shot,
    say,
    write_json,
)

if TYPE_CHECKING:
    from planner.check.check_poses import CheckResult
    from planner.check.compare import Comparison
    from planner.plan.suggestion import Plan
    from planner.scene import KeyPose
    from planner.shot import Shot


@click.command("check")
@click.argument("scene")
@click.option("--poses", "poses_file", metavar="FILE", help="Poses from a CSV, not the scene's.")
@click.option("--against", metavar="FILE", help="An older CSV: what moved, what is mended.")
@click.option("--who", help="Only this character.")
@click.option(
    "--expect",
    multiple=True,
    metavar="RULE",
    help='Decides alone: "95% of main accents", "no late poses", "at most 2 findings".',
)
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
def command(
    scene: str,
    poses_file: str | None,
    against: str | None,
    who: str | None,
    expect: tuple[str, ...],
    json_to: str | None,
) -> int:
    """Check key poses against the stresses of SCENE (a scene file or its folder)."""
    from planner.check.check_poses import check_poses
    from planner.check.expect import judge, parse_rule
    from planner.plan.make import make_plan
    from planner.shot.remarks import poses_outside
    from planner.told.check_text import print_check, print_comparison, print_outcomes

    rules = [parse_rule(text) for text in expect]
    if json_to:
        check_json(json_to)
    shot = load_shot(scene)
    loaded = shot.scene
    if who is not None and who not in loaded.characters:
        known = ", ".join(loaded.characters)
        raise UsageError(f'no character "{who}" in {loaded.file}', mend=f"use one of: {known}")
    poses = _poses(shot, poses_file) if poses_file else loaded.poses
    if not poses_file:
        for remark in poses_outside(shot):
            say(f"note: {remark}")
    if not any(who in (None, pose.who) for pose in poses):
        say(f"note: {_no_poses(poses_file, who)}")
    plan = make_plan(shot)
    result = check_poses(shot, poses, plan=plan, who=who)
    compared = _compared(shot, plan, against, result, who) if against else None
    outcomes = [judge(rule, result) for rule in rules]
    ok = all(o.met for o in outcomes) if outcomes else result.ok
    if json_to:
        data = {**result.to_json(), "ok": ok}
        if outcomes:
            data["expected"] = [
                {"rule": o.rule.text, "met": o.met, "found": o.found} for o in outcomes
            ]
        if compared:
            data["against"] = compared.to_json()
        write_json(data, json_to)
    else:
        out = console()
        if result.poses:
            print_check(loaded, result, console=out)
        if compared:
            print_comparison(compared, out)
        if outcomes:
            print_outcomes(outcomes, out)
    return 0 if ok else 1


def _no_poses(file: str | None, who: str | None) -> str:
    of = f" of {who}" if who else ""
    if file:
        return f"{file} has no key poses{of}, so there is nothing to check"
    return f"no key poses{of} yet; add poses: to the scene, or give --poses FILE"


def _poses(shot: Shot, file: str) -> tuple[KeyPose, ...]:
    from planner.bring_in.timeline_file import ENDINGS, read_timeline_poses
    from planner.check.pose_file import read_poses

    if Path(file).suffix.lower() in ENDINGS:
        return read_timeline_poses(file, shot.scene)
    table = read_poses(file, shot.scene.characters)
    for remark in table.outside(shot.frames_with_handles):
        say(f"note: {remark}")
    return table.poses


def _compared(
    shot: Shot, plan: Plan, older: str, result: CheckResult, who: str | None
) -> Comparison:
    from planner.check.check_poses import check_poses
    from planner.check.compare import compare_checks
    from planner.lead.notes import placed_notes

    old = check_poses(shot, _poses(shot, older), plan=plan, who=who)
    notes = [(number, note) for number, note in enumerate(placed_notes(shot), 1) if not note.done]
    return compare_checks(old, result, shot.clock.rate, notes)
