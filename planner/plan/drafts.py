"""Draft: a suggestion while it is still in seconds, before it is put on frames.

Conventions: `start_s`, `hit_s`, `end_s` are seconds of the line, or of the shot while listening, so
that the same scene plans alike at every rate; `planner.plan.on_frames` turns them into frames
once. `keys` are (seconds, share of the way) of the timing chart; empty means out to the hit and, if
the draft ends later, back again. `least_s` is the shortest way from start to hit that still reads.
`hit_within_s` is the word a hit belongs to: on twos it is not exposed before or after it.
`starts_from_s` is a start that twos may not round forward, if there is room after it.
`prepared_from_s` is from when an attitude or take is prepared, None where it is not. `must`
exempts from restraint (an attitude, a phrase's main accent, what the voice itself does).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypedDict

from planner.plan.suggestion import Kind, Why

LAYERS = frozenset({"accent", "laugh", "breath", "blink", "look", "brow"})
# What restraint counts: moves on top of the attitude that an audience reads as "he moved".
# Preparing, trailing and dying moves belong to these and are not counted again.
COUNTED = frozenset({"accent", "head-move", "gesture", "weight-shift"})


class DraftMore(TypedDict, total=False):
    """What a rule may say of a draft beside what it must; the fields of `Draft` of these names."""

    rides_on: str | None
    ease: str
    keys: tuple[tuple[float, float], ...]
    least_s: float
    must: bool
    hit_within_s: tuple[float, float] | None
    starts_from_s: float | None
    before: str | None
    certainty: float
    carrier: str | None
    via: str
    prepared_from_s: float | None


@dataclass(frozen=True, slots=True)
class Draft:
    """A suggestion in seconds. See the module's docstring."""

    kind: Kind
    part: str
    who: str
    line: int | None
    line_id: str
    anchor: str
    text: str
    start_s: float
    hit_s: float | None
    end_s: float
    size: float
    direction: str
    path: str
    because: Why
    rides_on: str | None = None
    beat: int | None = None
    span: int = 0
    ease: str = "minimum-jerk"
    keys: tuple[tuple[float, float], ...] = ()
    least_s: float = 0.1
    must: bool = False
    hit_within_s: tuple[float, float] | None = None
    starts_from_s: float | None = None
    before: str | None = None
    certainty: float = 1.0
    step: int = 1
    carrier: str | None = None
    via: str = ""
    prepared_from_s: float | None = None

    @property
    def id(self) -> str:
        """`kind/part/line-id/anchor`."""
        return f"{self.kind}/{self.part}/{self.line_id}/{self.anchor}"

    @property
    def layers(self) -> bool:
        """Whether it rides on another move instead of taking its part."""
        return self.kind in LAYERS

    @property
    def leaves_s(self) -> float:
        """When it starts back: the last key before its end that is not rest, else its hit."""
        if self.keys:
            return max((s for s, at in self.keys if at > 0.5), default=self.start_s)
        return self.end_s if self.hit_s is None else self.hit_s

    def chart_keys_s(self) -> tuple[tuple[float, float], ...]:
        """Keys of the timing chart: (seconds, share of the way)."""
        if self.keys:
            return self.keys
        if self.hit_s is None:
            return ((self.start_s, 0.0), (self.end_s, 1.0))
        way = ((self.start_s, 0.0), (self.hit_s, 1.0))
        return (*way, (self.end_s, 0.0)) if self.end_s > self.hit_s else way

    def trimmed(self, start_s: float, end_s: float) -> Draft:
        """The draft with less room; its hit stays unless the end now comes before it."""
        hit_s = self.hit_s if self.hit_s is None else min(self.hit_s, end_s)
        keys = tuple((min(max(s, start_s), end_s), at) for s, at in self.keys)
        return replace(self, start_s=start_s, hit_s=hit_s, end_s=end_s, keys=keys)

    def noting(self, remark: str) -> Draft:
        """The draft with a remark added to what the rule says."""
        why = replace(self.because, rule=f"{self.because.rule} {remark}")
        return replace(self, because=why)
