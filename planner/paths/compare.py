"""Two versions of the tracks side by side: what moved, which findings are gone, new or still there.

A finding is the same in both if its kind, character and parts are, and its frames overlap or lie
within NEAR. A note is answered where a finding on its frames is gone and none is left there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from planner.paths.findings import Finding, overlap, tidy
from planner.paths.parts import name_words
from planner.paths.ranges import runs
from planner.paths.review import PathReview
from planner.paths.tracks import Tracks
from planner.scene import Note

NEAR = 4  # frames
State = Literal["answered", "changed", "untouched"]

MOVED_MIN = 0.002  # of a track's own range: less than that is the same place
JOINED_GAP = 6  # frames; changes nearer than that are told as one


@dataclass(frozen=True, slots=True)
class Moved:
    """A stretch in which a point lies elsewhere. `most` is in the file's unit, on `at_frame`."""

    track: str
    frames: tuple[int, int]
    most: float
    at_frame: int

    def to_json(self) -> dict[str, Any]:
        """As JSON."""
        return {"track": self.track, "frames": list(self.frames), "most": tidy(self.most),
                "at_frame": self.at_frame}  # fmt: skip


@dataclass(frozen=True, slots=True)
class NoteNow:
    """What the new version does about a note; `number` counts from 1, as `note list` does."""

    number: int
    note: Note
    state: State
    because: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """As JSON, with the keys that `check --against` uses."""
        return {
            "note": self.number, "text": self.note.text, "frames": list(self.note.frames),
            "state": self.state, "because": list(self.because),
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Changes:
    """The new version against the old. `left_out` are tracks that only one of them has."""

    moved: tuple[Moved, ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    kept: tuple[Finding, ...]
    notes: tuple[NoteNow, ...]
    left_out: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "moved": [moved.to_json() for moved in self.moved],
            "gone": [finding.to_json() for finding in self.gone],
            "new": [finding.to_json() for finding in self.new],
            "kept": [finding.to_json() for finding in self.kept],
            "notes": [note.to_json() for note in self.notes],
            "left_out": list(self.left_out),
        }  # fmt: skip


def compare_reviews(
    old: PathReview, new: PathReview, *, old_tracks: Tracks, new_tracks: Tracks,
    notes: Sequence[Note] = (), who: str | None = None,
) -> Changes:  # fmt: skip
    """What changed from the old version to the new one. `who`: only this character's notes."""
    left = list(new.findings)
    gone, kept = [], []
    for finding in old.findings:
        match = next((other for other in left if same_finding(finding, other)), None)
        if match is None:
            gone.append(finding)
        else:
            left.remove(match)
            kept.append(match)
    only_one = set(old_tracks.names) ^ set(new_tracks.names)
    moved = tuple(
        m for m in what_moved(old_tracks, new_tracks)
        if m.track in new.tracks and overlap(m.frames, new.frames) > 0
    )  # fmt: skip
    return Changes(
        moved, tuple(gone), tuple(left), tuple(kept),
        tuple(_notes(notes, gone, new.findings, moved, who)), tuple(sorted(only_one)),
    )  # fmt: skip


def same_finding(a: Finding, b: Finding) -> bool:
    """True if two findings of two versions are one remark."""
    return (a.kind, a.who, a.parts) == (b.kind, b.who, b.parts) and overlap(
        a.frames, b.frames
    ) > -NEAR


def _notes(
    notes: Sequence[Note], gone: Sequence[Finding], left: Sequence[Finding],
    moved: Sequence[Moved], who: str | None,
) -> list[NoteNow]:  # fmt: skip
    """Every open note: answered where a finding on its frames is gone and none certain is left."""
    told = []
    for number, note in enumerate(notes, start=1):
        if note.done or (who is not None and note.who not in (who, None)):
            continue
        mended = [f for f in gone if _concerns(note, f)]
        open_still = [f for f in left if f.certain and _concerns(note, f)]
        because = [f"{f.kind} is gone" for f in mended]
        state: State = "untouched"
        if mended and not open_still:
            state = "answered"
        elif mended or any(overlap(note.frames, m.frames) > 0 for m in moved):
            state = "changed"
            because += [f"{f.kind} is still there" for f in open_still]
        told.append(NoteNow(number, note, state, tuple(because)))
    return told


def _concerns(note: Note, finding: Finding) -> bool:
    """A note is about a finding if frames meet, the character fits, and any part it names fits."""
    if overlap(note.frames, finding.frames) <= 0 or (
        note.who and finding.who and note.who != finding.who
    ):
        return False
    named = set(name_words(note.text)) & {"head", "chest", "hips", "hand", "arm", "fingers", "nose"}
    own = {word for part in (*finding.parts, *finding.tracks) for word in name_words(part)}
    return not named or bool(named & own)


def what_moved(old: Tracks, new: Tracks) -> list[Moved]:
    """Where points lie elsewhere than before, over the frames both versions have."""
    first = max(old.first_frame, new.first_frame)
    last = min(old.last_frame, new.last_frame)
    if last < first or old.points.shape[2] != new.points.shape[2]:
        return []
    moved = []
    for name in new.names:
        if name not in old.names:
            continue
        before = old.points[old.names.index(name), first - old.first_frame :][: last - first + 1]
        after = new.points[new.names.index(name), first - new.first_frame :][: last - first + 1]
        distance = np.nan_to_num(np.linalg.norm(after - before, axis=1))
        known = before[np.isfinite(before).all(axis=1)]
        size = float(np.linalg.norm(np.ptp(known, axis=0))) if len(known) else 0.0
        # the noise of two versions differs in every frame; a change of pose is larger
        quiet = 6.0 * float(np.median(distance[distance > 0])) if (distance > 0).any() else 0.0
        floor = max(MOVED_MIN * size, min(quiet, 0.02 * size), 1e-9)
        moved.extend(_stretches(name, distance, floor, first))
    return sorted(moved, key=lambda m: m.frames)


def _stretches(name: str, distance: np.ndarray, floor: float, first: int) -> list[Moved]:
    begin, end = runs(distance > floor)
    spans: list[list[int]] = []
    for a, b in zip(begin, end, strict=True):
        if spans and a - spans[-1][1] <= JOINED_GAP:
            spans[-1][1] = int(b)
        else:
            spans.append([int(a), int(b)])
    found = []
    for a, b in spans:
        at = a + int(np.argmax(distance[a : b + 1]))
        found.append(Moved(name, (first + a, first + b), float(distance[at]), first + at))
    return found
