"""`linebeat plan SCENE`: the suggestions, as a table or JSON."""

from __future__ import annotations

import click

from audio.errors import UsageError
from planner.commands._shared import check_json, load_shot, say, write_json


@click.command("plan")
@click.argument("scene")
@click.option("--who", help="Only this character.")
@click.option("--brief", is_flag=True, help="A line a suggestion, without the reasons.")
@click.option("--ids", is_flag=True, help="What a decision can name: frames, id and word.")
@click.option("--plays", is_flag=True, help="Other ways to play each phrase; play: takes one.")
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
def command(
    scene: str, who: str | None, brief: bool, ids: bool, plays: bool, json_to: str | None
) -> int:
    """Suggested frames for SCENE (a scene file or its folder), each with its reason."""
    if json_to:
        check_json(json_to)
    run_plan(scene, who=who, brief=brief, ids=ids, plays=plays, json_to=json_to)
    return 0


def run_plan(
    scene: str,
    *,
    who: str | None = None,
    brief: bool = False,
    ids: bool = False,
    plays: bool = False,
    json_to: str | None = None,
) -> None:
    """Plan a scene and print it."""
    from planner.plan.make import make_plan

    shot = load_shot(scene)
    loaded = shot.scene
    if who is not None and who not in loaded.characters:
        known = ", ".join(loaded.characters)
        raise UsageError(f'no character "{who}" in {loaded.file}', mend=f"use one of: {known}")
    plan = make_plan(shot)
    if json_to:
        data = plan.to_json()
        if who:
            for key in ("suggestions", "dropped", "lines", "gaze", "key_poses"):
                data[key] = [entry for entry in data[key] if entry["who"] == who]
        write_json(data, json_to)
        return
    if plays:
        from planner.commands._shared import console
        from planner.told.plays_text import print_plays

        print_plays(shot, plan, who=who, console=console())
        return
    if ids:
        from planner.told.ids_text import ids_text

        print(ids_text(plan, who=who))
        return
    from planner.scene.words import bare
    from planner.told.plan_text import print_plan

    said = [
        (*frames, bare(word.text))
        for line, spoken in shot.words.items()
        for frames, word in zip(spoken, shot.heard[line].words, strict=True)
    ]
    print_plan(loaded, plan, who=who, brief=brief, said=said)
    for warning in plan.warnings:
        say(f"note: {warning}")
