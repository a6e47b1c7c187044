"""ShotFacts: all that the exports draw from, put together once, and the frames asked for.

Conventions: frames are the scene's own, ranges inclusive; readings are as the user hears them.
Nothing here opens a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from audio.errors import UsageError
from planner.export.plain import one_line
from planner.frames import Clock, FrameRange, feet_and_frames, timecode
from planner.lead.notes import placed_notes
from planner.plan.make import make_plan
from planner.plan.suggestion import Plan, Suggestion
from planner.scene import Beat, KeyPose, Note, Scene
from planner.shot import PhraseAt, Readings, Shot
from planner.shot.laid import Laid, LaidLine, LaidSyllable, lay_shot

if TYPE_CHECKING:
    from planner.check.check_poses import CheckResult
    from planner.export.figures import ShotFigure
    from planner.motion import Performance
    from planner.paths.review import PathReview

SHOWN = ("frames", "timecode", "feet", "seconds")


def shown_frame(clock: Clock, frame: int, show: str) -> str:
    """A frame as people want it: its number, timecode, feet+frames, or seconds of the scene."""
    index = frame - clock.first_frame
    if show == "timecode":
        return timecode(index, clock.rate)
    if show == "feet":
        return feet_and_frames(index)
    return f"{clock.scene_s(frame):.2f} s" if show == "seconds" else str(frame)


def said(syllable: LaidSyllable) -> str:
    """A syllable as it is written; "~" where no text says what it is."""
    return "~" if syllable.word is None else one_line(syllable.text)


@dataclass(frozen=True, slots=True)
class PlacedBeat:
    """A beat on its frames; `number` counts from 1."""

    number: int
    beat: Beat
    frames: FrameRange

    @property
    def text(self) -> str:
        """The beat in words: "teasing 0.7 toward visitor"."""
        words = [self.beat.intent]
        if self.beat.strength != 1.0:
            words.append(f"{self.beat.strength:g}")
        if self.beat.toward:
            words.append(f"toward {self.beat.toward}")
        return " ".join(words)


@dataclass(frozen=True)
class ShotFacts:
    """A scene, what was heard, what is planned and what was found.

    `frames` is what is shown, `who` the only character shown, or None. `path_review` is what was
    measured on motion tracks, if any were given.
    """

    shot: Shot
    plan: Plan
    frames: FrameRange
    who: str | None = None
    path_review: PathReview | None = None

    @property
    def scene(self) -> Scene:
        """The scene."""
        return self.shot.scene

    @property
    def heard(self) -> Readings:
        """The readings as the user hears them."""
        return self.shot.heard

    @cached_property
    def laid(self) -> Laid:
        """The readings on frames."""
        return lay_shot(self.shot)

    @cached_property
    def check(self) -> CheckResult:
        """The scene's key poses against the voice."""
        from planner.check.check_poses import check_poses

        return check_poses(self.shot, plan=self.plan, who=self.who)

    @cached_property
    def performance(self) -> Performance:
        """The plan compiled: every channel on every frame."""
        from planner.motion import compile_motion

        return compile_motion(self.plan, self.shot)

    @property
    def given_up(self) -> tuple[str, ...]:
        """What compiling the plan changed of it, if it has been compiled; in words.

        A frame that an accent starts earlier is not told; an extreme that moved always is.
        """
        if "performance" not in self.__dict__:
            return ()
        moved = [
            s for s in self.performance.spread
            if s.frames[1] != s.planned[1] or s.planned[0] - s.frames[0] > 1
        ]  # fmt: skip
        cut = tuple(g.said for g in self.performance.given_up)
        return cut + tuple(s.said for s in moved)

    @cached_property
    def figures(self) -> tuple[ShotFigure, ...]:
        """Each character drawn on every frame."""
        from planner.export.figures import shot_figures

        return shot_figures(self)

    @cached_property
    def beats(self) -> tuple[PlacedBeat, ...]:
        """The beats that can be placed, in the file's order."""
        return tuple(
            PlacedBeat(number, beat, frames)
            for number, beat in enumerate(self.scene.beats, start=1)
            if (frames := self.shot.beat_frames(beat)) and self.shows(frames, beat.who)
        )

    @cached_property
    def notes(self) -> tuple[tuple[int, Note], ...]:
        """The notes on their present frames, each with its number."""
        return tuple(
            (number, note)
            for number, note in enumerate(placed_notes(self.shot), start=1)
            if self.shows(note.frames, note.who)
        )

    @property
    def clock(self) -> Clock:
        """The scene's clock."""
        return self.scene.clock

    @property
    def characters(self) -> tuple[str, ...]:
        """Who is shown."""
        return (self.who,) if self.who else self.scene.characters

    @property
    def title(self) -> str:
        """The scene's title, or its file's name."""
        return self.scene.title or self.scene.file

    def lines_of(self, who: str) -> tuple[LaidLine, ...]:
        """A character's lines that sound in the frames shown."""
        return tuple(x for x in self.laid.between(*self.frames) if x.who == who)

    def suggestions_of(self, who: str) -> tuple[Suggestion, ...]:
        """A character's suggestions in the frames shown."""
        return tuple(s for s in self.plan.suggestions if s.who == who and self.shows(s.frames, who))

    def poses_of(self, who: str) -> tuple[KeyPose, ...]:
        """A character's key poses in the frames shown, in order of time."""
        own = [p for p in self.scene.poses if p.who == who and self.shows((p.frame, p.frame), who)]
        return tuple(sorted(own, key=lambda p: (p.frame, p.part)))

    def shows(self, frames: tuple[int, int], who: str | None) -> bool:
        """True if something of a character on these frames is among what is shown."""
        inside = frames[0] <= self.frames[1] and frames[1] >= self.frames[0]
        return inside and (self.who is None or who in (None, self.who))


def shot_facts(
    shot: Shot,
    *,
    who: str | None = None,
    line: str | None = None,
    phrase: int | None = None,
    frames: tuple[int, int] | None = None,
    path_review: PathReview | None = None,
) -> ShotFacts:
    """The facts of a shot, or of one line (number or id), phrase or range of frames.

    Raises UsageError for a character, line or phrase that does not exist.
    """
    scene = shot.scene
    if who is not None and who not in scene.characters:
        known = ", ".join(scene.characters)
        raise UsageError(f'no character "{who}" in {scene.file}', mend=f"use one of: {known}")
    if sum(given is not None for given in (line, phrase, frames)) > 1:
        raise UsageError("--line, --phrase and --frames say the same", mend="give one of them")
    plan = make_plan(shot)
    first, last = shot.frames_with_handles
    if line is not None:
        first, last = _line_frames(scene, plan, line)
    elif phrase is not None:
        first, last = _phrase(shot, phrase).frames
    elif frames is not None:
        first, last = max(first, frames[0]), min(last, frames[1])
        if first > last:
            raise UsageError(
                f"--frames {frames[0]}-{frames[1]} lie outside the shot",
                mend=f"the shot is {plan.shot[0]}-{plan.shot[1]}",
            )
    return ShotFacts(shot, plan, FrameRange(first, last), who, path_review)


def _line_frames(scene: Scene, plan: Plan, named: str) -> tuple[int, int]:
    """The frames of a line by its id or number. Raises UsageError if there is none."""
    for placed in plan.lines:
        if named == placed.id:
            return placed.frames
    for placed in plan.lines:
        if named == str(placed.line):
            return placed.frames
    known = ", ".join(dict.fromkeys(placed.id for placed in plan.lines))
    raise UsageError(f'no line "{named}" in {scene.file}', mend=f"use a number or one of: {known}")


def _phrase(shot: Shot, number: int) -> PhraseAt:
    """A phrase by its number over the scene, from 1. Raises UsageError if there is none."""
    phrases = shot.phrases
    if not 1 <= number <= len(phrases):
        raise UsageError(f"no phrase {number} in {shot.scene.file}",
                         mend=f"it has phrases 1 to {len(phrases)}")  # fmt: skip
    return phrases[number - 1]
