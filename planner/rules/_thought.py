"""The change of thought between adjoining beats: which of blink, breath or weight shift marks it.

The new intent names it; where it cannot be had (no silence to breathe in, planted hips, a blink too
soon after the last) the next best is taken. Each is planned by the file of its own kind.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span
from planner.plan.drafts import Draft

BREATH_GAP_S = 0.3  # an in-breath shorter than 7 frames at 24 cannot be seen
UNHEARD_GAP_S = 0.45  # one that is not heard needs a silence in which it could have been
SHORTEST_SHIFT_S = 0.2  # a weight shift needs as much of a change of attitude
# Shortest mean interval of people talking: 32.5 blinks a minute (Doughty 2001, 95 % band).
BLINK_GAP_S = 60 / 32.5


@dataclass(frozen=True, slots=True)
class Change:
    """A change of thought: the new beat, the attitude it comes with, and what marks it."""

    span: Span
    pose: Draft
    mark: str
    words: str


def changes(context: LineContext, board: Board) -> list[Change]:
    """Every change of thought inside the line, and the one from the character's line before."""
    found: list[Change] = []
    last_blink_s = -1e9
    poses = {d.span: d for d in board.kind("pose")}
    for span in context.spans:
        pose = poses.get(span.number - 1)
        old = _intent_before(context, span)
        if pose is None or old is None or pose.hit_s == pose.start_s:
            continue
        if span.number == 1 and old == span.intent.name:
            continue
        mark = _mark(context, span, pose, board, last_blink_s)
        if mark == "blink":
            last_blink_s = pose.start_s
        found.append(Change(span, pose, mark, f"from {old} to {span.intent.name}"))
    return found


def _intent_before(context: LineContext, span: Span) -> str | None:
    if span.number > 1:
        return context.spans[span.number - 2].intent.name
    return context.inputs.before.intent if context.inputs.before else None


def _mark(context: LineContext, span: Span, pose: Draft, board: Board, last_blink_s: float) -> str:
    """What marks the change: the intent's choice, or the next best that can be had."""
    wanted = span.intent.thought_change
    shift = (
        (pose.hit_s or 0.0) - pose.start_s >= SHORTEST_SHIFT_S
        and "hips" not in board.planted_during(pose.start_s, pose.end_s)
    )  # fmt: skip
    blink = pose.start_s - last_blink_s >= BLINK_GAP_S
    if wanted == "breath":
        room_s = breathed_by_s(context, span, pose) - silent_from_s(context, span)
        if room_s >= (BREATH_GAP_S if _breathes(context, span) else UNHEARD_GAP_S):
            return "breath"
    if wanted == "weight shift" and shift:
        return "weight shift"
    if blink or not shift:
        return "blink"
    return "weight shift"


def breathed_by_s(context: LineContext, span: Span, pose: Draft) -> float:
    """When a breath before a beat is over: at its first word, or before a body that goes down."""
    begin_s = context.span_start_s(span)
    if pose.direction == "down" and not _breathes(context, span):
        return min(begin_s, pose.start_s)
    return begin_s


def silent_from_s(context: LineContext, span: Span) -> float:
    """Since when there is silence before a beat."""
    return context.span_start_s(span) - context.gap_before_s(span)


def _breathes(context: LineContext, span: Span) -> bool:
    """Whether an in-breath is heard in the silence before a beat."""
    low_s, high_s = silent_from_s(context, span), context.span_start_s(span)
    return any(
        e.kind == "breath" and e.start_s >= low_s - 0.1 and e.end_s <= high_s + 0.1
        for e in context.events
    )
