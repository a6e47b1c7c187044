"""`linebeat start CLIP... -o scene.yaml`: writes a scene file from clips, ready to tag.

With `--script` the lines, beats and cues come from a tagged script, with or without clips; with
`--into SCENE` a script, beats or key poses go into a scene that is there (`planner.bring_in`).
"""

from __future__ import annotations

import shlex

import click

from audio.errors import UsageError
from planner.commands._clips import bring_clips, measured_clips, read_rate, sound_name, target_of
from planner.commands._shared import say
from planner.commands.read import read_text
from planner.scene.start import StartClip


@click.command("start")
@click.argument("clips", nargs=-1)
@click.option("--say", "says", multiple=True, metavar="TEXT", help="The words said, once a clip.")
@click.option("--say-file", metavar="FILE", help="A text file with the words, a line a clip.")
@click.option("--script", metavar="FILE", help="A script with tags in braces (.md, .txt).")
@click.option("--into", metavar="SCENE", help="Put --script, --beats or --poses into this scene.")
@click.option("--beats", metavar="FILE", help="Beats on frames for --into (.csv, .otio, .edl).")
@click.option("--poses", metavar="FILE", help="Key poses for --into (.csv, .otio, .edl).")
@click.option("--who", multiple=True, metavar="NAME", help="Who speaks; several take turns.")
@click.option("--rate", default="24", show_default=True, help="Frames a second.")
@click.option("--title", default="", help="The scene's title.")
@click.option("-o", "--out", default="scene.yaml", show_default=True, metavar="FILE")
@click.option("--copy", is_flag=True, help="Copy clips from elsewhere beside the scene.")
@click.option("--force", is_flag=True, help="Replace the file if it is there.")
def command(
    clips: tuple[str, ...],
    says: tuple[str, ...],
    say_file: str | None,
    script: str | None,
    into: str | None,
    beats: str | None,
    poses: str | None,
    who: tuple[str, ...],
    rate: str,
    title: str,
    out: str,
    copy: bool,
    force: bool,
) -> int:
    """Writes a scene from CLIPS: lines one after the other, neutral beats, ready to tag.

    Lines with words are split at sentences and pauses. Or from a tagged script, with or without
    clips; or puts one into a scene that is there.
    """
    from planner.commands._bring_in import bring_into, start_from_script

    if into or beats or poses:
        refuse(into is None, "--beats and --poses need a scene to go into", "add --into SCENE")
        refuse(bool(clips), "--into takes no clips", "leave them out")
        bring_into(into or "", script=script, beats=beats, poses=poses)
        return 0
    if script:
        refuse(bool(says or say_file or who), "--script says the words and who speaks",
               "leave --say, --say-file and --who out")  # fmt: skip
        return start_from_script(script, clips, rate=rate, title=title, out=out, copy=copy,
                                 force=force)  # fmt: skip
    return _from_clips(clips, says, say_file, who, rate, title, out, copy, force)


def refuse(wrong: bool, what: str, mend: str) -> None:
    """Raises UsageError if something is wrong."""
    if wrong:
        raise UsageError(what, mend=mend)


def _from_clips(
    clips: tuple[str, ...], says: tuple[str, ...], say_file: str | None, who: tuple[str, ...],
    rate: str, title: str, out: str, copy: bool, force: bool,
) -> int:  # fmt: skip
    """A scene of the clips alone."""
    from planner.files.safe_write import safe_write
    from planner.intents import load_intents
    from planner.scene.start import scene_from_clips, start_text
    from planner.scene.start_parts import parts_of
    from planner.scene.text.parse import parse_scene

    target = target_of(out, force)
    frame_rate = read_rate(rate)
    names = _names(who)
    texts = _texts(clips, says, say_file)
    sounds = [sound_name(clip, target.parent, copy=copy) for clip in clips]
    measured = measured_clips(clips, texts)
    parts = [parts_of(m.reading, text) if m.reading and text else ()
             for m, text in zip(measured, texts, strict=True)]  # fmt: skip
    lengths_s = [m.duration_s for m in measured]
    start_clips = [StartClip(*each) for each in zip(sounds, lengths_s, texts, parts, strict=True)]
    scene = scene_from_clips(start_clips, who=names, rate=frame_rate, title=title, file=str(target))
    text = start_text(scene, intents=sorted(load_intents()), heard=dict(enumerate(parts, start=1)))
    bring_clips(clips, sounds, target.parent)
    parse_scene(text, file=str(target))  # what would not read back is not written
    safe_write(target, text, keep_last=True)
    count = "1 line" if len(clips) == 1 else f"{len(clips)} lines"
    say(f"wrote {target}: {count}; tag its beats, then: linebeat plan {shlex.quote(str(target))}")
    return 0


def _names(who: tuple[str, ...]) -> tuple[str, ...]:
    names = tuple(name.strip() for name in who)
    if not all(names) or any(not name.isprintable() for name in names):
        raise UsageError("--who has no name", mend="write --who clerk --who visitor")
    return names


def _texts(clips: tuple[str, ...], says: tuple[str, ...], say_file: str | None) -> list[str | None]:
    """What is said in each clip. Raises UsageError if there are not as many texts as clips."""
    if not clips:
        raise UsageError("no clip named", mend="linebeat start line.wav --say 'the words'")
    if says and say_file is not None:
        raise UsageError("--say and --say-file are both given", mend="give one of them")
    if say_file is not None:
        rows = [row.strip() for row in read_text(say_file).splitlines()]
        while len(rows) > len(clips) and not rows[-1]:
            rows.pop()  # empty lines at the end of a file, beyond the last clip's
        _same_count(len(rows), "line", len(clips), where=say_file)
        return [row or None for row in rows]
    if says:
        _same_count(len(says), "--say", len(clips), where="")
        return [text.strip() or None for text in says]
    return [None] * len(clips)


def _same_count(texts: int, unit: str, clips: int, *, where: str) -> None:
    if texts != clips:
        has = f"{texts} {unit}" + ("s" if texts != 1 and unit == "line" else "")
        of = "1 clip" if clips == 1 else f"{clips} clips"
        mend = "leave a line empty for a clip without words" if where else "give --say once a clip"
        raise UsageError(f"{has} of text for {of}", where=where, mend=mend)
