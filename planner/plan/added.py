"""The user's own suggestions: `do: add` at a word, a pause or a beat, with the intent's timing.

Conventions: seconds of the scene. The id says kind, part and place; the intent in force there says
how long and how big. An accent is made by the accent rule itself; other kinds get their usual
length around the place. Nothing is refused for restraint: the user asked for it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span, SyllableOn
from planner.plan.drafts import LAYERS, Draft
from planner.plan.suggestion import Kind, Why
from planner.rules.accent import accent
from planner.rules.blink import blink_keys
from planner.scene import PARTS, Decision
from planner.scene.word_diff import same_word

KINDS = get_args(Kind)
HOLD_S = 0.5
ASKED = {"add": "Added by you."}
AGAIN = "Yours: you decided on it, and the plan alone would no longer make it."


def added_draft(
    context: LineContext, pieces: tuple[str, str, str, str], decision: Decision
) -> Draft | None:
    """The draft a user asks for; None where its place or kind does not exist."""
    kind, part, _, anchor = pieces
    place = anchor_place(context, anchor)
    if place is None and decision.do != "add":
        place = _word_place(context, decision.word)
    if place is None or kind not in KINDS or part not in PARTS:
        return None
    syllable, place_s = place
    span = context.span_of(syllable.index)
    why = Why(
        f'at "{syllable.word}", {context.said_s(place_s)}' if syllable.word
        else f"at {context.said_s(place_s)}",
        f"{span.intent.said}: its timing and size",
        ASKED.get(decision.do, AGAIN),
        "your own decision",
    )  # fmt: skip
    if kind == "accent":
        board = Board(*context.window_s)
        made = _as(accent(context, syllable, board, must=True), part, why)
        return _as_held(replace(made, anchor=anchor), decision)
    start_s, hit_s, end_s = times_of(kind, span.intent, place_s)
    extra = decision.extra
    made = context.draft(
        kind, part, anchor, span=span, text=syllable.word, at_s=(start_s, hit_s, end_s),  # type: ignore[arg-type]
        size=_size(kind, span), direction=str(extra.get("direction", "toward" if kind == "look"
                                                       else "up" if kind == "brow" else "down")),
        path=str(extra.get("path", span.intent.path)), because=why,
        rides_on=context.pose_of(span) if kind in LAYERS else None, ease=span.intent.ease,
        keys=blink_keys(hit_s) if kind == "blink" and hit_s is not None else (), must=True,
    )  # fmt: skip
    return _as_held(made, decision)


def _as_held(draft: Draft, decision: Decision) -> Draft:
    """The draft with the size and direction that the decision holds."""
    size, direction = decision.extra.get("size"), decision.extra.get("direction")
    if isinstance(size, int | float) and 0 <= size <= 1:
        draft = replace(draft, size=float(size))
    return replace(draft, direction=direction) if isinstance(direction, str) else draft


def _word_place(context: LineContext, word: str | None) -> tuple[SyllableOn, float] | None:
    """The first place where a word is said."""
    said = [s for s in context.syllables if same_word(s.word, word)]
    return (said[0], said[0].beat_s) if said else None


def anchor_place(context: LineContext, anchor: str) -> tuple[SyllableOn, float] | None:
    """The syllable and the moment an anchor stands for."""
    for syllable in context.syllables:
        if syllable.anchor == anchor:
            return syllable, syllable.beat_s
    number = int(anchor[1:]) if anchor[1:].isdigit() else 0
    if anchor[:1] == "p" and 1 <= number <= len(context.phrases):
        phrase = context.phrases[number - 1]
        return context.syllables[phrase.last], phrase.end_s
    if anchor[:1] == "b" and 1 <= number <= len(context.spans):
        span = context.spans[number - 1]
        return context.syllables[span.first], context.span_start_s(span)
    return None


def times_of(kind: str, intent: Intent, at_s: float) -> tuple[float, float | None, float]:
    """Start, hit and end of a kind's usual move around a moment."""
    hit_s = at_s - intent.lead_head_ms / 1000
    if kind == "hold":
        return at_s, None, at_s + HOLD_S
    if kind == "breath":
        return at_s - HOLD_S, None, at_s
    if kind in ("settle", "reaction"):
        length_s = (intent.overshoot_ms + intent.settle_ms) / 1000
        return at_s, at_s + length_s if kind == "settle" else at_s, at_s + length_s
    if kind == "blink":
        keys = blink_keys(at_s)
        return keys[0][0], at_s, keys[-1][0]
    if kind in ("gesture", "brow", "laugh", "follow"):
        return hit_s - 0.4, hit_s, hit_s + intent.recover_ms / 1000
    travel_s = intent.anticipation_ms if kind == "anticipation" else intent.pose_ms
    return hit_s - max(travel_s, 125) / 1000, hit_s, hit_s


def _size(kind: str, span: Span) -> float:
    intent = span.intent
    sizes = {"pose": intent.pose_size, "head-move": intent.head_move_size,
             "gesture": intent.gesture_size, "brow": intent.brow_size, "blink": 1.0,
             "hold": intent.pose_size * intent.hold_drift_ratio}  # fmt: skip
    return intent.sized(sizes.get(kind, intent.accent_size))


def _as(draft: Draft, part: str, why: Why) -> Draft:
    return replace(draft, part=part, because=why)
