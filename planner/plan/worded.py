"""The last word: what is measured on each final suggestion, and its reasons in those numbers.

Conventions: frames. `in_frames` from the start to the extreme (the hit; a reaction's end; where a
settle is furthest past), `stay_frames` on it until the way back begins, `back_frames` back to rest
or to what is kept, `trails_frames` behind the leader's hit (or its start, where it has no hit).
None where a move has no such stretch. Runs after exposure, conflicts, tidying and the user's
decisions; every number of a move that a reason prints is read here, none from intended seconds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.plan.ease import EASE_WORDS
from planner.plan.suggestion import Suggestion, Why
from planner.plan.time_words import OF_MOVE, counted
from planner.plan.timing_chart import favouring

STAYS = 0.5  # share of the way; what keeps more of it has not gone back yet
LEADERS = ("accent", "gesture", "pose", "breath", "head-move", "reaction")
FOLLOWERS = frozenset({"follow"})
UNKNOWN = "some"  # of a follower whose leader was dropped


@dataclass(frozen=True, slots=True)
class Measured:
    """The lengths of a final suggestion, in frames."""

    in_frames: int | None = None
    stay_frames: int | None = None
    back_frames: int | None = None
    trails_frames: int | None = None


def measured(s: Suggestion, leader: Suggestion | None = None) -> Measured:
    """What a suggestion's frames say; `leader` is what it follows, if it follows."""
    trails = None if leader is None else _trails(s, leader)
    start, end = s.frames
    if s.hit is None:
        return Measured(trails_frames=trails)
    keys = [m for m in s.timing_chart if m.mark == "key"]
    if s.kind == "settle":
        past = next((m.frame for m in keys if start < m.frame < end), None)
        if past is None:
            return Measured(back_frames=end - start)
        return Measured(past - start, None, end - past)
    if s.kind == "reaction":
        return Measured(end - start)
    leaves, rest = s.hit, None
    for key in keys:
        if key.frame > s.hit:
            if key.at < STAYS:
                rest = key.frame
                break
            leaves = key.frame
    if rest is None:
        return Measured(s.hit - start, leaves - s.hit if leaves > s.hit else None, None, trails)
    return Measured(s.hit - start, leaves - s.hit, rest - leaves, trails)


def _trails(s: Suggestion, leader: Suggestion) -> int:
    if s.hit is None or leader.hit is None or leader.kind == "breath":
        return s.frames[0] - leader.frames[0]
    return s.hit - leader.hit


class Wording:
    """Words suggestions; those that did not change since the wording before are taken over."""

    def __init__(self, before: Wording | None = None) -> None:
        self._before = before._made if before else {}
        self._made: dict[int, tuple[Suggestion, Suggestion | None, Suggestion]] = {}

    def of(self, suggestions: Sequence[Suggestion]) -> tuple[Suggestion, ...]:
        """The suggestions with their lengths and their reasons in words."""
        leaders = _leaders(suggestions)
        return tuple(self._worded(s, leaders.get(s.id)) for s in suggestions)

    def _worded(self, s: Suggestion, leader: Suggestion | None) -> Suggestion:
        known = self._before.get(id(s))
        if known is None or known[0] is not s or known[1] is not leader:
            known = (s, leader, worded(s, leader))
        self._made[id(s)] = known
        return known[2]


def worded(s: Suggestion, leader: Suggestion | None = None) -> Suggestion:
    """A final suggestion with its lengths, its reasons in those numbers."""
    lengths = measured(s, leader)
    because = s.because
    if any("\ue000" in text for text in (because.sound, because.intent, because.rule)):
        sound, intent, rule = (
            _said(text, s, lengths) for text in (because.sound, because.intent, because.rule)
        )
        because = Why(sound, intent, rule, because.source)
    return replace(
        s,
        because=because,
        in_frames=lengths.in_frames,
        stay_frames=lengths.stay_frames,
        back_frames=lengths.back_frames,
        trails_frames=lengths.trails_frames,
    )


def _leaders(suggestions: Iterable[Suggestion]) -> Mapping[str, Suggestion]:
    """What each follower follows: a move of the same character at the same place of the line."""
    found: dict[str, Suggestion] = {}
    places: dict[tuple[str, str], list[Suggestion]] = {}
    followers = []
    for s in suggestions:
        if s.kind in FOLLOWERS:
            followers.append(s)
        elif s.kind in LEADERS:
            places.setdefault((s.who, _place(s.id)), []).append(s)
    for s in followers:
        near = places.get((s.who, _place(s.id)), [])
        hand = [o for o in near if o.part == s.part.replace("fingers", "hand") != s.part]
        body = [o for o in near if o.kind != "gesture" and o.part != s.part]
        led = hand or sorted(body, key=lambda o: LEADERS.index(o.kind))
        if led:
            found[s.id] = led[0]
    return found


def _place(of: str) -> str:
    """Line and anchor of an id."""
    return of.split("/", 2)[2]


def _said(text: str, s: Suggestion, lengths: Measured) -> str:
    def said(match: re.Match[str]) -> str:
        kind, what = match[1], match[2]
        if kind == "O":
            return _length(what, s, lengths)
        if kind == "F":
            return f"frame {s.frames[1] if what == 'ends' else leaves(s)}"
        if kind == "C":
            return chart_said(s, what)
        edge = s.frames[0] if what[0] == "s" or s.hit is None else s.hit
        return _relation(edge - int(what[1:]), kind)

    return OF_MOVE.sub(said, text)


def _length(name: str, s: Suggestion, lengths: Measured) -> str:
    unit = name.endswith("+")
    table = {"in": lengths.in_frames, "stay": lengths.stay_frames, "back": lengths.back_frames,
             "trails": lengths.trails_frames, "lasts": s.frames[1] - s.frames[0]}  # fmt: skip
    frames = table[name.removesuffix("+")]
    if frames is None and name.startswith(("in", "stay", "back")):
        frames = 0
    if frames is None:
        return f"{UNKNOWN} frames" if unit else UNKNOWN
    return counted(frames) if unit else str(frames)


def _relation(late: int, kind: str) -> str:
    """A move that many frames after a moment (before it, if negative), in words."""
    if kind == "G":
        return "on" if late == 0 else f"{counted(abs(late))} {'after' if late > 0 else 'before'}"
    if late == 0:
        return "just then"
    return f"{counted(abs(late))} {'before' if late > 0 else 'after it'}"


def leaves(s: Suggestion) -> int:
    """The frame on which a move starts back for good; its last if it does not."""
    keys = [m for m in s.timing_chart if m.mark == "key"]
    if len(keys) < 3 or keys[-1].at >= min(STAYS, keys[-2].at):
        return s.frames[1]
    return keys[-2].frame


def chart_said(s: Suggestion, ease: str) -> str:
    """The chart in words: spacing and where the breakdown stands."""
    middle = next((m.at for m in s.timing_chart if m.mark == "breakdown"), None)
    return f" Chart: {EASE_WORDS[ease]}; breakdown {favouring(middle)}." if middle else ""
