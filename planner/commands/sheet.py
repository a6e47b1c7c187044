"""`linebeat sheet SCENE OUT`: the plan on paper, in a picture, as a page, into the pipeline."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from audio.errors import LinebeatError, OutputError, UsageError
from planner.commands._shared import (
    load_shot,
    say,
    scene_path,
    working,
)
from planner.export.kinds import SCHEMAS, Export, Shown, export_of, exports, schema_text

if TYPE_CHECKING:
    from planner.export.facts import ShotFacts
    from planner.paths.review import PathReview
    from planner.shot import Shot

HOUR_S = 3600.0  # no shot is longer; one that is was mistyped
_KINDS = ", ".join(dict.fromkeys(e.kind for e in exports()))


@click.command("sheet")
@click.argument("scene")
@click.argument("out")
@click.option("--kind", metavar="KIND", help=f"What to write: {_KINDS}, schemas.")
@click.option(
    "--all", "everything", is_flag=True, help="Every kind but the movie, into the folder OUT."
)
@click.option("--who", help="Only this character.")
@click.option("--line", metavar="N", help="Only this line (number or id).")
@click.option("--phrase", type=int, metavar="N", help="Only this phrase (counted as in passes).")
@click.option("--frames", metavar="A-B", help="Only these frames.")
@click.option(
    "--show",
    type=click.Choice(["frames", "timecode", "feet", "seconds"]),
    default="feet",
    show_default=True,
    help="What stands beside the frames of an exposure sheet.",
)
@click.option("--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True)
@click.option("--rows", type=click.IntRange(8, 240), help="Frames a sheet of paper.")
@click.option("--tracks", metavar="FILE", help="Motion tracks, for the review page.")
@click.option("--no-sound", is_flag=True, help="A review page without the sound.")
@click.option("--force", is_flag=True, help="Replace what is there.")
def command(
    scene: str, out: str, kind: str | None, everything: bool, who: str | None, line: str | None,
    phrase: int | None, frames: str | None, show: str, paper: str, rows: int | None,
    tracks: str | None, no_sound: bool, force: bool,
) -> int:  # fmt: skip
    """Writes SCENE (a scene file or its folder) to OUT; its ending, or --kind, says as what.

    .csv and .html are an exposure sheet, .svg .png .pdf the tone line, .otio and .edl a timeline,
    .vtt captions, .json the plan, .md and .txt the script with its intents; .mp4 the figures moving
    with sound, .bvh a character's skeleton, .glb the whole cast.
    """
    from planner.lead.notes import read_frames

    if kind == "schemas":
        return _write_schemas(Path(out), force)
    jobs = _jobs(scene, out, kind, everything)
    shot = load_shot(scene)
    if not force:
        _check_length(shot)
    review = _path_review(shot, tracks, who) if tracks else None
    facts = _facts(
        shot, review, who=who, line=line, phrase=phrase,
        frames=read_frames(frames) if frames else None,
    )  # fmt: skip
    named = _by_character(jobs, facts, in_folder=everything or len(jobs) > 1 or _is_folder(out))
    _refuse_existing([target for _, target, _ in named], force)
    shown = Shown(show, paper, rows, not no_sound)
    for warning in facts.plan.warnings:
        say(f"note: {warning}")
    _write(named, shown, everything, force)
    return 0


def _jobs(scene: str, out: str, kind: str | None, everything: bool) -> list[tuple[Export, Path]]:
    """What to write, and where to."""
    target = Path(out)
    is_folder = _is_folder(out)
    if everything or (kind and is_folder):
        if target.exists() and not target.is_dir():
            raise OutputError("is a file, not a folder", where=out, mend="name a folder")
        stem = _stem(scene)
        if kind and kind not in {e.kind for e in exports()}:
            export_of("", kind)  # says that there is no such kind
        wanted = [e for e in exports() if (kind == e.kind if kind else not e.slow)]
        for export in exports() if not kind else ():
            if export.slow:
                name = export.file_name(stem)
                say(f"note: {name} left out: it takes a while; ask for --kind {export.kind}")
        return [(e, target / e.file_name(stem)) for e in wanted]
    if is_folder:
        raise UsageError(f"{out} is a folder", mend="add --all, or --kind, or name a file in it")
    if not target.parent.is_dir():
        raise OutputError(f'no folder "{target.parent}"', where=out, mend="make it first")
    return [(export_of(out, kind), target)]


def _is_folder(out: str) -> bool:
    return Path(out).is_dir() or out.endswith(("/", os.sep))


def _by_character(
    jobs: list[tuple[Export, Path]], facts: ShotFacts, *, in_folder: bool
) -> list[tuple[Export, Path, ShotFacts]]:
    """What is made of one character each, once for everybody. Raises UsageError."""
    found: list[tuple[Export, Path, ShotFacts]] = []
    for export, target in jobs:
        if not export.each or len(facts.characters) == 1:
            found.append((export, target, facts))
            continue
        if not in_folder:
            raise UsageError(
                f"{target.name} holds one character, and the scene has {len(facts.characters)}",
                mend=f"add --who {facts.characters[0]}, or name a folder and --kind {export.kind}",
            )
        for who in facts.characters:
            part = re.sub(r"[^\w.-]+", "_", who).strip("._") or "character"
            path = target.with_name(f"{target.stem}_{part}{target.suffix}")
            found.append((export, path, replace(facts, who=who)))
    return found


def _check_length(shot: Shot) -> None:
    """Ask before a sheet of hours: a mistyped frame makes gigabytes. Raises UsageError."""
    first, last = shot.frames_with_handles
    rate = float(shot.scene.rate.frames_per_s)
    if last - first >= HOUR_S * rate:
        raise UsageError(
            f"the shot has {last - first + 1} frames, {(last - first + 1) / rate / 60:.0f} minutes",
            mend="correct the frame that is so late, or add --force",
        )  # fmt: skip


def _stem(scene: str) -> str:
    """What the files in a folder are called after: the scene's file, or its folder for
    scene.yaml."""
    path = scene_path(scene)
    name = path.stem if path.stem != "scene" else path.resolve().parent.name
    return re.sub(r"[^\w.-]+", "_", name).strip("._") or "scene"


def _refuse_existing(targets: list[Path], force: bool) -> None:
    """Say what is there before anything is drawn. Raises OutputError."""
    from planner.files.targets import already_there

    there = [t for t in targets if os.path.lexists(t)]
    if there and not force:
        more = f" (and {len(there) - 1} more)" if len(there) > 1 else ""
        raise already_there(there[0], more)


def _facts(
    shot: Shot, review: PathReview | None, *, who: str | None,
    line: str | None, phrase: int | None, frames: tuple[int, int] | None,
) -> ShotFacts:  # fmt: skip
    from planner.export.facts import shot_facts

    return shot_facts(shot, who=who, line=line, phrase=phrase, frames=frames, path_review=review)


def _path_review(shot: Shot, tracks: str, who: str | None) -> PathReview:
    from planner.commands.paths import beat_spans, load_tracks, word_spans
    from planner.paths.review import review_paths

    scene = shot.scene
    return review_paths(
        load_tracks(scene, tracks), clock=scene.clock, scene=scene, words=word_spans(shot),
        beats=beat_spans(shot), who=who,
    )  # fmt: skip


def _write(
    jobs: list[tuple[Export, Path, ShotFacts]], shown: Shown, everything: bool, force: bool
) -> None:
    """Write each; with --all, what an extra that is missing would make is left out and told."""
    from planner.files.targets import write_target

    with working("writing") as tell:
        for export, target, facts in jobs:
            tell(f"writing {target.name}")
            try:
                data = export.made(facts, shown)
            except LinebeatError as error:
                if not everything:
                    raise
                say(f"note: {target.name} left out: {error.line()}")
                continue
            target.parent.mkdir(parents=True, exist_ok=True)
            write_target(target, data, force=force)
            say(f"wrote {target}: {export.about}")
    told = [remark for _, _, facts in jobs for remark in facts.given_up]
    for remark in dict.fromkeys(told):
        say(f"note: {remark}")


def _write_schemas(folder: Path, force: bool) -> int:
    from planner.files.targets import write_target

    if folder.is_file() or folder.suffix.lower() in {e.ending for e in exports()}:
        raise UsageError(f'"{folder}" is no name for schemas',
                         mend="they are several files; name a folder")  # fmt: skip
    targets = [folder / f"{name}.schema.json" for name in SCHEMAS]
    _refuse_existing(targets, force)
    folder.mkdir(parents=True, exist_ok=True)
    for name, target in zip(SCHEMAS, targets, strict=True):
        write_target(target, schema_text(name), force=force)
        say(f"wrote {target}: JSON Schema of {name}, version 1")
    return 0
