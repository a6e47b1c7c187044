"""Brows: up with a tone that rises, down with an attitude that frowns. One a beat at most.

`hit` is the highest (or lowest) frame, a little before the head's extreme. A quick raise goes with
a rise in pitch in 71 % of cases (Cave et al. 1996), so it is planned on a main accent whose pitch
stands out; a frown belongs to the attitude.
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span
from planner.plan.drafts import Draft
from planner.plan.listening import HeardLine, Listening
from planner.plan.suggestion import Why
from planner.rules import rule
from planner.rules._listening_life import CERTAINTY, Life, lives
from planner.rules._listening_life import SIZE as LIFE_SIZE
from planner.rules._words import COMMON

LEAST_ST = 3.0  # semitones over its neighbours ('t Hart 1981: what listeners use)
BEFORE_HEAD_S = 0.042  # one frame at 24: the brow is there first
RISE_S = 0.15
FALL_S = 0.3
LEAST_SIZE = 0.15
FACE_SHARE = 0.7  # of the spoken raise: a listener's face shows less


@rule("brow", order=80)
def brows(context: LineContext, board: Board) -> list[Draft]:
    """One a beat at most."""
    found = [_in_beat(context, span, board) for span in context.spans]
    return [d for d in found if d is not None and d.size >= LEAST_SIZE]


def _in_beat(context: LineContext, span: Span, board: Board) -> Draft | None:
    if span.intent.brow == "up":
        return _raise(context, span, board)
    if span.intent.brow == "down":
        return _frown(context, span, board)
    return None


def _raise(context: LineContext, span: Span, board: Board) -> Draft | None:
    by_anchor = {s.anchor: s for s in context.in_span(span) if s.main}
    hits = [
        d
        for d in board.kind("accent")
        if d.anchor in by_anchor and by_anchor[d.anchor].facts.pitch_st >= LEAST_ST
    ]
    if not hits:
        return None
    hit = max(hits, key=lambda d: by_anchor[d.anchor].facts.pitch_st)
    high_s = (hit.hit_s or hit.start_s) - BEFORE_HEAD_S
    st = by_anchor[hit.anchor].facts.pitch_st
    intent = span.intent
    return context.draft(
        "brow", "brows", hit.anchor, span=span, text=hit.text,
        at_s=(high_s - RISE_S, high_s, high_s + FALL_S), size=intent.sized(intent.brow_size),
        direction="up", path="arc",
        because=Why(
            f'"{hit.text}" rises {st:.1f} st over its neighbours', f"{intent.said}: brows lift",
            "The brows go up with the tone, there a frame before the head, and come down slower.",
            "raise with a pitch rise: Cave et al. 1996",
        ),
        rides_on=hit.id, ease="quadratic-out", certainty=0.6,
    )  # fmt: skip


def _frown(context: LineContext, span: Span, board: Board) -> Draft | None:
    pose = next((d for d in board.kind("pose") if d.span == span.number - 1), None)
    if pose is None or pose.end_s <= pose.start_s:
        return None
    intent = span.intent
    low_s = pose.end_s - BEFORE_HEAD_S
    return context.draft(
        "brow", "brows", f"b{span.number}", span=span, text=pose.text,
        at_s=(max(pose.start_s - BEFORE_HEAD_S, low_s - 0.25), low_s, low_s),
        size=intent.sized(intent.brow_size), direction="down", path="arc",
        because=Why(
            pose.because.sound, f"{intent.said}: brows press down and stay",
            "The frown is part of the attitude and is there a frame before it.", COMMON,
        ),
        rides_on=pose.id, ease="quadratic-out", certainty=0.6,
    )  # fmt: skip


@rule("brow", order=80, of="listening")
def brows_of_listener(listening: Listening, board: Board) -> list[Draft]:
    """With a reaction, where the intent moves the brows at all."""
    answers = {f"c{r.cue + 1}": r for r in listening.reactions}
    found = [_of_life(listening, x) for x in lives(listening, board) if x.part == "brows"]
    for move in board.kind("reaction"):
        intent, first_s = answers[move.anchor].intent, answers[move.anchor].start_s
        if intent.brow == "none" or intent.sized(intent.brow_size) < LEAST_SIZE:
            continue
        high_s = min(first_s + RISE_S, move.end_s)
        found.append(
            listening.draft(
                "brow", "brows", move.anchor, of=_heard(listening, move), text=move.text,
                at_s=(first_s, high_s, high_s + (FALL_S if intent.brow == "up" else 0.0)),
                size=intent.sized(intent.brow_size) * FACE_SHARE, direction=intent.brow, path="arc",
                because=Why(move.because.sound, f"{intent.said}: brows {intent.brow}",
                            "The brows answer first; the head starts a frame after them.", COMMON),
                rides_on=move.id, ease="quadratic-out", certainty=0.6,
            )
        )  # fmt: skip
    return found


def _of_life(listening: Listening, life: Life) -> Draft:
    """The brows meet a stress that was heard, hardly to be seen."""
    high_s = life.at_s + RISE_S
    return listening.draft(
        "brow", "brows", life.stress.anchor, of=life.heard, text=life.stress.word,
        at_s=(life.at_s, high_s, high_s + FALL_S), size=LIFE_SIZE, direction=life.direction,
        path="arc",
        because=Why(
            life.said,
            f"listening: brows {life.direction}, a little",
            "One small sign of life in a long hold, after it was understood; only if it is wanted.",
            COMMON,
        ),
        rides_on=listening.rides_on(), ease="quadratic-out", certainty=CERTAINTY,
    )  # fmt: skip


def _heard(listening: Listening, move: Draft) -> HeardLine | None:
    return next((h for h in listening.heard if h.line == move.line), None)
