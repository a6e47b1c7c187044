"""Breaths: the chest lifts before a phrase, and drops on a sigh with shoulders and head after it.

`hit` is null: a breath is a stretch. Planned where one is heard, where the thought changes on one,
and where a long phrase follows a silence with room for it; a longer phrase takes a bigger breath
(Whalen & Kinsella-Shaw 1997). An in-breath takes half a second, and under a second (Autesserre et
al. 1989).
"""

from __future__ import annotations

from dataclasses import replace

from planner.plan.conflicts import Board
from planner.plan.context import EventOn, LineContext, PhraseOn, Span
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import lasting, own
from planner.rules import rule
from planner.rules._preparing import PREPARED_POSE, breath_into
from planner.rules._thought import Change, breathed_by_s, changes, silent_from_s
from planner.rules._words import COMMON
from planner.rules.follow import lag_s
from planner.rules.laugh import event_anchor, span_at

LEAST_CERTAINTY = 0.4
USUAL_S = 0.5  # s; in-breath before speech 0.5-0.6 (literature, from memory)
LEAST_S = 0.25
LONG_PHRASE_S = 1.4  # a phrase as long is worth a breath that is not heard
SILENCE_S = 0.45  # and this much room before it
SIZE_PER_S = 0.12  # of the following phrase
BASE_SIZE = 0.15


@rule("breath", order=75)
def breaths(context: LineContext, board: Board) -> list[Draft]:
    """Heard ones first; then a change of thought; then long phrases."""
    found = [
        _heard(context, e, board) for e in context.events
        if e.kind in ("breath", "sigh") and e.certainty >= LEAST_CERTAINTY
    ]  # fmt: skip
    carried = [d for sigh in found if sigh.direction == "down" for d in _with_sigh(context, sigh)]
    for change in changes(context, board):
        if change.mark == "breath":
            made = _at_change(context, change)
            if not _add(found, made):
                found = [_marking(d, change, made) for d in found]
    for phrase in context.phrases:
        silence_s = _silence_before_s(context, phrase)
        if silence_s >= SILENCE_S and phrase.end_s - phrase.start_s >= LONG_PHRASE_S:
            made = _before_phrase(context, phrase, silence_s)
            if not _under_a_drop(made, board):
                _add(found, made)
    return found + carried


def _under_a_drop(breath: Draft, board: Board) -> bool:
    """Whether a breath in would lift the chest while the attitude goes down."""
    return any(
        d.direction == "down" and d.start_s < breath.end_s - 1e-6 and d.end_s > breath.start_s
        for d in board.kind("pose")
    )


def _with_sigh(context: LineContext, sigh: Draft) -> list[Draft]:
    """Shoulders, then head, go down with a sigh: it is not the chest's alone."""
    span = context.spans[sigh.span]
    lag = lag_s(span.intent, sigh.size)
    found: list[Draft] = []
    for part, late_s, share in (("shoulders", lag / 2, 0.7), ("head", lag, 0.5)):
        end_s = sigh.end_s
        found.append(
            context.draft(
                "follow", part, sigh.anchor, span=span, text=sigh.text,
                at_s=(sigh.start_s + late_s, end_s, end_s), size=sigh.size * share,
                direction="down", path="arc",
                because=Why(
                    sigh.because.sound,
                    f"{span.intent.said}: {part} {own('trails')} after the chest",
                    "The sigh takes shoulders and head along; they are down when it is empty.",
                    COMMON,
                ),
                ease="sine", least_s=LEAST_S, certainty=sigh.certainty,
            )
        )  # fmt: skip
    return found


def _near(a: Draft, b: Draft) -> bool:
    return a.start_s < b.end_s + 0.3 and a.end_s > b.start_s - 0.3


def _add(found: list[Draft], draft: Draft) -> bool:
    """Takes a breath in unless there is one already in that silence."""
    if any(_near(d, draft) for d in found):
        return False
    found.append(draft)
    return True


def _marking(heard: Draft, change: Change, wanted: Draft) -> Draft:
    """A breath that is heard where the thought changes marks the change."""
    if not _near(heard, wanted) or heard.direction != "up":
        return heard
    why = replace(heard.because, intent=f"{change.span.intent.said}: {change.words}, marked by it")
    return replace(heard, because=why)


def _silence_before_s(context: LineContext, phrase: PhraseOn) -> float:
    if phrase.number == 1:
        return phrase.start_s - context.window_s[0]
    return phrase.start_s - context.phrases[phrase.number - 2].end_s


def _following(context: LineContext, time_s: float) -> PhraseOn | None:
    return next((p for p in context.phrases if p.start_s >= time_s - 0.05), None)


def _size(phrase: PhraseOn | None) -> float:
    """A longer phrase takes a bigger breath."""
    return min(1.0, BASE_SIZE + SIZE_PER_S * (phrase.end_s - phrase.start_s)) if phrase else 0.3


def _breath(
    context: LineContext, span: Span, start_s: float, end_s: float, why: Why, *,
    size: float, sigh: bool = False, certainty: float = 0.7,
) -> Draft:  # fmt: skip
    anchor, word = event_anchor(context, start_s, end_s)
    return context.draft(
        "breath", "chest", anchor, span=span, text=word, at_s=(start_s, None, end_s), size=size,
        direction="down" if sigh else "up", path="arc", because=why,
        rides_on=context.pose_of(span), ease="sine", least_s=LEAST_S, certainty=certainty,
    )  # fmt: skip


def _heard(context: LineContext, event: EventOn, board: Board) -> Draft:
    following = _following(context, event.end_s)
    at_s = following.start_s if following and event.kind == "breath" else event.start_s
    span = span_at(context, at_s)
    length_s = event.end_s - event.start_s
    if event.kind == "sigh":
        does = "The chest drops with the sigh, and the shoulders after it; let it go all the way."
        size = max(0.4, _size(None))
    else:
        does = "The chest lifts with the breath that is heard, and the phrase comes out of it."
        size = _size(following)
    into = event.kind == "breath" and any(
        d.size >= PREPARED_POSE and d.start_s < (d.hit_s or d.end_s)
        and breath_into(context, d.start_s, d.hit_s or d.end_s) == (event.start_s, event.end_s)
        for d in board.kind("pose")
    )  # fmt: skip
    if into:
        does += " It is the anticipation of the attitude: go back and up with it."
    why = Why(
        f"{'a sigh' if event.kind == 'sigh' else 'an in-breath'} of {lasting(length_s)} "
        f"from {context.said_s(event.start_s)}",
        f"{span.intent.said}: breathes as the voice does", does, COMMON,
    )  # fmt: skip
    return _breath(context, span, event.start_s, event.end_s, why, size=size,
                   sigh=event.kind == "sigh", certainty=event.certainty)  # fmt: skip


def _at_change(context: LineContext, change: Change) -> Draft:
    span = change.span
    begin_s = breathed_by_s(context, span, change.pose)
    length_s = min(USUAL_S, begin_s - silent_from_s(context, span))
    phrase = _following(context, context.span_start_s(span))
    why = Why(
        f"{lasting(context.gap_before_s(span))} of silence before {context.quoted(span)}",
        f"{span.intent.said}: {change.words}, marked by a breath",
        "The new thought is breathed in before it is said; it lifts the chest.", COMMON,
    )  # fmt: skip
    return _breath(context, span, begin_s - length_s, begin_s, why, size=_size(phrase))


def _before_phrase(context: LineContext, phrase: PhraseOn, silence_s: float) -> Draft:
    span = context.span_of(phrase.first)
    length_s = min(USUAL_S, silence_s)
    why = Why(
        f"{lasting(silence_s)} of silence, then a phrase of "
        f"{lasting(phrase.end_s - phrase.start_s)}",
        f"{span.intent.said}: takes what the phrase will need",
        "A breath before a long phrase lifts the chest; the longer the phrase, the bigger.",
        "Whalen & Kinsella-Shaw 1997; Winkworth et al. 1995",
    )  # fmt: skip
    return _breath(context, span, phrase.start_s - length_s, phrase.start_s, why,
                   size=_size(phrase), certainty=0.5)  # fmt: skip
