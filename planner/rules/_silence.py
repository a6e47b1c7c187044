"""Silences between phrases, and what is said of them: only what is silent is called so."""

from __future__ import annotations

import math

from planner.plan.context import LineContext
from planner.plan.time_words import lasting

NEAR_S = 0.1  # an event may lie this far over the edge of its pause


def silence_after_s(context: LineContext, number: int) -> float | None:
    """Silence after a phrase, without what is heard in it; None after the line's last."""
    if number >= len(context.phrases):
        return None
    low_s, high_s = context.phrases[number - 1].end_s, context.phrases[number].start_s
    heard_s = sum(max(0.0, min(e.end_s, high_s) - max(e.start_s, low_s)) for e in context.events)
    return max(0.0, high_s - low_s - heard_s)


def silence_said(context: LineContext, number: int) -> str:
    """What is heard after a phrase: the silence, a laugh in it, or that the line is over."""
    phrase = context.phrases[number - 1]
    word = context.syllables[phrase.last].word
    after = f' after "{word}"' if word else ""
    high_s = context.phrases[number].start_s if number < len(context.phrases) else math.inf
    names = [
        f"a {e.kind}" for e in context.events
        if e.start_s >= phrase.end_s - NEAR_S and e.end_s <= high_s + NEAR_S
    ]  # fmt: skip
    silence_s = silence_after_s(context, number)
    if silence_s is None:
        ends = f'the line ends on "{word}"' if word else "the line ends"
        heard = f", then {' and '.join(names)}" if names else ""
        return f"{ends} at {context.said_s(phrase.end_s)}{heard}"
    if names:
        return f"{' and '.join(names)}{after}, with {lasting(silence_s)} of silence"
    return f"{lasting(silence_s)} of silence{after}"
