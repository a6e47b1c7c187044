"""Gestures: preparation, stroke, hold, recovery, on the words worth a hand.

`hit` is the end of the stroke, at or just before the vowel of the accent, never after it (Kendon
1980; McNeill 1992; of sharp strokes 86 % fell on a pitch-accented syllable in Yasinnik et al.
2004). One a phrase at most, spent by the intent's gestures in ten seconds on the most prominent
accents. The hand is named only where stage or a planted hand tells which; else the shoulders do it.
"""

from __future__ import annotations

from planner.conflicts import Board
from planner.context import LineContext, SyllableOn
from planner.drafts import Draft
from planner.rules import rule
from planner.rules._words import stress_said
from planner.sides import other_side
from planner.suggestion import Why

PREPARE_S = (0.25, 0.42)  # common practice: 6-10 frames at 24 to lift a hand
STROKE_S = (0.125, 0.21)  # common practice: 3-5 frames
BEFORE_VOWEL_S = 0.02  # the stroke is over as the vowel starts
HOLD_S = 0.3
RECOVER_S = 0.42
APART_S = 0.085  # 2 frames at 24 after the body
LEAST_WORDS = 3  # a short answer needs no hand


@rule("gesture", order=35)
def gestures(context: LineContext, board: Board) -> list[Draft]:
    """The line's most prominent accents first, as far apart as the intent allows."""
    found: list[Draft] = []
    mains = sorted((s for s in context.syllables if s.main and s.degree == "strong"),
                   key=lambda s: (-s.prominence, s.index))  # fmt: skip
    for syllable in mains:
        intent = context.span_of(syllable.index).intent
        phrase = context.phrases[syllable.phrase] if context.phrases else None
        if intent.gesture == "none" or intent.gestures_per_10_s <= 0 or phrase is None:
            continue
        if phrase.last - phrase.first + 1 < LEAST_WORDS:
            continue
        apart_s = 10 / intent.gestures_per_10_s
        if all(abs(syllable.beat_s - (d.hit_s or 0.0)) >= apart_s for d in found):
            made = _gesture(context, syllable, board)
            found += [made] if made else []
    return found


def free_hand(context: LineContext, board: Board, start_s: float, end_s: float) -> str | None:
    """The hand that may move: the inner one by the stage, the free one if the other is planted.

    "shoulders" where nothing says which hand; None where both are planted.
    """
    planted = board.planted_during(start_s, end_s)
    busy = [s for s in ("left", "right") if any(p.startswith(s) for p in planted)]
    if len(busy) == 2:
        return None
    if busy:
        return f"{other_side(busy[0])} hand"
    inner = context.sides.inner_side(context.span_of(0).toward)
    return f"{inner} hand" if inner else "shoulders"


def _after_body_s(board: Board, start_s: float) -> float:
    """The hand does not leave with the body: what to add where both would start as one."""
    poses = [d.start_s for d in board.kind("pose") if abs(d.start_s - start_s) < APART_S]
    return max(poses) + APART_S - start_s if poses else 0.0


def _gesture(context: LineContext, syllable: SyllableOn, board: Board) -> Draft | None:
    span = context.span_of(syllable.index)
    intent = span.intent
    hit_s = syllable.beat_s - BEFORE_VOWEL_S
    stroke_s = min(max(intent.attack_ms / 1000 * 1.2, STROKE_S[0]), STROKE_S[1])
    start_s = max(hit_s - stroke_s - PREPARE_S[1], board.low_s)
    start_s += _after_body_s(board, start_s)
    if hit_s - stroke_s - start_s < PREPARE_S[0]:
        return None
    held_s = hit_s + HOLD_S
    end_s = min(held_s + RECOVER_S, board.high_s)
    part = free_hand(context, board, start_s, end_s)
    if part is None:
        return None
    does = "Lift, strike with the accent, hold it a moment, let it go; the stroke is never late."
    if part == "shoulders":
        does += " No hand is named: give the scene a stage and it will be."
    keys = ((start_s, 0.0), (hit_s - stroke_s, 0.35), (hit_s, 1.0), (min(held_s, end_s), 1.0),
            (end_s, 0.0))  # fmt: skip
    what = "a lift of the shoulders" if part == "shoulders" else intent.gesture
    return context.draft(
        "gesture", part, syllable.anchor, span=span, text=syllable.word,
        at_s=(start_s, hit_s, end_s), size=intent.sized(intent.gesture_size),
        direction=context.sides.toward(span.toward) if part != "shoulders" else "up",
        path="snap" if intent.path == "snap" else "arc",
        hit_within_s=(syllable.word_s[0], syllable.beat_s + 1 / 24),
        because=Why(
            stress_said(context, syllable),
            f"{intent.said}: {what}; {intent.gestures_per_10_s:g} in ten seconds at most",
            does, "stroke at or before the stressed syllable (Kendon 1980; McNeill 1992)",
        ),
        ease=intent.ease, keys=keys, least_s=stroke_s + PREPARE_S[0] - 0.01, certainty=0.6,
    )  # fmt: skip
