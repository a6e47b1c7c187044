"""Sentences the rules share: what the sound does, and what the intent adds."""

from __future__ import annotations

from planner.context import LineContext, Span, SyllableOn
from planner.intents import Intent
from planner.sides import Sides

COMMON = "common practice"


def stress_said(context: LineContext, syllable: SyllableOn) -> str:
    """The sound of a stress in numbers: what it is, and how it stands out."""
    rank = "main accent of the phrase" if syllable.main else f"{syllable.degree} stress"
    word = f'"{syllable.word}"' if syllable.word else "the syllable"
    return f"{rank}: {syllable.facts.said(word)} (vowel at {context.said_s(syllable.beat_s)})"


def direction_of_lean(context: LineContext, span: Span) -> str:
    """Where the attitude leans, with the side if the stage names it."""
    return lean_words(context.sides, span.intent, span.toward)


def lean_words(sides: Sides, intent: Intent, toward: str | None) -> str:
    """Where an intent leans: toward or away from someone, up, down, or level."""
    if intent.lean == "toward":
        return sides.toward(toward)
    if intent.lean == "away":
        return sides.away(toward)
    return {"up": "up", "down": "down"}.get(intent.lean, "level")


def opposite(direction: str) -> str:
    """The direction an anticipation takes."""
    pairs = {"down": "up", "up": "down", "forward": "back", "back": "forward"}
    return pairs.get(direction, "other side" if direction == "side" else f"opposite of {direction}")
