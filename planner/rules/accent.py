"""Accents: the head's hits on stressed words, riding on the attitude.

`hit` is the extreme, about two frames at 24 ahead of the vowel, hardly ever late. Not every stress
gets a move: one main accent a phrase, others only where the intent has the energy and there is
room at its `accents_per_s`. Of pitch accents 42 % had a nod in Graf et al. 2002 (IEEE FG).
"""

from __future__ import annotations

from planner.conflicts import Board
from planner.context import LineContext, SyllableOn
from planner.drafts import Draft
from planner.rules import rule
from planner.rules._words import COMMON, stress_said
from planner.suggestion import Why

LIGHT_ENERGY = 0.7  # share; under it light stresses are left to the voice
SECOND_SIZE = 0.55  # of a main accent: what is not the point must not look like it
STRONG_ENERGY = 0.35  # share; under it only main accents move
PROMINENCE_SHARE = 0.3  # how much of an accent's size its prominence decides


@rule("accent", order=20)
def accents(context: LineContext, board: Board) -> list[Draft]:
    """Main accents first, then what restraint leaves room for."""
    chosen = [s for s in context.syllables if s.main]
    rest = [s for s in context.syllables if not s.main and _deserves(context, s)]
    for syllable in sorted(rest, key=lambda s: (s.degree != "strong", -s.prominence, s.index)):
        gap_s = 1.0 / max(context.span_of(syllable.index).intent.accents_per_s, 0.1)
        if all(abs(syllable.beat_s - other.beat_s) >= gap_s for other in chosen):
            chosen.append(syllable)
    return [accent(context, syllable, board) for syllable in chosen]


def _deserves(context: LineContext, syllable: SyllableOn) -> bool:
    energy = context.span_of(syllable.index).intent.energy_ratio
    if syllable.degree == "strong":
        return energy >= STRONG_ENERGY
    return syllable.degree == "light" and energy >= LIGHT_ENERGY


def accent(
    context: LineContext, syllable: SyllableOn, board: Board, *, must: bool | None = None
) -> Draft:
    """The accent of a syllable, whether or not restraint would choose it."""
    span = context.span_of(syllable.index)
    intent = span.intent
    # The attitude is there first: an accent never hits before the pose it rides on.
    pose_s = max((d.hit_s or 0.0 for d in board.kind("pose") if d.span <= span.number - 1),
                 default=board.low_s)  # fmt: skip
    hit_s = max(syllable.beat_s - intent.lead_head_ms / 1000, min(pose_s, syllable.beat_s))
    hit_s = max(hit_s, board.low_s)
    size = intent.accent_size * (1 - PROMINENCE_SHARE * (1 - syllable.prominence))
    size *= 1.0 if syllable.main else SECOND_SIZE
    lead_ms = (syllable.beat_s - hit_s) * 1000
    does = (
        f"Hit {lead_ms:.0f} ms ahead of the vowel, {'' if syllable.main else 'smaller, '}"
        "on top of the attitude; the picture may lead the sound a little, never trail it."
    )
    return context.draft(
        "accent", "head", syllable.anchor, span=span, text=syllable.word,
        at_s=(hit_s - intent.attack_ms / 1000, hit_s, hit_s + intent.recover_ms / 1000),
        size=intent.sized(size), direction=intent.accent_direction, path=intent.path,
        because=Why(
            stress_said(context, syllable),
            f"{intent.said}: {intent.accent_direction}, {intent.attack_ms:.0f} ms in, "
            f"{intent.recover_ms:.0f} ms back",
            does, COMMON,
        ),
        rides_on=context.pose_of(span), ease=intent.ease, least_s=0.0,
        must=syllable.main if must is None else must,
        certainty=0.9 if syllable.main else 0.7,
    )  # fmt: skip
