"""Other ways to play a phrase: each a name, a sentence, and what it changes in the intent.

A play is no new intent: it keeps what is wanted and moves it into other parts, other sizes or other
times. `plays_of(intent)` offers up to three that differ from what the intent does anyway;
`as_played(intent, name)` is the intent with one taken (a beat's `play:`). Common practice: a
supervising animator asks for a less obvious choice beside the obvious one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from planner.intents import Intent
from planner.plan.carriers import weights_of

OFFERED = 3
SMALLER, BIGGER = 0.6, 1.3
_OPPOSITE = {"follow": "oppose", "oppose": "follow", "stay": "oppose"}


def _scaled(intent: Intent, by: float) -> Intent:
    """All sizes times a factor, one at most."""
    return replace(
        intent, **{f: min(1.0, getattr(intent, f) * by) for f in SIZES}
    )  # fmt: skip


SIZES = ("pose_size", "accent_size", "head_move_size", "gesture_size", "brow_size")


def _smaller(i: Intent) -> Intent:
    return _scaled(replace(i, carriers="brow 3, eyes 2.5, head 1.6", gestures_per_10_s=0.0,
                           stay_ratio=max(i.stay_ratio, 1.5)), SMALLER)  # fmt: skip


def _against(i: Intent) -> Intent:
    other = "up" if i.accent_direction == "down" else "down" if i.head != "low" else "side"
    return replace(i, head_answers_tone=_OPPOSITE[i.head_answers_tone], accent_direction=other,
                   carriers="head 3, brow 1.2, chest 1")  # fmt: skip


def _eyes_only(i: Intent) -> Intent:
    return replace(_scaled(i, 0.5), carriers="eyes 3, brow 2, stillness 1.5", gestures_per_10_s=0.0,
                   brow_size=i.brow_size)  # fmt: skip


def _hands(i: Intent) -> Intent:
    return replace(i, carriers="hand 3, shoulder 1.5, chest 1",
                   gestures_per_10_s=max(2.0, i.gestures_per_10_s))  # fmt: skip


def _stillness(i: Intent) -> Intent:
    return replace(i, carriers="stillness 3, eyes 2, brow 1", accents_per_s=i.accents_per_s * 0.6,
                   freeze_ms=max(i.freeze_ms, 165.0), stares=True, gestures_per_10_s=0.0,
                   moves_per_s=i.moves_per_s * 0.6)  # fmt: skip


def _bigger(i: Intent) -> Intent:
    return _scaled(replace(i, carriers="head 3, chest 2.4, hand 2.2, shoulder 1.2",
                           anticipation_ms=i.anticipation_ms * 1.2), BIGGER)  # fmt: skip


_Make = Callable[[Intent], Intent]
PLAYS: Mapping[str, tuple[str, _Make]] = MappingProxyType(
    {
        "smaller": ("Keep it in the face: what is wanted is held in, and one brow gives it away.",
                    _smaller),
        "against the tone": ("The head goes where the voice does not: the words say it, the body "
                             "takes it back.", _against),
        "eyes only": ("Nothing moves but the lids and where they look; the words do the rest.",
                      _eyes_only),
        "hands": ("The head stays out of it and a hand makes the point.", _hands),
        "stillness": ("Stop before the word and stay stopped on it: the stop is the point.",
                      _stillness),
        "bigger": ("Let it out: from the chest, prepared, with a hand in it.", _bigger),
    }
)  # fmt: skip


def as_played(intent: Intent, name: str) -> Intent:
    """The intent with a play taken. Raises KeyError for a play that does not exist."""
    return PLAYS[name][1](intent)


def plays_of(intent: Intent) -> tuple[str, ...]:
    """Names of the plays that show a phrase of that intent another way, the farthest first."""
    weights = weights_of(intent.carriers)
    habit = max(weights, key=lambda n: weights[n])
    energetic = intent.energy_ratio >= 0.5
    wanted = [
        "smaller" if energetic else "bigger",
        "eyes only" if habit not in ("eyes", "brow") else "hands",
        "stillness" if energetic and not intent.freeze_ms else "against the tone",
        "hands",
    ]
    return tuple(dict.fromkeys(wanted))[:OFFERED]
