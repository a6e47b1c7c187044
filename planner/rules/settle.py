"""Settles: a little past the end, then back to rest.

`hit` is the frame at rest. Out 2-4 frames at 24, back in 6-14, longer where the intent is heavy or
tender (common practice: a move that ends too fast wants a longer settle). A settle is cut short
where the next move takes over, and left out where that leaves nothing to see. Shares in its chart
are of its own path: half way is furthest past.
"""

from __future__ import annotations

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext
from planner.plan.drafts import Draft
from planner.plan.listening import Listening
from planner.plan.suggestion import Why
from planner.plan.time_words import own
from planner.rules import rule
from planner.rules._words import COMMON

OVERSHOOT_S = (2 / 24, 4 / 24)  # common practice: 2-4 frames at 24
SETTLE_S = (6 / 24, 14 / 24)  # common practice: 6-14 frames at 24
LEAST_S = 0.2
LEAST_SIZE = 0.015  # what goes past by less is no settle anyone sees
SOFTEST = 0.02  # a turn of the head is never stopped dead
SETTLES = ("pose", "head-move")


@rule("settle", order=60)
def settles(context: LineContext, board: Board) -> list[Draft]:
    """After each attitude the character moved into, and after each turn of the head."""
    found = [
        _until_hit(_settle(context, move, context.spans[move.span].intent), board)
        for move in board.placed
        if move.kind in SETTLES and move.end_s > move.start_s
    ]
    return [d for d in found if d is not None and d.size >= LEAST_SIZE]


def _until_hit(settle: Draft, board: Board) -> Draft | None:
    """The settle as far as the next hit lets it die out; None where that leaves nothing."""
    starts = [
        d.start_s
        for d in board.kind("accent")
        if d.start_s < settle.end_s and (d.hit_s or d.end_s) > settle.start_s
    ]
    if not starts:
        return settle
    end_s = max(min(starts), settle.start_s)
    if end_s - settle.start_s < LEAST_S:
        return None
    return settle.trimmed(settle.start_s, end_s).noting("Cut short: the next hit takes over.")


@rule("settle", order=60, of="listening")
def settles_of_listener(listening: Listening, board: Board) -> list[Draft]:
    """After a reaction or an attitude taken while listening."""
    intents = {f"c{r.cue + 1}": r.intent for r in listening.reactions}
    intents |= {f"b{b.beat + 1}": b.intent for b in listening.beats}
    return [
        _settle(listening, move, intents[move.anchor])
        for move in board.placed
        if move.kind in ("pose", "reaction") and move.end_s > move.start_s
    ]


def settle_times(intent: Intent, end_s: float) -> tuple[float, float]:
    """When the move is furthest past its end, and when it is at rest."""
    out_s = min(max(intent.overshoot_ms / 1000, OVERSHOOT_S[0]), OVERSHOOT_S[1])
    back_s = min(max(intent.settle_ms / 1000, SETTLE_S[0]), SETTLE_S[1])
    return end_s + out_s, end_s + out_s + back_s


def _settle(context: LineContext | Listening, move: Draft, intent: Intent) -> Draft:
    past_s, rest_s = settle_times(intent, move.end_s)
    name = {"pose": "attitude", "head-move": "head move", "reaction": "reaction"}[move.kind]
    size = move.size * min(intent.overshoot_ratio, 1.0)
    if move.kind == "head-move":
        size = max(size, min(SOFTEST, move.size))
    keys = ((move.end_s, 0.0), (past_s, 0.5), (rest_s, 1.0))
    return Draft(
        "settle", move.part, move.who, move.line, move.line_id, move.anchor, move.text,
        move.end_s, rest_s, rest_s, size,
        f"past the end ({move.direction}), then back", "arc",
        Why(
            move.because.sound,
            f"{intent.said}: {own('in', unit=False)} past its end by "
            f"{intent.overshoot_ratio:.0%} of the move, {own('back')} back",
            f"Go past the {name} and settle slowly; do not stop on it.", COMMON,
        ),
        beat=move.beat, span=move.span, ease="sine", keys=keys, least_s=LEAST_S, step=move.step,
        certainty=0.8,
    )  # fmt: skip
