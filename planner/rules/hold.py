"""Moving holds: what is still keeps easing.

`hit` is null. Where nothing moves for a while (a pause, a stretch without a hit, listening) the
attitude eases on the way the last move went, or toward the listener, by at most a twentieth of that
move and slowing; returning is the intent's choice. A planted part does not slide.
"""

from __future__ import annotations

from dataclasses import replace

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span, SyllableOn
from planner.plan.drafts import Draft
from planner.plan.listening import Listening
from planner.plan.sides import Sides
from planner.plan.suggestion import Kind, Why
from planner.plan.time_words import own, until
from planner.rules import rule
from planner.rules._silence import silence_said
from planner.rules._vary import share_of
from planner.rules._words import COMMON
from planner.rules.laugh import span_at

LEAST_PAUSE_S = 0.3  # about 7 frames at 24
LEAST_IN_SPEECH_S = 0.6  # between hits; shorter than that the recoveries fill it
LARGEST_DRIFT = 0.05  # a twentieth of the move, common practice
DRIFTS = {"ease on": "eases on", "toward": "eases toward the other", "return": "eases back"}
LONG_HOLD_S = 1.0  # 24 frames at 24; two that meet become one, and thirty are dead
THOUGHT_AT = 0.4  # of the hold
LATEST_THOUGHT_S = 0.75
EYES_SHARE = 0.6
DART_S = 0.085
GLANCE_S = 0.4
BREATH_S = 0.6
LISTENING_SIZE = 0.02


@rule("hold", order=95)
def holds(context: LineContext, board: Board) -> list[Draft]:
    """One in each stretch in which nothing else moves head or body."""
    found: list[Draft] = []
    for start_s, end_s in free_stretches(board):
        pause = _pause_in(context, start_s, end_s)
        if end_s - start_s >= (LEAST_PAUSE_S if pause else LEAST_IN_SPEECH_S):
            hold = _hold(context, board, start_s, end_s, pause)
            span = span_at(context, start_s)
            over = end_s >= context.syllables[-1].end_s
            thought = thought_in(
                hold, board, span.intent, after_line=over, silent=pause is not None
            )
            found += [hold, *thought]
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
                    f"{intent.said}: {DRIFTS[intent.hold]}, a hair, slowing",
                    does, COMMON),
        ease="quadratic-out", least_s=LEAST_PAUSE_S - 0.05, certainty=0.7,
    )  # fmt: skip


def thought_in(
    hold: Draft, board: Board, intent: Intent, *, after_line: bool, silent: bool
) -> list[Draft]:
    """One thought in a long hold in which nothing else happens: of the eyes, or a breath.

    After the last word it is the after-beat: what was said is looked at. Who speaks takes no
    breath: where eyes do not leave, a brow says it.
    """
    length_s = hold.end_s - hold.start_s
    lives = any(hold.start_s < d.start_s < hold.end_s for d in board.placed if d.kind != "hold")
    if length_s < LONG_HOLD_S or lives:
        return []
    at_s = hold.start_s + min(THOUGHT_AT * length_s, LATEST_THOUGHT_S)
    eyes = not silent or share_of("hold", hold.who, hold.line_id, hold.anchor) < EYES_SHARE
    when = "after the last word" if after_line else "in a long hold"
    name = "the after-beat" if after_line else "one thought"
    keys: tuple[tuple[float, float], ...] = ()
    hit_s: float | None = None
    kind: Kind = "breath"
    if eyes and not intent.stares:
        away_s = at_s + DART_S + GLANCE_S
        keys = ((at_s, 0.0), (at_s + DART_S, 1.0), (away_s, 1.0), (away_s + DART_S, 0.0))
        kind, part, way, end_s, hit_s = "look", "eyes", "down a little, and back", keys[-1][0], (
            at_s + DART_S)  # fmt: skip
        size, does = 0.2, "A glance off, and back to see what it has done."
    elif not silent:
        kind, part, size, end_s, hit_s = "brow", "brows", 0.15, at_s + BREATH_S, at_s + DART_S * 2
        way, does = (intent.brow if intent.brow != "none" else "up"), "One brow, hardly, and back."
    else:
        part, way, end_s, size = "chest", "up", at_s + BREATH_S, 0.15
        does = "A breath through the nose: the thought goes on after the words."
    return [
        replace(
            hold, kind=kind, part=part, start_s=at_s, hit_s=hit_s, end_s=end_s, size=size,
            direction=way, path="dart" if kind == "look" else "arc", keys=keys, must=False,
            because=Why(f"nothing else happens {when}", f"{intent.said}: {name}", does, COMMON),
            rides_on=hold.id, ease="sine", least_s=0.0, certainty=0.4,
        )
    ]  # fmt: skip


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
            number = sum(d.kind == "hold" for d in found) + 1
            hold = _listening_hold(listening, cursor, start_s, number)
            attitude = listening.attitude or listening.neutral
            found += [hold, *thought_in(hold, board, attitude, after_line=False, silent=True)]
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
