"""`linebeat passes SCENE [done PHRASE PASS]`: what is polished, phrase by phrase."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from audio.errors import UsageError
from planner.commands._shared import console, say, scene_path, shot_of_scene, write_json
from planner.told.wording import nearest

if TYPE_CHECKING:
    from planner.lead.passes import PhraseState
    from planner.scene import Scene


@click.command("passes")
@click.argument("scene")
@click.argument("do", required=False, metavar="[done|undone]")
@click.argument("phrase", required=False)
@click.argument("name", required=False, metavar="[PASS|all]")
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
def command(
    scene: str, do: str | None, phrase: str | None, name: str | None, json_to: str | None
) -> int:
    """What is done on each phrase of SCENE, and what is open; mark a pass done or not."""
    from planner.check.check_poses import check_poses
    from planner.check.compare import Problem, problems_of
    from planner.lead.passes import phrase_states, with_pass
    from planner.plan.make import make_plan
    from planner.scene_file import change_scene, read_scene

    if do is not None and do not in ("done", "undone"):
        raise UsageError(f'"{do[:60]}" is neither done nor undone',
                         mend=nearest(do, ("done", "undone")))  # fmt: skip
    path = scene_path(scene)
    loaded = read_scene(path)
    shot = shot_of_scene(loaded)
    phrases = shot.phrases
    if do is not None:
        number = _number(phrase, name)
        loaded = change_scene(
            path, lambda s: with_pass(s, phrases, number, name or "", done=do == "done"),
            sections={"passes"},
        )  # fmt: skip
        say(f"phrase {number}: done {_listed(loaded.passes.done.get(number, ())) or 'nothing'}")
        return 0
    problems: tuple[Problem, ...] = ()
    if loaded.poses:
        problems = problems_of(check_poses(shot, plan=make_plan(shot)))
    states = phrase_states(loaded, phrases, problems)
    if json_to:
        write_json({"linebeat": 1, "names": list(loaded.passes.names),
                    "phrases": [_state_json(s) for s in states]}, json_to)  # fmt: skip
    else:
        _print(loaded, states)
    return 0


def _number(phrase: str | None, name: str | None) -> int:
    if phrase is None or name is None:
        raise UsageError("which phrase and pass?", mend="write it as: done 2 arcs")
    if not phrase.isascii() or not phrase.isdecimal() or len(phrase) > 6:
        raise UsageError(f'"{phrase[:60]}" is no phrase', mend="give its number: done 2 arcs")
    return int(phrase)


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(names)


def _state_json(state: PhraseState) -> dict[str, Any]:
    phrase = state.phrase
    return {
        "phrase": phrase.number, "line": phrase.line, "who": phrase.who,
        "frames": list(phrase.frames), "words": phrase.words, "done": list(state.done),
        "to_do": list(state.to_do), "open": [p.to_json() for p in state.problems],
    }  # fmt: skip


def _print(scene: Scene, states: tuple[PhraseState, ...]) -> None:
    from rich.table import Table
    from rich.text import Text

    from planner.lead.passes import pass_of

    out = console()
    names = scene.passes.names
    finished = sum(not s.to_do for s in states)
    out.print(f"{scene.title or scene.file}: {finished} of {len(states)} phrases through all "
              f"passes ({_listed(names)})")  # fmt: skip
    for state in states:
        phrase = state.phrase
        first, last = phrase.frames
        words = f'  "{phrase.words}"' if phrase.words else ""
        out.print()
        out.print(Text(f"phrase {phrase.number}, {phrase.who}, {first}-{last}{words}", "bold"))
        table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
        table.add_row("done", _listed(state.done) or "nothing yet")
        if state.to_do:
            rest = f", then {_listed(state.to_do[1:])}" if len(state.to_do) > 1 else ""
            table.add_row("next", state.to_do[0] + rest)
        for problem in state.problems:
            mended_in = pass_of(problem, names)
            told = f" ({mended_in})" if mended_in else ""
            table.add_row("open", f"{problem.where}, {problem.text}{told}")
        out.print(table)
    if not scene.poses:
        say("note: the scene has no key poses, so no findings are counted")
