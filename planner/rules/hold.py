"""Moving holds: what is still keeps easing.

`hit` is null. Where nothing moves for a while (a pause, a stretch without a hit, listening) the
attitude eases on the way the last move went, or toward the listener, by at most a twentieth of that
move and slowing; returning is the intent's choice. A planted part does not slide.
"""

from __future__ import annotations

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span, SyllableOn
from planner.plan.drafts import Draft
from planner.plan.listening import Listening
from planner.plan.sides import Sides
from planner.plan.suggestion import Why
from planner.plan.time_words import own, until
from planner.rules import rule
from planner.rules._silence import silence_said
from planner.rules._words import COMMON
from planner.rules.laugh import span_at

LEAST_PAUSE_S = 0.3  # about 7 frames at 24
LEAST_IN_SPEECH_S = 0.6  # between hits; shorter than that the recoveries fill it
LARGEST_DRIFT = 0.05  # a twentieth of the move, common practice
DRIFTS = {"ease on": "eases on", "toward": "eases toward the other", "return": "eases back"}
LISTENING_SIZE = 0.02


@rule("hold", order=95)
def holds(context: LineContext, board: Board) -> list[Draft]:
    """One in each stretch in which nothing else moves head or body."""
    found: list[Draft] = []
    for start_s, end_s in free_stretches(board):
        pause = _pause_in(context, start_s, end_s)
        if end_s - start_s >= (LEAST_PAUSE_S if pause else LEAST_IN_SPEECH_S):
            found.append(_hold(context, board, start_s, end_s, pause))
    return found


def free_stretches(board: Board) -> list[tuple[float, float]]:
    """Stretches after the first move in which head and body do nothing and no accent is carried."""
    busy = sorted(
        (d.start_s, d.end_s) for d in board.placed
        if (d.part in ("whole", "head") and d.kind != "hold") or d.kind == "accent"
    )  # fmt: skip
    found: list[tuple[float, float]] = []
    if not busy:
        return found
    cursor = busy[0][1]
    for start_s, end_s in [*busy[1:], (board.high_s, board.high_s)]:
        if start_s > cursor:
            found.append((cursor, start_s))
        cursor = max(cursor, end_s)
    return found


def _pause_in(context: LineContext, start_s: float, end_s: float) -> tuple[int, float] | None:
    """Number and length of the pause that a stretch overlaps most."""
    best: tuple[int, float] | None = None
    for number, low_s, high_s in context.pauses():
        overlap_s = min(end_s, high_s) - max(start_s, low_s)
        if overlap_s >= 0.2 and (best is None or overlap_s > best[1]):
            best = (number, overlap_s)
    return best


def drift_words(intent: Intent, sides: Sides, toward: str | None, last: str) -> str:
    """Which way a hold creeps."""
    if intent.hold == "toward":
        return sides.toward(toward)
    if intent.hold == "return":
        return "easing back a little"
    return "on" if last == "level" else f"on ({last})"


def _hold(
    context: LineContext, board: Board, start_s: float, end_s: float,
    pause: tuple[int, float] | None,
) -> Draft:  # fmt: skip
    poses = [d for d in board.kind("pose") if (d.hit_s or d.end_s) <= start_s + 1e-9]
    taken = max(poses, key=lambda d: d.hit_s or d.end_s, default=None)
    span = context.spans[taken.span] if taken else span_at(context, start_s)
    intent = span.intent
    number = pause[0] if pause else None
    last = context.syllables[context.phrases[number - 1].last] if number else _said_by(
        context, start_s)  # fmt: skip
    moves = [d for d in board.moves("whole", "head") if d.end_s <= start_s + 1e-9]
    before = max(moves, key=lambda d: d.end_s, default=None)
    where = before.direction if before and before.kind == "pose" else _lean(board, span)
    planted = board.planted_during(start_s, end_s)
    does = "Keep it alive: ease on, slowing, by no more than a twentieth of the move before."
    if planted:
        does += f" {', '.join(planted).capitalize()} stays planted and must not slide."
    if number:
        sound = silence_said(context, number)
    else:
        after = f' after "{last.word}"' if last.word else ""
        sound = f"{own('lasts')} without a stress worth a move{after}"
    return context.draft(
        "hold", "whole", f"p{number}" if number else last.anchor, span=span, text=last.word,
        at_s=(start_s, None, end_s),
        size=intent.sized(intent.pose_size) * min(intent.hold_drift_ratio, LARGEST_DRIFT),
        direction=drift_words(intent, context.sides, span.toward, where), path="arc",
        because=Why(sound,
                    f"{intent.said}: {DRIFTS[intent.hold]} by {intent.hold_drift_ratio:.0%} of the "
                    "attitude",
                    does, COMMON),
        ease="quadratic-out", least_s=LEAST_PAUSE_S - 0.05, certainty=0.7,
    )  # fmt: skip


def _said_by(context: LineContext, time_s: float) -> SyllableOn:
    begun = [s for s in context.syllables if s.start_s <= time_s]
    return begun[-1] if begun else context.syllables[0]


def _lean(board: Board, span: Span) -> str:
    pose = [d for d in board.kind("pose") if d.span <= span.number - 1]
    return pose[-1].direction if pose else "level"


@rule("hold", order=95, of="listening")
def holds_of_listener(listening: Listening, board: Board) -> list[Draft]:
    """One in each stretch between reactions."""
    busy = sorted((d.start_s, d.end_s) for d in board.moves("whole", "head"))
    found: list[Draft] = []
    cursor = listening.start_s
    for start_s, end_s in [*busy, (listening.end_s, listening.end_s)]:
        if start_s - cursor >= LEAST_PAUSE_S:
            found.append(_listening_hold(listening, cursor, start_s, len(found) + 1))
        cursor = max(cursor, end_s)
    return found


def _listening_hold(listening: Listening, start_s: float, end_s: float, number: int) -> Draft:
    heard = next((h for h in listening.heard if h.start_s < end_s and h.end_s > start_s), None)
    target = heard.who if heard else (listening.before.toward if listening.before else None)
    sound = f"listens to {heard.who}" if heard else "nobody speaks"
    direction = listening.sides.toward(target) if target else "on"
    return listening.draft(
        "hold", "whole", f"p{number}" if heard else f"h{number}", of=heard, text="",
        at_s=(start_s, None, end_s), size=LISTENING_SIZE, direction=direction, path="arc",
        because=Why(
            f"{listening.who} says nothing through {until('ends')}; {sound}",
            "listening: as still as people listen" if heard else "waiting, in the attitude it has",
            "Stay still and alive: ease a hair the way of whoever speaks; no nods to fill time."
            if heard else "Stay still and alive; ease on a hair.",
            "a listener's head moves in 13 % of the time (Hadar et al. 1983)" if heard else COMMON,
        ),
        ease="quadratic-out", least_s=LEAST_PAUSE_S - 0.05, certainty=0.6,
    )  # fmt: skip
