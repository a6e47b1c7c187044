"""Laughs: the chest bounces with what is heard, each bounce smaller than the one before.

`hit` is the first bounce down. The bounces are the laugh's own loudest moments; where the sound
does not show them one bounce is planned. Repeated swings shrink, the last the smallest (Mori, Den &
Jokinen 2025 for nods).
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import EventOn, LineContext, Span
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import lasting
from planner.rules import rule

LEAST_CERTAINTY = 0.4
FADE = 0.8  # each bounce against the one before
UP_SHARE = 0.5  # how far it comes up between bounces
SIZE = 0.6
RECOVER_S = 0.21  # 5 frames at 24: the chest comes up again after the last bounce


@rule("laugh", order=70)
def laughs(context: LineContext, board: Board) -> list[Draft]:
    """One for each laugh heard."""
    heard = [e for e in context.events if e.kind == "laugh" and e.certainty >= LEAST_CERTAINTY]
    return [_laugh(context, event) for event in heard]


def span_at(context: LineContext, time_s: float) -> Span:
    """The beat in force at a time."""
    begun = [s for s in context.spans if context.span_start_s(s) <= time_s]
    return begun[-1] if begun else context.spans[0]


def event_anchor(context: LineContext, start_s: float, end_s: float) -> tuple[str, str]:
    """Anchor and word of something heard between words: its pause, else the syllable after it."""
    middle_s = (start_s + end_s) / 2
    for number, low_s, high_s in context.pauses():
        if low_s - 0.1 <= middle_s <= high_s:
            return f"p{number}", context.syllables[context.phrases[number - 1].last].word
    after = [s for s in context.syllables if s.beat_s >= middle_s] or [context.syllables[-1]]
    return after[0].anchor, after[0].word


def _laugh(context: LineContext, event: EventOn) -> Draft:
    anchor, word = event_anchor(context, event.start_s, event.end_s)
    span = span_at(context, event.start_s)
    intent = span.intent
    bounces = event.bursts_s or (event.start_s + 0.3 * (event.end_s - event.start_s),)
    end_s = max(event.end_s, bounces[-1] + RECOVER_S)
    keys: list[tuple[float, float]] = [(event.start_s, 0.0)]
    for k, down_s in enumerate(bounces):
        keys.append((down_s, FADE**k))
        up_s = (down_s + bounces[k + 1]) / 2 if k + 1 < len(bounces) else end_s
        keys.append((up_s, FADE**k * UP_SHARE if k + 1 < len(bounces) else 0.0))
    return context.draft(
        "laugh", "chest", anchor, span=span, text=word,
        at_s=(event.start_s, bounces[0], end_s), size=intent.sized(SIZE), direction="down",
        path="bounce",
        because=Why(
            f"a laugh of {lasting(event.end_s - event.start_s)} from "
            f"{context.said_s(event.start_s)}, {len(bounces)} bursts",
            f"{intent.said}: rides on the attitude, not in place of it",
            "The chest drops on each burst, each drop smaller; head and shoulders only carry it.",
            "shrinking swings: Mori, Den & Jokinen 2025; the rest common practice",
        ),
        rides_on=context.pose_of(span), ease="sine", keys=tuple(keys), least_s=0.0, must=True,
        certainty=event.certainty,
    )  # fmt: skip
