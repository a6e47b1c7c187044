"""What can be chosen on the desk: words, phrases, frames, a beat, a suggestion, a pose, a note.

Plain frozen data; lines, words count from 1, places in the scene from 0, frames are inclusive.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Edge = Literal["start", "end"]


@dataclass(frozen=True, slots=True)
class Words:
    """Words of a line, first and last, counted from 1. `edge`: which is retimed."""

    line: int
    first: int
    last: int
    edge: Edge = "end"


@dataclass(frozen=True, slots=True)
class Phrases:
    """Several phrases of the script, by their places in it. `anchor` stays when it grows."""

    first: int
    last: int
    anchor: int


@dataclass(frozen=True, slots=True)
class Frames:
    """Frames, inclusive. `anchor` is the end that stays when the stretch grows."""

    first: int
    last: int
    anchor: int


@dataclass(frozen=True, slots=True)
class BeatAt:
    """A beat, by its place in the scene. `edge` is the one that is nudged."""

    index: int
    edge: Edge = "end"


@dataclass(frozen=True, slots=True)
class SuggestionOf:
    """A suggestion, by its id."""

    id: str


@dataclass(frozen=True, slots=True)
class PoseAt:
    """A key pose, by its place in the scene."""

    index: int


@dataclass(frozen=True, slots=True)
class NoteAt:
    """A note, by its place in the scene."""

    index: int


@dataclass(frozen=True, slots=True)
class ProblemAt:
    """A problem, by its place in the list of problems."""

    index: int


Choice = Words | Phrases | Frames | BeatAt | SuggestionOf | PoseAt | NoteAt | ProblemAt
