"""The small life of a long listening hold: one answer of eyes or brows to what was just stressed.

Eight to twelve frames at 24 after the speaker's main stress (common practice), never before its
word could be understood. One in each long hold, more only where it lasts on; never one on each
phrase, for a listener is still (the head moves in 13 % of the time, Hadar et al. 1983).
Planned by `brow` and `look`; blinks keep clear of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.plan.conflicts import Board
from planner.plan.listening import HeardLine, HeardStress, Listening
from planner.plan.time_words import ago
from planner.rules._vary import between, share_of

AFTER_STRESS_S = (8 / 24, 12 / 24)  # common practice
LONG_HOLD_S = 1.0  # shorter than that stillness is no hole
EVERY_S = 5.0  # a second one only as long after the first
EDGE_S = 0.25  # clear of what comes before and after
SIZE = 0.15
CERTAINTY = 0.3


@dataclass(frozen=True, slots=True)
class Life:
    """One small sign: when, of which part, to which stress."""

    at_s: float
    part: Literal["brows", "eyes"]
    direction: str
    heard: HeardLine
    stress: HeardStress

    @property
    def said(self) -> str:
        """What was heard, and how long before."""
        what = f'"{self.stress.word}"' if self.stress.word else "a syllable"
        return f"{self.heard.who} stresses {what} {ago(self.stress.beat_s)}"


def lives(listening: Listening, board: Board) -> list[Life]:
    """Signs of life in the long holds of a listening stretch, in time order."""
    found: list[Life] = []
    for start_s, end_s in _holds(listening, board):
        near = [
            (stress, heard, at_s) for heard in listening.heard for stress in heard.stresses
            for at_s in (_at_s(stress, heard),)
            if start_s + EDGE_S <= at_s <= end_s - EDGE_S
        ]  # fmt: skip
        for stress, heard, at_s in sorted(near, key=lambda n: (-n[0].prominence, n[2])):
            if all(abs(at_s - other.at_s) >= EVERY_S for other in found):
                part, direction = _sign(listening, stress, heard)
                found.append(Life(at_s, part, direction, heard, stress))
    return sorted(found, key=lambda life: life.at_s)


def _holds(listening: Listening, board: Board) -> list[tuple[float, float]]:
    """Long stretches in which head and body do nothing."""
    busy = sorted((d.start_s, d.end_s) for d in board.moves("whole", "head") if d.kind != "hold")
    found: list[tuple[float, float]] = []
    cursor = listening.start_s
    for start_s, end_s in [*busy, (listening.end_s, listening.end_s)]:
        if start_s - cursor >= LONG_HOLD_S:
            found.append((cursor, start_s))
        cursor = max(cursor, end_s)
    return found


def _at_s(stress: HeardStress, heard: HeardLine) -> float:
    late_s = between(*AFTER_STRESS_S, heard.line_id, stress.anchor, stress.word)
    return max(stress.beat_s + late_s, stress.known_s)


def _sign(
    listening: Listening, stress: HeardStress, heard: HeardLine
) -> tuple[Literal["brows", "eyes"], str]:
    """A tone that rises is met with the brows; else the attitude says, else the eyes take it in."""
    brow = listening.attitude.brow if listening.attitude else "none"
    if stress.rises:
        return "brows", "up"
    if brow != "none" and share_of(listening.who, heard.line_id, stress.anchor) < 0.5:
        return "brows", brow
    return "eyes", "down a little, and back"
