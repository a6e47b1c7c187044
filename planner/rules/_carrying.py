"""What carries each of a line's chosen stresses, and the shape in time that a carrier gives it.

`carriers_of` gives every chosen syllable its carrier, in the order of time, by meaning, intent and
what was just done. `shaped` gives the times: in, on the hit, staying, back. They follow the voice:
a hard beginning (short attack) is struck fast, a loud syllable is met earlier, a long one is stayed
on longer. Lengths in seconds; ranges are common practice at 24 frames.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.lexicon import meaning_at
from planner.plan.carriers import Carried, carried, weights_of
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, SyllableOn
from planner.rules._vary import share_of

USUAL_ATTACK_S = 0.08  # of a syllable in plain talk, from 6 dB under its top (own measurement)
USUAL_LOUD_DB = 6.0  # over its neighbours: clearly leaned on
FASTEST_S = 1.5 / 24  # in less nothing is seen to move
SLOWEST_S = 9 / 24
LONGEST_LEAD_S = 0.105  # 2.5 frames at 24
LIFT_S = 0.25  # 6 frames at 24 to have a hand up before its stroke
OPENS_ELSEWHERE = 0.5  # share of lines whose first accent is not the head's by habit
STAYS_S = 0.18  # of a syllable of twice the usual length, at a stay_ratio of 1


@dataclass(frozen=True, slots=True)
class Voiced:
    """A syllable against plain talk: 1 is usual. `attack` under 1 is hard, `length` over 1 long."""

    attack: float
    loud: float
    length: float

    @classmethod
    def of(cls, syllable: SyllableOn) -> Voiced:
        """From the syllable's figures; what could not be measured counts as usual."""
        facts = syllable.facts
        attack = facts.attack_s / USUAL_ATTACK_S if math.isfinite(facts.attack_s) else 1.0
        loud = facts.level_db / USUAL_LOUD_DB if math.isfinite(facts.level_db) else 0.0
        length = facts.length_ratio if math.isfinite(facts.length_ratio) else 1.0
        return cls(
            _between(attack, 0.5, 2.0), _between(loud, -1.0, 1.0), _between(length, 0.6, 2.2)
        )

    @property
    def said(self) -> str:
        """In words: how the syllable begins, and how long it is."""
        begins = "begins hard" if self.attack < 0.75 else "swells" if self.attack > 1.3 else ""
        lasts = "long" if self.length > 1.5 else "clipped" if self.length < 0.85 else ""
        return " and ".join(w for w in (begins, lasts) if w)


@dataclass(frozen=True, slots=True)
class Shape:
    """Times of an accent: starts, hits, leaves, is back (seconds of the line)."""

    start_s: float
    hit_s: float
    leaves_s: float
    end_s: float


# By carrier: its way in and back as shares of the intent's, how much nearer to the vowel it hits
# than the head (seconds), and what it stays beyond the voice.
_SHAPES: Mapping[str, tuple[float, float, float, float]] = {
    "head": (1.0, 1.0, 0.0, 0.0),
    "brow": (0.8, 1.1, -0.02, 0.12),
    "eyes": (0.6, 0.7, 0.02, 0.25),
    "hand": (1.0, 1.3, 0.05, 0.1),
    "shoulder": (1.5, 1.2, 0.03, 0.06),
    "chest": (1.8, 1.4, 0.03, 0.1),
    "stillness": (1.3, 0.5, 0.05, 0.15),
}


def attack_of(context: LineContext, syllable: SyllableOn) -> float:
    """How long the way in takes: the intent's, by how the syllable begins."""
    intent, voiced = context.span_of(syllable.index).intent, Voiced.of(syllable)
    return _between(intent.attack_ms / 1000 * voiced.attack**0.6, FASTEST_S, SLOWEST_S)


def lead_of(context: LineContext, syllable: SyllableOn) -> float:
    """How far ahead of its vowel the head hits: more on a loud syllable, less on a soft one."""
    intent, voiced = context.span_of(syllable.index).intent, Voiced.of(syllable)
    return _between(intent.lead_head_ms / 1000 * (1 + 0.4 * voiced.loud), 0.0, LONGEST_LEAD_S)


def recover_of(context: LineContext, syllable: SyllableOn) -> float:
    """How long the way back takes: longer after a long syllable, quicker after a loud one."""
    intent, voiced = context.span_of(syllable.index).intent, Voiced.of(syllable)
    return intent.recover_ms / 1000 * (0.1 + 0.9 * voiced.length) * (1 - 0.2 * voiced.loud)


def stays_of(context: LineContext, syllable: SyllableOn) -> float:
    """How much longer than its tone and level an accent stays."""
    intent, voiced = context.span_of(syllable.index).intent, Voiced.of(syllable)
    return STAYS_S * intent.stay_ratio * max(0.0, voiced.length - 0.6)


def shaped(
    context: LineContext, syllable: SyllableOn, carrier: str, hit_s: float, stays_s: float
) -> Shape:
    """The times of an accent of some carrier; `hit_s` and `stays_s` are the head's."""
    into, back, nearer_s, more_s = _SHAPES[carrier]
    intent = context.span_of(syllable.index).intent
    earliest_s = max(syllable.beat_s - LONGEST_LEAD_S, min(syllable.word_s[0], syllable.beat_s))
    hit_s = min(max(hit_s + nearer_s, earliest_s), syllable.beat_s)
    way_s = _between(attack_of(context, syllable) * into, FASTEST_S, SLOWEST_S)
    start_s = hit_s - way_s - (LIFT_S if carrier == "hand" else 0.0)
    if carrier == "stillness":
        start_s = hit_s - max(intent.freeze_ms / 1000, way_s)
        stays_s = max(stays_s, syllable.word_s[1])
    leaves_s = max(stays_s, hit_s) + more_s * max(intent.stay_ratio, 0.4)
    return Shape(start_s, hit_s, leaves_s, leaves_s + recover_of(context, syllable) * back)


def carriers_of(
    context: LineContext, chosen: Sequence[SyllableOn], board: Board
) -> dict[int, Carried]:
    """For each chosen syllable what carries it, in the order of time."""
    words = _words(context)
    # Every other line, by its name, opens elsewhere than in the head: nothing is looked up for it.
    opens = share_of("opens", context.inputs.who, context.inputs.line_id) < OPENS_ELSEWHERE
    before: list[str] = ["head"] if opens else []
    found: dict[int, Carried] = {}
    last_word = ""
    for s in sorted(chosen, key=lambda s: s.beat_s):
        intent = context.span_of(s.index).intent
        meaning = meaning_at(words, s.word_index) if s.word_index is not None else None
        if meaning and meaning.name == "you" and context.span_of(s.index).toward is None:
            meaning = None
        jitter = share_of(context.inputs.line_id, s.anchor, s.word)
        made = carried(weights_of(intent.carriers), before, meaning, jitter,
                       _barred(context, s, board, before))  # fmt: skip
        if s.word and s.word.lower() == last_word and found:
            made = Carried(before[-1], made.direction if made.carrier == before[-1] else None,
                           "again" if intent.energy_ratio < 0.5 else "again, and more")  # fmt: skip
        found[s.index] = made
        before.append(made.carrier)
        last_word = s.word.lower()
    return found


def _words(context: LineContext) -> list[str]:
    found: dict[int, str] = {}
    for s in context.syllables:
        if s.word_index is not None:
            found[s.word_index] = s.word
    return [found.get(i, "") for i in range(max(found, default=-1) + 1)]


def _barred(
    context: LineContext, syllable: SyllableOn, board: Board, before: Sequence[str]
) -> frozenset[str]:
    """Carriers that are not to be had there, or that the attitude is in the way of."""
    span = context.span_of(syllable.index)
    intent = span.intent
    barred: set[str] = set()
    room_s = syllable.beat_s - board.low_s
    hands = board.planted_during(syllable.beat_s - 0.5, syllable.beat_s + 0.6)
    both = all(any(p.startswith(side) for p in hands) for side in ("left", "right"))
    rests = intent.gesture_kind == "rest" and not syllable.main
    if room_s < LIFT_S + 0.15 or both or intent.gesture == "none" or rests:
        barred.add("hand")
    if not syllable.main or syllable.phrase == 0 or syllable.degree != "strong":
        barred.add("stillness")
    if intent.shoulders == "wide":
        barred.add("shoulder")
    if intent.shoulders == "up" or intent.parts_together:
        barred.add("chest")
    if len(context.syllables) < 3:
        barred |= {"chest", "hand", "stillness"}
    return frozenset(barred)


def _between(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)
