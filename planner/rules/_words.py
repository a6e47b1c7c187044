"""Sentences the rules share: what the sound does, and what the intent adds."""

from __future__ import annotations

from planner.intents import Intent
from planner.plan.context import LineContext, Span, SyllableOn
from planner.plan.sides import Sides

COMMON = "common practice"
GAZE_WORDS = {"down": "down", "up": "up and off"}  # other ways are off to a side


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


def against(one: str, other: str) -> bool:
    """Whether two directions lie on one axis and go opposite ways: up and down, to and fro.

    >>> against("up", "down"), against("toward visitor (right)", "back"), against("up", "forward")
    (True, True, False)
    """
    first, second = (_AXIS.get(d.split(" ", maxsplit=1)[0], (d, 0)) for d in (one, other))
    return first[0] == second[0] and first[1] * second[1] < 0


_AXIS = {"up": ("height", 1), "down": ("height", -1), "forward": ("depth", 1),
         "toward": ("depth", 1), "back": ("depth", -1), "away": ("depth", -1)}  # fmt: skip


def opposite(direction: str) -> str:
    """The direction an anticipation takes."""
    pairs = {"down": "up", "up": "down", "forward": "back", "back": "forward", "nod": "up",
             "shake": "other side"}  # fmt: skip
    return pairs.get(direction, "other side" if direction == "side" else f"opposite of {direction}")
