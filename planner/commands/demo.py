"""`linebeat demo`: plans the bundled scene, prints the plan, says how to open it."""

from __future__ import annotations

import click

from planner.commands._shared import say
from planner.commands.plan import run_plan
from planner.files.demo import DEMO_NAME, demo_scene


@click.command("demo")
@click.argument("name", default=DEMO_NAME)
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
def command(name: str, json_to: str | None) -> int:
    """Plan the bundled scene NAME (lost_umbrella or night_kitchen) and print the plan."""
    path = demo_scene(name)
    run_plan(str(path), json_to=json_to)
    say(
        f"\nThe scene: {path}\n"
        f"See it:    linebeat sheet {path} out.html --kind review   (it moves, with sound)\n"
        f"A movie:   linebeat sheet {path} out.mp4                  (with linebeat[video])\n"
        f"Open it:   linebeat desk {path}\n"
        "Your own:  linebeat start line.wav"
    )
    return 0
