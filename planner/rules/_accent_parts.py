"""Accents that live elsewhere than in the head: brow, eyes, hand, shoulder, chest, stillness.

Used by `planner.rules.accent`, which knows the head. Times come from `planner.rules._carrying`;
which way a carrier goes is the intent's, unless the word says so. Common practice throughout.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.plan.carriers import PART_OF, Carried
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, SyllableOn
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import own
from planner.rules._carrying import Voiced, attack_of, shaped
from planner.rules._hands import free_hand, hand_said
from planner.rules._words import COMMON, stress_said

EASED = 0.85  # how much of a hit is left when it starts back: it stays, and still moves


def of_other(
    context: LineContext, syllable: SyllableOn, board: Board, carried: Carried,
    done: Sequence[Draft], head_s: float, within_s: tuple[float, float],
) -> Draft | None:  # fmt: skip
    """An accent that lives elsewhere than in the head; None where no hand is free for it.

    head_s : when the head would hit; within_s : the word it belongs to; done : accents before it.
    """
    span = context.span_of(syllable.index)
    intent, carrier = span.intent, carried.carrier
    shape = shaped(context, syllable, carrier, head_s, max(syllable.peak_s, head_s))
    start_s = max(shape.start_s, board.low_s)
    part, side = PART_OF.get(carrier, ""), ""
    if carrier == "hand":
        hands = [d.part for d in done if "hand" in d.part]
        again = carried.why.startswith("again")  # the same hand says it again
        last = hands[-1] if hands and not again else None
        hand = free_hand(context, board, (start_s, shape.end_s), span, last)
        if hand is None:
            return None
        part, side = hand.part, hand.name
    direction = carried.direction or _way(context, syllable, carrier)
    keys = [(start_s, 0.0), (shape.hit_s, 1.0), (shape.leaves_s, EASED), (shape.end_s, 0.0)]
    if carrier == "hand":
        keys.insert(1, (max(start_s, shape.hit_s - attack_of(context, syllable)), 0.35))
    return context.draft(
        "accent", part, syllable.anchor, span=span, text=syllable.word,
        at_s=(start_s, shape.hit_s, shape.end_s), size=0.1, direction=direction,
        path="still" if carrier == "stillness" else "snap" if intent.path == "snap" else "arc",
        because=Why(
            stress_said(context, syllable),
            accent_said(context, syllable, carried, direction),
            _DOES[carrier] + (f" {hand_said(side)}" if side else ""), COMMON,
        ),
        keys=tuple(keys), rides_on=context.pose_of(span), ease=intent.ease, least_s=0.0,
        certainty=0.9 if syllable.main else 0.7, carrier=carrier, via=side and f"{side}, "
        "from rest, up by the elbow, then " + direction,
        hit_within_s=within_s,
    )  # fmt: skip


_DOES = {
    "brow": "The head stays; one brow goes first, the other a frame after it.",
    "eyes": "The head stays; the lids do it, and are still while the word lasts.",
    "hand": "Lift, strike with the vowel, stay, let go; the head stays out of it.",
    "shoulder": "One shoulder a frame ahead of the other; the head is carried, not moved.",
    "chest": "The ribs take the word; head and shoulders only ride on them.",
    "stillness": "Stop everything before the word and through it: the stop is the accent.",
}


def _way(context: LineContext, syllable: SyllableOn, carrier: str) -> str:
    """Which way a carrier goes for the intent."""
    intent = context.span_of(syllable.index).intent
    if carrier == "brow":
        return "down" if intent.brow == "down" else "up"
    if carrier == "eyes":
        return "narrow" if intent.brow == "down" or intent.gaze == "down" else "wide"
    if carrier == "shoulder":
        return "down" if intent.lean == "down" or intent.shoulders == "up" else "up"
    if carrier == "chest":
        return "down" if intent.lean == "down" or intent.head == "low" else "up"
    if carrier == "hand":
        return HAND_WAYS.get(intent.gesture_way, "point")
    return "still"


HAND_WAYS = {"toward": "point", "up": "up", "down": "down", "in": "in, to the body",
             "open": "out, open", "aside": "aside"}  # fmt: skip


def accent_said(context: LineContext, syllable: SyllableOn, carried: Carried, chosen: str) -> str:
    """What the intent makes of a stress: carrier, way, and its times with what sets them."""
    intent, voiced = context.span_of(syllable.index).intent, Voiced.of(syllable)
    name = "" if carried.carrier == "head" else f"in the {carried.carrier}, "
    if carried.carrier == "stillness":
        name = "in stillness, "
    why = f" ({carried.why})" if carried.why else ""
    by_voice = f", as it {voiced.said}" if voiced.said and voiced.said[0] in "bs" else (
        f", for it is {voiced.said}" if voiced.said else "")  # fmt: skip
    return (
        f"{intent.said}: {name}{chosen}{why}, {own('in', unit=False)} in, "
        f"stays {own('stay', unit=False)}, {own('back')} back{by_voice}"
    )
