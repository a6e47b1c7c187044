"""What `linebeat start` does with scripts, and with beats and poses for a scene that is there."""

from __future__ import annotations

import shlex
from dataclasses import replace
from pathlib import Path

from audio.errors import SceneError, TableError, UsageError
from audio.regular_file import TooLargeError, read_regular
from planner.bring_in.script import Script
from planner.commands._clips import (
    bring_clips,
    lengths_of,
    read_rate,
    sound_name,
    target_of,
)
from planner.commands._shared import say, scene_path
from planner.scene import Beat, KeyPose, Scene
from planner.scene.start import StartClip

SCRIPT_MAX = 2_000_000  # bytes; a feature's whole script has a quarter of a million


def start_from_script(
    script_file: str, clips: tuple[str, ...], *, rate: str, title: str, out: str, copy: bool,
    force: bool,
) -> int:  # fmt: skip
    """A new scene from a tagged script, with a clip a line or none."""
    from planner.bring_in.script_scene import check_intents, scene_of_script
    from planner.files.safe_write import safe_write
    from planner.intents import load_intents
    from planner.scene_file import parse_scene, scene_to_text

    target = target_of(out, force)
    script = load_script(script_file)
    check_intents(script, load_intents())
    names = [sound_name(clip, target.parent, copy=copy) for clip in clips]
    lengths_s = lengths_of(clips, [line.say or None for line in script.lines][: len(clips)])
    measured = [StartClip(n, s) for n, s in zip(names, lengths_s, strict=True)]
    scene = scene_of_script(script, measured, rate=read_rate(rate), file=str(target))
    if title:
        scene = replace(scene, title=title)
    text = scene_to_text(scene)
    parse_scene(text, file=str(target))  # what would not read back is not written
    bring_clips(clips, names, target.parent)
    safe_write(target, text, keep_last=True)
    say(f"wrote {target}: {len(scene.lines)} lines, {len(scene.beats)} beats, "
        f"{len(scene.cues)} cues; then: linebeat plan {shlex.quote(str(target))}")  # fmt: skip
    missing = [x.sound for x in scene.lines if not (target.parent / x.sound).exists()]
    if missing:
        say(f"note: still to be recorded: {', '.join(missing)}")
    return 0


def bring_into(into: str, *, script: str | None, beats: str | None, poses: str | None) -> None:
    """Put a script, beats or key poses into a scene file; the version before is kept beside it."""
    from planner.bring_in.script_scene import check_intents, with_script
    from planner.intents import scene_intents
    from planner.scene_file import read_scene_and_text, save_scene

    if not (script or beats or poses):
        raise UsageError("nothing to bring in", mend="add --script, --beats or --poses FILE")
    if script and beats:
        raise UsageError("--script has beats of its own", mend="give it, or --beats")
    path = scene_path(into)
    scene, text = read_scene_and_text(path)
    told = []
    if script:
        read = load_script(script)
        check_intents(read, scene_intents(scene))
        scene = with_script(scene, read)
        told.append(f"words, {len(scene.beats)} beats and {len(scene.cues)} cues")
    if beats:
        scene = replace(scene, beats=read_any_beats(beats, scene))
        told.append(f"{len(scene.beats)} beats")
    if poses:
        scene = replace(scene, poses=_in_old_order(read_any_poses(poses, scene), scene))
        told.append(f"{len(scene.poses)} key poses")
    save_scene(path, text, scene)
    say(f"wrote {path}: {', '.join(told)}; the version before is {path.name}~")


def _in_old_order(poses: tuple[KeyPose, ...], scene: Scene) -> tuple[KeyPose, ...]:
    """Poses that the scene has already in the scene's order, then the new ones."""
    places = {(p.frame, p.who, p.part): i for i, p in enumerate(scene.poses)}
    return tuple(
        sorted(poses, key=lambda p: (places.get((p.frame, p.who, p.part), len(places)), p.frame))
    )


def load_script(file: str) -> Script:
    """The script in a file. Raises SceneError, its `where` naming file and line."""
    from planner.bring_in.script import read_script

    try:
        return read_script(read_regular(file, SCRIPT_MAX).decode("utf-8-sig"), file=file)
    except FileNotFoundError:
        raise SceneError("no such script", where=file, mend="check the name") from None
    except UnicodeDecodeError:
        raise SceneError("is not UTF-8 text", where=file, mend="save it as UTF-8") from None
    except TooLargeError:
        raise SceneError("too large for a script", where=file, mend="check the name") from None
    except OSError as problem:
        raise SceneError(f"cannot be read: {problem.strerror}", where=file) from None


def read_any_poses(file: str, scene: Scene) -> tuple[KeyPose, ...]:
    """Key poses of a CSV or a timeline, by its ending. Raises TableError."""
    from planner.bring_in.timeline_file import ENDINGS, read_timeline_poses
    from planner.check.pose_file import read_poses

    if Path(file).suffix.lower() in ENDINGS:
        return read_timeline_poses(file, scene)
    return read_poses(file, scene.characters).poses


def read_any_beats(file: str, scene: Scene) -> tuple[Beat, ...]:
    """Beats of a CSV or a timeline, by its ending. Raises TableError."""
    from planner.bring_in.beat_table import read_beats
    from planner.bring_in.marks import beats_in
    from planner.bring_in.timeline_file import ENDINGS, read_marks

    if Path(file).suffix.lower() not in ENDINGS:
        return read_beats(file, scene.characters)
    beats = beats_in(read_marks(file, scene), scene.characters)
    if not beats:
        raise TableError("no beats in this timeline", where=file,
                         mend="name markers as beat: teasing 0.7 toward visitor")  # fmt: skip
    return beats
