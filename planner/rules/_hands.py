"""Which hand moves: by the stage, by what is planted, and not the same one twice running.

Sides are the picture's and never guessed. Where neither a stage nor a planted hand tells them,
hands are near and far: the near one is toward whom one speaks. A part needs a name, so the
near hand is written "right hand" then and the far one "left hand", and `via` says near or far.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span
from planner.plan.sides import other_side

INNER_WAYS = ("toward", "open")
NEAR, FAR = "near hand", "far hand"
_WRITTEN = {NEAR: "right hand", FAR: "left hand"}


@dataclass(frozen=True, slots=True)
class Hand:
    """A hand as a part, and how people call it: "left hand", "near hand"."""

    part: str
    name: str


def free_hand(
    context: LineContext, board: Board, during_s: tuple[float, float], span: Span, last: str | None
) -> Hand | None:
    """The hand that may move: by the stage and the gesture, the free one if the other is planted.

    The inner (near) hand goes out to someone, the outer one works beside the body; not the same
    hand twice running. None where both are planted.
    """
    planted = board.planted_during(*during_s)
    busy = [s for s in ("left", "right") if any(p.startswith(s) for p in planted)]
    if len(busy) == 2:
        return None
    if busy:
        part = f"{other_side(busy[0])} hand"
        return Hand(part, part)
    inner = context.sides.inner_side(span.toward)
    goes_out = span.intent.gesture_way in INNER_WAYS
    if inner is None:
        name = NEAR if goes_out else FAR
        if last == _WRITTEN[name]:
            name = FAR if name == NEAR else NEAR
        return Hand(_WRITTEN[name], name)
    side = inner if goes_out else other_side(inner)
    part = f"{other_side(side)} hand" if last == f"{side} hand" else f"{side} hand"
    return Hand(part, part)


def hand_said(name: str) -> str:
    """A remark where the side is not known."""
    if name not in _WRITTEN:
        return ""
    return f"The {name}: give the scene a stage and its side is named."
