"""Followers: a part that trails the part that leads.

`hit` is the follower's own extreme. The lag grows with the size of the move: 1-6 frames at 24, the
chest 3-4 after the head on a full move, or the head after the chest where the intent says so
(common practice). Small hits stay in the head. After a gesture the fingers arrive last.
"""

from __future__ import annotations

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import own
from planner.rules import rule
from planner.rules._words import COMMON

LAG_S = (1 / 24, 6 / 24)  # common practice: 1-6 frames at 24
SMALLEST_LAG_SHARE = 0.4  # of the full lag, for the smallest move
CARRIES_SIZE = 0.4  # an accent at least as big goes on into the chest
LEAST_POSE_SIZE = 0.3
FOLLOWER_SIZE = 0.5  # of the leader: halved, so that the parts are not locked
FINGER_LAG_SHARE = 0.6
LEAST_S = 0.1


@rule("follow", order=65)
def follows(context: LineContext, board: Board) -> list[Draft]:
    """The chest (or head) after attitudes and big hits, fingers after gestures."""
    found: list[Draft] = []
    for move in list(board.placed):
        intent = context.spans[move.span].intent
        if intent.parts_together:
            continue
        if move.kind == "pose" and move.end_s > move.start_s and move.size >= LEAST_POSE_SIZE:
            part = "head" if intent.lead in ("chest", "hips") else "chest"
            follower = _after(context, move, part, intent, board)
            # A hit of the head on the same frames carries it: it is not told two things at once.
            if part != "head" or not _hit_during(board, follower):
                found.append(follower)
        elif move.kind == "accent" and move.size >= CARRIES_SIZE:
            found.append(_after(context, move, "chest", intent, board))
        elif move.kind == "gesture" and move.part.endswith("hand") and move.anchor[0] != "b":
            found.append(_fingers(context, move, intent))
    return found


def _hit_during(board: Board, follower: Draft) -> bool:
    hits = board.kind("accent", "head")
    return any(h.start_s < follower.end_s and (h.hit_s or h.end_s) > follower.start_s for h in hits)


def lag_s(intent: Intent, size: float) -> float:
    """How far a follower trails a move of that size (0..1)."""
    share = SMALLEST_LAG_SHARE + (1 - SMALLEST_LAG_SHARE) * size
    return min(max(intent.follow_lag_ms / 1000 * share, LAG_S[0]), LAG_S[1])


def _after(context: LineContext, move: Draft, part: str, intent: Intent, board: Board) -> Draft:
    late_s = lag_s(intent, move.size)
    leader = intent.lead if move.kind == "pose" else "head"
    if leader == "eyes" and not any(d.span == move.span for d in board.kind("look")):
        leader = "head"
    hit_s = (move.hit_s or move.start_s) + late_s
    leads = f"the {leader} {'lead' if leader in ('eyes', 'hips') else 'leads'}"
    what = "change of attitude" if move.kind == "pose" else f'hit on "{move.text}"'
    return context.draft(
        "follow", part, move.anchor, span=context.spans[move.span], text=move.text,
        at_s=(move.start_s + late_s, hit_s, max(hit_s, move.end_s + late_s)),
        size=move.size * FOLLOWER_SIZE, direction=move.direction, path="arc",
        keys=tuple((s + late_s, at) for s, at in move.keys),
        because=Why(
            move.because.sound,
            f"{intent.said}: {leads}, the {part} trails by {own('trails')}",
            f"The {part} follows the {what} later and by half, so that the parts are not locked.",
            COMMON,
        ),
        ease=move.ease, least_s=min(LEAST_S, (move.hit_s or move.end_s) - move.start_s - 1e-6),
        certainty=0.8,
    )  # fmt: skip


def _fingers(context: LineContext, move: Draft, intent: Intent) -> Draft:
    late_s = max(lag_s(intent, move.size) * FINGER_LAG_SHARE, LAG_S[0])
    hit_s = (move.hit_s or move.start_s) + late_s
    rest_s = hit_s + max(intent.settle_ms / 1000 * 0.6, 0.15)
    return context.draft(
        "follow", move.part.replace("hand", "fingers"), move.anchor,
        span=context.spans[move.span], text=move.text,
        at_s=(hit_s - 0.15, hit_s, rest_s), size=move.size * FOLLOWER_SIZE,
        direction=move.direction, path="arc",
        because=Why(
            move.because.sound,
            f"{intent.said}: fingers {own('trails')} after the stroke",
            "The hand stops first; the fingers go on, open and settle.", COMMON,
        ),
        ease="quadratic-out", least_s=LEAST_S, certainty=0.7,
    )  # fmt: skip
