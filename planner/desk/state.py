"""Desk: what is open, where the eye is, what is chosen, and everything done so far; all frozen.

Every key of the desk is a function from a Desk to a Desk; nothing here knows a screen. Edits go
through `edit`, which keeps each earlier scene (undo without end: scenes share their parts). The
plan is made elsewhere, by whoever holds the planner, and handed in with `with_plan`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, Literal

from audio.reading import VoiceReading
from planner.desk.choices import (
    BeatAt,
    Choice,
    NoteAt,
    Phrases,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
)
from planner.desk.facts import Facts
from planner.desk.plan_index import PlanIndex, hit_of, index_plan
from planner.desk.verdicts import NO_VERDICTS, Verdicts
from planner.intents import scene_intents
from planner.motion.performance import Performance
from planner.plan.suggestion import Plan
from planner.scene import Beat, Line, Scene
from planner.shot import Shot, shot_of
from planner.shot.laid import Laid, lay_shot

Unit = Literal["frames", "timecode", "seconds", "feet"]
Way = Literal["mean", "move", "mend"]
Panel = str  # its name in the table of panels (`views.panels`)

UNITS: tuple[Unit, ...] = ("frames", "timecode", "seconds", "feet")
ZOOMS = (1, 2, 4, 8, 16)  # frames a column
MOST_FAVOURITES = 9  # the number keys


@dataclass(frozen=True, slots=True)
class Window:
    """What part of the shot is seen: the first frame, frames a column, columns."""

    first: int
    per_column: int = 1
    columns: int = 60

    @property
    def last(self) -> int:
        """The last frame seen."""
        return self.first + self.per_column * self.columns - 1

    def column(self, frame: int) -> int:
        """The column of a frame (outside 0..columns-1 if not seen)."""
        return (frame - self.first) // self.per_column

    def frame(self, column: int) -> int:
        """The first frame of a column."""
        return self.first + column * self.per_column


@dataclass(frozen=True, slots=True)
class Top:
    """How far a list is scrolled: its first row, and what was chosen when it last followed that."""

    row: int = 0
    followed: object = None


@dataclass(frozen=True, slots=True)
class Other:
    """Another version to compare with: its scene and plan, and what it is called (`told`).

    `name` is what stands on the desk itself. `on_top`: the other one is looked at first.
    """

    scene: Scene
    plan: Plan
    index: PlanIndex
    told: str
    name: str
    on_top: bool = False


@dataclass(frozen=True, slots=True)
class Past:
    """A scene as it was before something was done, and what that was."""

    scene: Scene
    did: str
    earlier: Past | None


@dataclass(frozen=True, slots=True)
class Grip:
    """The mouse has hold of something: where it took it, and all as it was then."""

    thing: BeatAt | SuggestionOf | PoseAt
    frame: int
    scene: Scene
    past: Past | None
    future: Past | None


@dataclass(frozen=True, slots=True)
class Desk:
    """All that the desk knows. `read`: by what a reading depends on; `shot`: as the user hears."""

    scene: Scene
    read: Mapping[object, VoiceReading]
    shot: Shot
    laid: Laid
    facts: Facts
    plan: Plan
    index: PlanIndex
    planned: Scene
    saved: Scene
    cursor: int
    window: Window
    verdicts: Verdicts = NO_VERDICTS
    choice: Choice | None = None
    panel: Panel = "words"
    way: Way = "move"
    who: str | None = None
    part: str = ""
    unit: Unit = "frames"
    show_dropped: bool = False
    past: Past | None = None
    future: Past | None = None
    past_of_saved: Past | None = None
    said: str = ""
    grip: Grip | None = None
    tops: Mapping[str, Top] = field(default_factory=lambda: MappingProxyType({}))
    last_tag: tuple[str, float] | None = None
    favourites: tuple[str, ...] = ()
    other: Other | None = None
    performance: Performance | None = None

    @property
    def changed(self) -> bool:
        """True if there is something to save."""
        return self.scene is not self.saved and self.scene != self.saved

    @property
    def stale(self) -> bool:
        """True while the plan shown was made for an earlier scene."""
        return self.planned is not self.scene


def open_desk(scene: Scene, readings: Mapping[int, VoiceReading], plan: Plan) -> Desk:
    """A desk on a scene, with the cursor on the first word."""
    shot = shot_of(scene, readings)
    laid = lay_shot(shot)
    cursor = (
        laid.lines[0].words[0].frames[0] if laid.lines and laid.lines[0].words else laid.shot[0]
    )
    return Desk(
        scene=scene, read=read_by_key(scene, readings), shot=shot, laid=laid,
        facts=Facts(shot, laid), plan=plan, index=index_plan(plan),
        planned=scene, saved=scene, cursor=cursor, window=Window(laid.shot[0]),
        favourites=favourites(scene),
    )  # fmt: skip


def favourites(scene: Scene) -> tuple[str, ...]:
    """The intents on the number keys: those the scene uses most, then others of the table."""
    used = Counter(beat.intent for beat in scene.beats)
    known = [name for name in scene_intents(scene) if name not in used and name != "neutral"]
    return tuple([*(name for name, _ in used.most_common()), *known][:MOST_FAVOURITES])


def on_scene(desk: Desk, scene: Scene, readings: Mapping[int, VoiceReading] | None = None) -> Desk:
    """The desk on another scene; its lines are laid anew if any of them, or the time, differs."""
    before = desk.scene
    same = scene.lines == before.lines and scene.clock == before.clock and scene.shot == before.shot
    if same and readings is None:
        shot = desk.shot.changed(scene)
        return replace(desk, scene=scene, shot=shot, facts=Facts(shot, desk.laid))
    read = {**desk.read, **({} if readings is None else read_by_key(scene, readings))}
    own = {line.number: read[k] for line in scene.lines if (k := reading_key(line)) in read}
    shot = desk.shot.changed(scene, own)
    laid = lay_shot(shot)
    return replace(desk, scene=scene, read=read, shot=shot, laid=laid, facts=Facts(shot, laid))


def reading_key(line: Line) -> object:
    """What a reading depends on: the sound, its part, the text, how words sound."""
    like = tuple(sorted(line.sounds_like.items()))
    return (line.sound, line.clip_s, line.say, like, line.language)


def read_by_key(scene: Scene, readings: Mapping[int, VoiceReading]) -> dict[object, VoiceReading]:
    """Readings by what they depend on, so that undo finds them again."""
    return {
        reading_key(line): readings[line.number] for line in scene.lines if line.number in readings
    }


def edit(desk: Desk, did: str, *, choice: Choice | None = None, **parts: Any) -> Desk:
    """A desk whose scene has other `parts`; the scene before is kept for undo.

    `did` says in a few words what was done; `choice` is what is chosen afterwards. Where the scene
    comes out as it was, nothing was done: that is said, and there is nothing to undo.
    """
    scene = replace(desk.scene, **parts)
    if scene == desk.scene:
        same = desk.choice if choice is None else choice
        return replace(desk, choice=same, said="nothing changed: it is so already")
    past = Past(desk.scene, did, desk.past)
    return replace(
        on_scene(desk, scene), past=past, future=None, said=did, other=None,
        choice=choice if choice is not None else desk.choice,
    )  # fmt: skip


def beat_frames(desk: Desk, beat: Beat) -> tuple[int, int] | None:
    """First and last frame of a beat, by the one rule of the shot; None without a place."""
    return desk.shot.beat_frames(beat)


def undo(desk: Desk) -> Desk:
    """Back to the scene before the last thing done; the cursor goes to where that was."""
    past = desk.past
    if past is None:
        return say(desk, "nothing to undo")
    future = Past(desk.scene, past.did, desk.future)
    return _valid(
        replace(
            on_scene(desk, past.scene),
            past=past.earlier,
            future=future,
            said=f"undone: {past.did}",
        )
    )


def redo(desk: Desk) -> Desk:
    """Forward again to what was undone last."""
    future = desk.future
    if future is None:
        return say(desk, "nothing to redo")
    past = Past(desk.scene, future.did, desk.past)
    return _valid(
        replace(
            on_scene(desk, future.scene),
            past=past,
            future=future.earlier,
            said=f"again: {future.did}",
        )
    )


def undo_depth(desk: Desk) -> int:
    """How many things can be undone."""
    return len(_way_to(desk.scene, desk.past)) - 1


def changes_unsaved(desk: Desk) -> int:
    """How many steps lie between what was saved and the desk: undone ones, and those made."""
    if not desk.changed:
        return 0
    here, there = _way_to(desk.scene, desk.past), _way_to(desk.saved, desk.past_of_saved)
    shared = 0
    while shared < min(len(here), len(there)) and here[shared] is there[shared]:
        shared += 1
    return len(here) + len(there) - 2 * shared


def _way_to(scene: Scene, past: Past | None) -> list[Scene]:
    """The scenes from the first one to this."""
    way = [scene]
    while past is not None:
        way.append(past.scene)
        past = past.earlier
    return way[::-1]


def say(desk: Desk, text: str) -> Desk:
    """The same desk with a remark for the user."""
    return replace(desk, said=text)


def with_plan(desk: Desk, scene: Scene, plan: Plan, verdicts: Verdicts) -> Desk:
    """Take in a plan made for `scene`; nothing if the scene has changed since.

    A cursor on the hit of the chosen suggestion goes with it.
    """
    if scene is not desk.scene:
        return desk
    index = index_plan(plan)
    cursor = desk.cursor
    if isinstance(desk.choice, SuggestionOf):
        before, now = (i.by_id.get(desk.choice.id) for i in (desk.index, index))
        if before and now and hit_of(before) == cursor:
            cursor = min(max(hit_of(now), desk.laid.shot[0]), desk.laid.shot[1])
    return _valid(
        replace(desk, plan=plan, index=index, planned=scene, verdicts=verdicts, cursor=cursor)
    )


def edit_whole(desk: Desk, scene: Scene, did: str) -> Desk:
    """Another version of the same scene in its place; the one before is kept for undo."""
    past = Past(desk.scene, did, desk.past)
    return _valid(replace(on_scene(desk, scene), past=past, future=None, said=did))


def with_saved(desk: Desk) -> Desk:
    """The scene was saved."""
    return replace(desk, saved=desk.scene, past_of_saved=desk.past, said="saved")


def with_scene_from_disk(desk: Desk, scene: Scene, readings: Mapping[int, VoiceReading]) -> Desk:
    """Take the scene as it stands in the file; what was on the desk stays in the undo history."""
    past = Past(desk.scene, "what the file says", desk.past)
    taken = on_scene(desk, scene, readings)
    return _valid(
        replace(
            taken,
            saved=scene,
            past_of_saved=past,
            past=past,
            future=None,
            said="the file changed: taken over; z goes back",
        )
    )


def _valid(desk: Desk) -> Desk:
    """Let go of a choice that no longer exists."""
    choice, scene = desk.choice, desk.scene
    gone = (
        (isinstance(choice, Words) and (choice.line, choice.last) not in desk.facts.word_place)
        or (isinstance(choice, Phrases) and choice.last >= len(desk.facts.phrases))
        or (isinstance(choice, BeatAt) and choice.index >= len(scene.beats))
        or (isinstance(choice, PoseAt) and choice.index >= len(scene.poses))
        or (isinstance(choice, NoteAt) and choice.index >= len(scene.notes))
        or (isinstance(choice, ProblemAt) and choice.index >= len(desk.verdicts.problems))
        or (isinstance(choice, SuggestionOf) and not desk.index.has(choice.id))
    )
    return replace(desk, choice=None) if gone else desk
