"""Gestures: preparation, stroke, hold, recovery, on the words worth a hand.

`hit` is the end of the stroke, at or just before the vowel of the accent, never after it (Kendon
1980; McNeill 1992; of sharp strokes 86 % fell on a pitch-accented syllable in Yasinnik et al.
2004). One a phrase at most, spent by the intent's gestures in ten seconds on the most prominent
accents. Hands are left and right by the stage or a planted hand, else near and far.
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span, SyllableOn
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.rules import rule
from planner.rules._hands import Hand, free_hand, hand_said
from planner.rules._words import stress_said

PREPARE_S = (0.25, 0.42)  # common practice: 6-10 frames at 24 to lift a hand
STROKE_S = (0.125, 0.21)  # common practice: 3-5 frames
BEFORE_VOWEL_S = 0.02  # the stroke is over as the vowel starts
HOLD_S = 0.3
RECOVER_S = 0.42
APART_S = 0.085  # 2 frames at 24 after the body
AHEAD_S = 0.33  # 8 frames at 24 before a body that arrives late
WAYS = {"up": "up", "down": "down", "in": "in, to the body", "open": "out, open",
        "aside": "aside"}  # fmt: skip
LEAST_WORDS = 3  # a short answer needs no hand


@rule("gesture", order=35)
def gestures(context: LineContext, board: Board) -> list[Draft]:
    """The line's most prominent accents first, as far apart as the intent allows."""
    found: list[Draft] = []
    struck = [d for d in board.kind("accent") if d.carrier == "hand"]
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
        near = [d for d in (*found, *struck) if abs(syllable.beat_s - (d.hit_s or 0.0)) < apart_s]
        said = any(d.anchor == syllable.anchor and (
            d.carrier in ("stillness", "shoulder") or d.direction in ("shake", "nod")
        ) for d in board.kind("accent"))  # fmt: skip
        if not near and not (said and intent.gesture_kind == "stroke"):
            last = found[-1].part if found else None
            make = _rest if intent.gesture_kind == "rest" else _gesture
            made = make(context, syllable, board, last)
            found += [made] if made else []
    return found


def _way(context: LineContext, span: Span) -> str:
    """Which way the intent's gesture goes, in words."""
    way = span.intent.gesture_way
    return context.sides.toward(span.toward) if way == "toward" else WAYS[way]


def _rest(
    context: LineContext, syllable: SyllableOn, board: Board, last: str | None
) -> Draft | None:
    """A hand that finds something to hold: taken up with the attitude, kept till it is said."""
    span = context.span_of(syllable.index)
    intent = span.intent
    begin_s = context.span_start_s(span)
    start_s = max(_from_body_s(board, span), board.low_s)
    if all(d.span != span.number - 1 for d in board.kind("pose")):
        start_s = max(begin_s + APART_S, board.low_s)
    hit_s = start_s + PREPARE_S[1]
    end_s = min(context.span_end_s(span) + HOLD_S + RECOVER_S, board.high_s)
    if end_s - RECOVER_S - hit_s < HOLD_S:
        return None
    hand = free_hand(context, board, (start_s, end_s), span, last)
    if hand is None:
        return None
    return context.draft(
        "gesture", hand.part, f"b{span.number}", span=span, text=syllable.word,
        at_s=(start_s, hit_s, end_s), size=intent.sized(intent.gesture_size),
        direction=_way(context, span), path="arc",
        because=Why(
            f"{context.quoted(span)} starts at {context.said_s(begin_s)}",
            f"{intent.said}: {intent.gesture}, and stays there",
            "No stroke: the hand gets there with the attitude and is kept until it is said."
            f" {hand_said(hand.name)}".rstrip(),
            "a hand on oneself is no beat (common practice)",
        ),
        ease=intent.ease, certainty=0.5,
        keys=((start_s, 0.0), (hit_s, 1.0), (end_s - RECOVER_S, 1.0), (end_s, 0.0)),
        least_s=PREPARE_S[0], carrier="hand", via=_via(hand, _way(context, span)),
    )  # fmt: skip


def _via(hand: Hand, way: str) -> str:
    """The path of a hand in words."""
    return f"{hand.name}, from rest, in toward the body, round and {way}"


def _from_body_s(board: Board, span: Span) -> float:
    """From when a hand may go: its beat is taken up, and it does not leave with the body."""
    poses = [d for d in board.kind("pose") if d.span == span.number - 1 and d.end_s > d.start_s]
    if poses and span.intent.pose_arrives != "before":  # the hand is ahead of a late body
        return max(board.low_s, poses[0].start_s - AHEAD_S)
    return poses[0].start_s + APART_S if poses else board.low_s


def _gesture(
    context: LineContext, syllable: SyllableOn, board: Board, last: str | None
) -> Draft | None:
    span = context.span_of(syllable.index)
    intent = span.intent
    hit_s = syllable.beat_s - BEFORE_VOWEL_S
    stroke_s = min(max(intent.attack_ms / 1000 * 1.2, STROKE_S[0]), STROKE_S[1])
    start_s = max(hit_s - stroke_s - PREPARE_S[1], board.low_s)
    start_s = max(start_s, _from_body_s(board, span))
    if hit_s - stroke_s - start_s < PREPARE_S[0]:
        return None
    held_s = hit_s + HOLD_S
    end_s = min(held_s + RECOVER_S, board.high_s)
    hand = free_hand(context, board, (start_s, end_s), span, last)
    if hand is None:
        return None
    does = "Lift, strike with the accent, hold it a moment, let it go; the stroke is never late."
    does = f"{does} {hand_said(hand.name)}".rstrip()
    keys = ((start_s, 0.0), (hit_s - stroke_s, 0.35), (hit_s, 1.0), (min(held_s, end_s), 1.0),
            (end_s, 0.0))  # fmt: skip
    return context.draft(
        "gesture", hand.part, syllable.anchor, span=span, text=syllable.word,
        at_s=(start_s, hit_s, end_s), size=intent.sized(intent.gesture_size),
        direction=_way(context, span), carrier="hand", via=_via(hand, _way(context, span)),
        path="snap" if intent.path == "snap" else "arc",
        hit_within_s=(syllable.word_s[0], syllable.beat_s + 1 / 24),
        because=Why(
            stress_said(context, syllable),
            f"{intent.said}: {intent.gesture}; {intent.gestures_per_10_s:g} in ten seconds at most",
            does, "stroke at or before the stressed syllable (Kendon 1980; McNeill 1992)",
        ),
        ease=intent.ease, keys=keys, least_s=stroke_s + PREPARE_S[0] - 0.01, certainty=0.6,
    )  # fmt: skip
