"""Two versions of key poses side by side: what moved, what is mended, which notes it answers.

Conventions: frames are the scene's own, inclusive; `by` is new minus old. Poses are paired within
one part of one character: first those on the same frame, then those of the same name, in order,
then the nearest within half a second. Problems (an early or late pose, a missed main accent, a
finding) are the same if they are of one kind, one character, share a part (if both name any) and
lie within half a second of each other. A note is answered when a problem on its frames is gone and
none that is certain is left there; what only moved is told as changed, for the lead to judge.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from planner.check.assign import Target, Window, assign
from planner.check.result import CheckResult
from planner.frames import FrameRate
from planner.scene import KeyPose, Note

NEAR_S = 0.5  # farther apart, two poses or two problems are not the same one

State = Literal["answered", "changed", "untouched"]


@dataclass(frozen=True, slots=True)
class Change:
    """What became of a pose: moved (both), new (no old) or gone (no new)."""

    old: KeyPose | None
    new: KeyPose | None

    @property
    def pose(self) -> KeyPose:
        """The pose as it is, or was."""
        pose = self.new or self.old
        assert pose is not None  # one of the two is always there
        return pose

    @property
    def frames(self) -> tuple[int, ...]:
        """Where it is and was."""
        return tuple(p.frame for p in (self.old, self.new) if p)

    @property
    def text(self) -> str:
        """In words."""
        pose = self.pose
        named = f"{pose.who}, {pose.part}" + (f', "{pose.name}"' if pose.name else "")
        if self.old is None:
            return f"{named}: new on {pose.frame}"
        if self.new is None:
            return f"{named}: gone from {pose.frame}"
        by = self.new.frame - self.old.frame
        if by:
            frames = "1 frame" if abs(by) == 1 else f"{abs(by)} frames"
            way = "later" if by > 0 else "earlier"
            return f"{named}: {self.old.frame} to {self.new.frame}, {frames} {way}"
        return f'{named}: on {pose.frame}, was "{self.old.name}"'

    def to_json(self) -> dict[str, Any]:
        """As JSON: frame numbers, null where there is none."""
        pose = self.pose
        return {
            "who": pose.who, "part": pose.part, "name": pose.name,
            "from": self.old.frame if self.old else None,
            "to": self.new.frame if self.new else None,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Problem:
    """Anything a check holds against poses, in one shape."""

    kind: str
    who: str
    frames: tuple[int, int]
    parts: tuple[str, ...]
    text: str
    certain: bool

    @property
    def where(self) -> str:
        """Its frames as text."""
        first, last = self.frames
        return str(first) if first == last else f"{first}-{last}"

    def to_json(self) -> dict[str, Any]:
        """As JSON, with the keys of a finding."""
        return {"kind": self.kind, "who": self.who, "frames": list(self.frames),
                "parts": list(self.parts), "certain": self.certain, "text": self.text}  # fmt: skip


@dataclass(frozen=True, slots=True)
class NoteState:
    """What the new version does about a note; `number` counts from 1 as in `note list`."""

    number: int
    text: str
    frames: tuple[int, int]
    state: State
    because: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """As JSON."""
        return {"note": self.number, "text": self.text, "frames": list(self.frames),
                "state": self.state, "because": list(self.because)}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Comparison:
    """The whole comparison."""

    changes: tuple[Change, ...]
    gone: tuple[Problem, ...]
    new: tuple[Problem, ...]
    kept: tuple[Problem, ...]
    notes: tuple[NoteState, ...]

    def to_json(self) -> dict[str, Any]:
        """As JSON: the key `against` of a check."""
        return {
            "poses": [c.to_json() for c in self.changes],
            "gone": [p.to_json() for p in self.gone], "new": [p.to_json() for p in self.new],
            "kept": [p.to_json() for p in self.kept],
            "notes": [n.to_json() for n in self.notes],
        }  # fmt: skip


def compare_checks(
    old: CheckResult,
    new: CheckResult,
    rate: FrameRate,
    notes: Sequence[tuple[int, Note]] = (),
) -> Comparison:
    """What changed between two checks of the same scene.

    notes : open notes with their number, already on their present frames.
    """
    near = rate.frames(NEAR_S)
    changes = pose_changes([p.pose for p in old.poses], [p.pose for p in new.poses], near)
    gone, fresh, kept = _sorted_out(problems_of(old), problems_of(new), near)
    states = [_note_state(number, note, changes, gone, fresh, kept) for number, note in notes]
    return Comparison(tuple(changes), gone, fresh, kept, tuple(states))


def problems_of(result: CheckResult) -> tuple[Problem, ...]:
    """All that is held against the poses of a check, in order of frames."""
    found = [
        Problem(
            p.verdict, p.pose.who, (p.pose.frame, p.pose.frame), (p.pose.part,),
            f"{p.pose.part} is {p.verdict} by {abs(p.by_frames or 0)} for "
            f"{p.stress.word if p.stress else 'a stress'}", True,
        )
        for p in result.poses
        if p.verdict in ("early", "late")
    ]  # fmt: skip
    found += [
        Problem("missed", s.who, (s.frame,) * 2, (), f"no pose on {s.word}, a main accent", True)
        for s in result.missed
        if s.main
    ]
    found += [
        Problem(f.kind, f.who, f.frames, f.parts, f"{spaced(f.kind)}: {f.text}", f.certain)
        for f in result.findings
    ]
    return tuple(sorted(found, key=lambda p: (p.frames, p.who, p.kind)))


def spaced(kind: str) -> str:
    """A kind of finding as people write it: "rushed settle"."""
    return kind.replace("-", " ")


def pose_changes(old: Sequence[KeyPose], new: Sequence[KeyPose], near: int) -> list[Change]:
    """Poses that moved, came, went or were renamed, in order of frames."""
    keys = dict.fromkeys((p.who, p.part) for p in [*old, *new])
    changes: list[Change] = []
    for key in keys:
        mine = [sorted((p for p in side if (p.who, p.part) == key), key=lambda p: p.frame)
                for side in (old, new)]  # fmt: skip
        changes += _part_changes(mine[0], mine[1], near)
    return sorted(changes, key=lambda c: (min(c.frames), c.pose.who, c.pose.part))


def _part_changes(old: list[KeyPose], new: list[KeyPose], near: int) -> list[Change]:
    frames = {p.frame: p for p in new}
    found = [
        Change(p, frames[p.frame]) for p in old
        if p.frame in frames and frames[p.frame].name != p.name
    ]  # fmt: skip
    stay = {p.frame for p in old} & set(frames)
    left = [p for p in old if p.frame not in stay]
    come = [p for p in new if p.frame not in stay]
    for name in dict.fromkeys(p.name for p in left if p.name):
        found += _paired([p for p in left if p.name == name],
                         [p for p in come if p.name == name], 8 * near)  # fmt: skip
    left, come = _without(left, come, found)
    found += _paired(left, come, near)
    left, come = _without(left, come, found)
    return found + [Change(p, None) for p in left] + [Change(None, p) for p in come]


def _paired(old: list[KeyPose], new: list[KeyPose], near: int) -> list[Change]:
    window = Window(0, 0, -near, near)
    pairs = assign([p.frame for p in new], [Target(p.frame, window) for p in old])
    return [Change(old[j], new[i]) for i, j in enumerate(pairs) if j is not None]


def _without(
    left: list[KeyPose], come: list[KeyPose], found: Iterable[Change]
) -> tuple[list[KeyPose], list[KeyPose]]:
    taken = {id(p) for c in found for p in (c.old, c.new)}
    return [p for p in left if id(p) not in taken], [p for p in come if id(p) not in taken]


def _sorted_out(
    old: Sequence[Problem], new: Sequence[Problem], near: int
) -> tuple[tuple[Problem, ...], tuple[Problem, ...], tuple[Problem, ...]]:
    """Problems that are gone, that are new, and that stayed."""
    waiting = list(old)
    fresh, kept = [], []
    for problem in new:
        twin = next((p for p in waiting if _same(p, problem, near)), None)
        if twin is None:
            fresh.append(problem)
        else:
            waiting.remove(twin)
            kept.append(problem)
    return tuple(waiting), tuple(fresh), tuple(kept)


def _same(a: Problem, b: Problem, near: int) -> bool:
    apart = max(a.frames[0], b.frames[0]) - min(a.frames[1], b.frames[1])
    shared = not a.parts or not b.parts or set(a.parts) & set(b.parts)
    return a.kind == b.kind and a.who == b.who and apart <= near and bool(shared)


def _note_state(
    number: int,
    note: Note,
    changes: Sequence[Change],
    gone: Sequence[Problem],
    fresh: Sequence[Problem],
    kept: Sequence[Problem],
) -> NoteState:
    first, last = note.frames

    def here(who: str, frames: Iterable[int]) -> bool:
        span = list(frames)
        return note.who in (None, who) and min(span) <= last and max(span) >= first

    moved = [c.text for c in changes if here(c.pose.who, c.frames)]
    mended = [f"gone: {p.text}" for p in gone if here(p.who, p.frames)]
    left = [f"left: {p.text}" for p in [*fresh, *kept] if p.certain and here(p.who, p.frames)]
    state: State = "untouched"
    if mended and not left:
        state = "answered"
    elif moved:
        state = "changed"
    return NoteState(number, note.text, note.frames, state, (*moved, *mended, *left))
