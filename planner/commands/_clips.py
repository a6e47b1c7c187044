"""What `linebeat start` does with clips: where the scene goes, how long they are, copying them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from audio.errors import OutputError, UsageError
from planner.commands._shared import say, working
from planner.frames import FrameRate

if TYPE_CHECKING:
    from audio.reading import VoiceReading


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


class MeasuredClip(NamedTuple):
    """A clip's length, and what was heard in it where its words are known."""

    duration_s: float
    reading: VoiceReading | None


def lengths_of(clips: tuple[str, ...], texts: Sequence[str | None] = ()) -> list[float]:
    """The length of each clip, in seconds. Same errors and notes as `measured_clips`."""
    return [measured.duration_s for measured in measured_clips(clips, texts)]


def measured_clips(clips: tuple[str, ...], texts: Sequence[str | None] = ()) -> list[MeasuredClip]:
    """Each clip measured; what is odd about it, or about its text, is told.

    texts : what is said in each; a clip that has one is heard, and found again by the next command.
    Raises ClipError for what is no sound.
    """
    found = []
    with working("measuring the clips") as tell:
        for clip, text in zip_longest(clips, texts):
            tell(f"{'listening to' if text else 'measuring'} {Path(clip).name}")
            measured, warnings = _measured(clip, text)
            for warning in warnings:
                say(f"note: {clip}: {warning}")
            found.append(measured)
    return found


def _measured(clip: str, text: str | None) -> tuple[MeasuredClip, tuple[str, ...]]:
    if text is None:
        from audio.clip import load_clip

        loaded = load_clip(clip)
        return MeasuredClip(loaded.duration_s, None), loaded.warnings
    from audio.read_voice import read_file

    reading = read_file(clip, text=text)
    return MeasuredClip(reading.clip.duration_s, reading), reading.warnings


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
