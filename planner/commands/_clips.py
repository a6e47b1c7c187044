"""What `linebeat start` does with clips: where the scene goes, how long they are, copying them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from itertools import zip_longest
from pathlib import Path

from audio.errors import OutputError, UsageError
from planner.commands._shared import say, working
from planner.frames import FrameRate


def target_of(out: str, force: bool) -> Path:
    """Where the scene goes. Raises OutputError if something is there or the folder is not."""
    from planner.files.targets import check_target

    target = Path(out)
    if target.is_dir():
        target = target / "scene.yaml"
    check_target(target, force=force)
    return target


def read_rate(text: str) -> FrameRate:
    """The rate of --rate. Raises UsageError."""
    try:
        return FrameRate.parse(text)
    except ValueError as problem:
        raise UsageError(str(problem), where="--rate") from None


def sound_name(clip: str, folder: Path, *, copy: bool) -> str:
    """The clip as seen from the scene's folder. Raises UsageError if it lies outside."""
    inside = Path(os.path.realpath(clip))
    base = Path(os.path.realpath(folder))
    if inside.is_relative_to(base):
        return inside.relative_to(base).as_posix()
    if copy:
        return Path(clip).name
    raise UsageError(
        f"lies outside the scene's folder ({folder})",
        where=clip,
        mend="add --copy to copy it there, or put the scene beside it with -o",
    )


def lengths_of(clips: tuple[str, ...], texts: Sequence[str | None] = ()) -> list[float]:
    """The length of each clip, in seconds; what is odd about it, or about its text, is told.

    texts : what is said in each; a clip that has one is heard, and found again by the next command.
    Raises ClipError for what is no sound.
    """
    lengths_s = []
    with working("measuring the clips") as tell:
        for clip, text in zip_longest(clips, texts):
            tell(f"{'listening to' if text else 'measuring'} {Path(clip).name}")
            length_s, warnings = _measured(clip, text)
            for warning in warnings:
                say(f"note: {clip}: {warning}")
            lengths_s.append(length_s)
    return lengths_s


def _measured(clip: str, text: str | None) -> tuple[float, tuple[str, ...]]:
    if text is None:
        from audio.clip import load_clip

        loaded = load_clip(clip)
        return loaded.duration_s, loaded.warnings
    from audio.read_voice import read_file

    reading = read_file(clip, text=text)
    return reading.clip.duration_s, reading.warnings


def bring_clips(clips: tuple[str, ...], sounds: list[str], folder: Path) -> None:
    """Copy the clips that lie elsewhere. Raises OutputError before another file is replaced."""
    from planner.files.safe_write import copy_whole, same_file

    wanted: dict[str, Path] = {}
    for clip, sound in zip(clips, sounds, strict=True):
        source, goal = Path(os.path.realpath(clip)), folder / sound
        if Path(os.path.realpath(goal)) == source:
            continue
        other = wanted.setdefault(sound, source) != source
        if other or (os.path.lexists(goal) and not same_file(goal, source)):
            raise OutputError(
                "there is another sound of that name", where=str(goal), mend="rename one of the two"
            )
    for sound, source in wanted.items():
        if not (folder / sound).exists():
            copy_whole(source, folder / sound)
