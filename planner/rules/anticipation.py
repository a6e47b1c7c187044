"""Anticipations: back before forth, for main accents with room before them.

`hit` is the frame furthest back, where the accent starts. Against the accent's direction. It may
start before the line; where there is not room enough it is shortened and says so, and with less
than about three frames at 24 there is none.
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import LineContext
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import own
from planner.rules import rule
from planner.rules._words import COMMON, opposite

LEAST_S = 0.12  # about 3 frames at 24; a shorter way back reads as a jerk
PREPARED_SIZE = 0.3  # a smaller nod is struck; preparing it would make it more than it is
STILL_S = 0.02
LEAST_SIZE = 0.06  # smaller ones cannot be seen; the voice prepares the hit


@rule("anticipation", order=30)
def anticipations(context: LineContext, board: Board) -> list[Draft]:
    """One before each main accent that has the room."""
    found: list[Draft] = []
    mains = {s.anchor: s for s in context.syllables if s.main}
    for hit in sorted(board.kind("accent"), key=lambda d: d.start_s):
        syllable = mains.get(hit.anchor)
        intent = context.spans[hit.span].intent
        wanted_s = intent.anticipation_ms / 1000
        if syllable is None or wanted_s <= 0 or intent.anticipation_ratio <= 0:
            continue
        if hit.size < PREPARED_SIZE:
            continue
        free_s = _free_since(board, hit)
        start_s = max(hit.start_s - wanted_s, free_s)
        if hit.start_s - start_s < LEAST_S or hit.size * intent.anticipation_ratio < LEAST_SIZE:
            continue
        found.append(_anticipation(context, hit, start_s, wanted_s, hit.start_s - free_s))
    return found


def _free_since(board: Board, hit: Draft) -> float:
    """Since when the head is free before an accent: other hits on their way, and attitudes."""
    ends = [d.leaves_s for d in board.kind("accent") if d.start_s < hit.start_s]
    ends += [d.end_s for d in board.moves("whole", "head") if d.start_s < hit.start_s]
    return max([*ends, board.low_s])


def _anticipation(
    context: LineContext, hit: Draft, start_s: float, wanted_s: float, room_s: float
) -> Draft:
    span = context.spans[hit.span]
    intent = span.intent
    given_s = hit.start_s - start_s
    does = f"Back for {own('in')} before the hit, against its direction."
    if given_s < wanted_s - 0.005:
        does += " Shorter than it wants to be: there is no more room before it."
    word = f' "{hit.text}"' if hit.text else ""
    sound = f"the head is free before the main accent{word}"
    return context.draft(
        "anticipation", "head", hit.anchor, span=span, text=hit.text,
        at_s=(start_s, hit.start_s, hit.start_s),
        size=min(1.0, hit.size * intent.anticipation_ratio), direction=opposite(hit.direction),
        path="arc",
        because=Why(sound, f"{intent.said}: prepares {intent.anticipation_ratio:.2f} of the hit",
                    does, COMMON),
        ease="sine", least_s=LEAST_S - STILL_S, before=hit.id,
    )  # fmt: skip
