"""A plan sorted into rows: a row a body part of a character, more where moves lie over each other.

Found once for a plan; the view then looks up what is visible by bisection, so that a long shot
costs no more than a short one. Two moves may share the frame where one ends and the next begins
(one key serves both) and still stand in one row.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.plan.suggestion import Plan, Suggestion
from planner.scene import PARTS

# From the whole body down: the attitude first, what rides on it below.
ROW_ORDER = ("whole", "head", *(part for part in PARTS if part not in ("whole", "head")))
LAYERED = ("accent", "laugh", "breath", "blink", "look", "brow")


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One row: suggestions of a part that do not lie over each other, by first frame."""

    who: str
    part: str
    lane: int
    suggestions: tuple[Suggestion, ...]
    starts: tuple[int, ...]
    longest: int

    def between(self, first: int, last: int) -> tuple[Suggestion, ...]:
        """The suggestions with a frame in first..last, and the next one after them."""
        low = bisect_left(self.starts, first - self.longest)
        high = bisect_left(self.starts, last + 1) + 1
        return tuple(s for s in self.suggestions[low:high] if s.frames[1] >= first)

    def place(self, suggestion: Suggestion) -> int:
        """The place of a suggestion in the row; no two begin on one frame."""
        return bisect_left(self.starts, suggestion.frames[0])

    def nearest(self, frame: int) -> Suggestion:
        """The suggestion whose hit is nearest to a frame."""
        return min(self.suggestions, key=lambda s: abs(hit_of(s) - frame))


@dataclass(frozen=True, slots=True)
class PlanIndex:
    """The rows of a plan, without and with what was dropped, and everything by its id."""

    kept: tuple[PlanRow, ...]
    all: tuple[PlanRow, ...]
    by_id: Mapping[str, Suggestion]
    dropped_ids: frozenset[str]

    def rows(self, *, who: str | None, dropped: bool) -> tuple[PlanRow, ...]:
        """The rows of a character, or of all."""
        rows = self.all if dropped else self.kept
        return tuple(row for row in rows if who in (None, row.who))

    def part(self, row: PlanRow, *, dropped: bool) -> tuple[PlanRow, ...]:
        """All rows of the part a row belongs to."""
        rows = self.all if dropped else self.kept
        return tuple(r for r in rows if (r.who, r.part) == (row.who, row.part))

    def row_of(self, suggestion_id: str, *, dropped: bool) -> PlanRow | None:
        """The row a suggestion stands in."""
        rows = self.all if dropped else self.kept
        wanted = self.by_id.get(suggestion_id)
        if wanted is None:
            return None
        return next(
            (r for r in rows if (r.who, r.part) == (wanted.who, wanted.part)
             and any(s.id == suggestion_id for s in r.between(*wanted.frames))), None
        )  # fmt: skip

    def has(self, suggestion_id: str) -> bool:
        """True if the plan has that suggestion, dropped or not."""
        return suggestion_id in self.by_id


def hit_of(suggestion: Suggestion) -> int:
    """The frame a suggestion is about: its hit, or where it begins."""
    return suggestion.frames[0] if suggestion.hit is None else suggestion.hit


def index_plan(plan: Plan) -> PlanIndex:
    """Sort a plan into rows."""
    dropped = {s.id: s for s in plan.dropped}
    by_id = {**dropped, **{s.id: s for s in plan.suggestions}}
    order = {who: place for place, who in enumerate(dict.fromkeys(p.who for p in plan.lines))}
    kept = _rows(plan.suggestions, order)
    return PlanIndex(
        kept=kept,
        all=_rows(by_id.values(), order) if dropped else kept,
        by_id=by_id,
        dropped_ids=frozenset(set(dropped) - {s.id for s in plan.suggestions}),
    )


def _rows(suggestions: Iterable[Suggestion], order: Mapping[str, int]) -> tuple[PlanRow, ...]:
    groups: dict[tuple[str, str], list[Suggestion]] = {}
    for suggestion in suggestions:
        groups.setdefault((suggestion.who, suggestion.part), []).append(suggestion)

    def place(key: tuple[str, str]) -> tuple[int, str, int]:
        who, part = key
        rank = ROW_ORDER.index(part) if part in ROW_ORDER else len(ROW_ORDER)
        return (order.get(who, len(order)), who, rank)

    rows: list[PlanRow] = []
    for who, part in sorted(groups, key=place):
        for lane, members in enumerate(_lanes(groups[who, part])):
            longest = max(s.frames[1] - s.frames[0] for s in members)
            starts = tuple(s.frames[0] for s in members)
            rows.append(PlanRow(who, part, lane, tuple(members), starts, longest))
    return tuple(rows)


def _lanes(suggestions: list[Suggestion]) -> list[list[Suggestion]]:
    """Spread over as few rows as keep moves apart: main moves first, layered ones below them.

    In order of first frames, each goes to the first lane whose last move is over by then; two may
    share the frame where one ends and the next begins, if both do not begin there.
    """
    found: list[list[Suggestion]] = []
    for layered in (False, True):
        lanes: list[list[Suggestion]] = []
        members = [s for s in suggestions if (s.kind in LAYERED) == layered]
        for suggestion in sorted(members, key=lambda s: (s.frames, s.id)):
            first = suggestion.frames[0]
            for lane in lanes:
                if lane[-1].frames[1] <= first and lane[-1].frames[0] < first:
                    lane.append(suggestion)
                    break
            else:
                lanes.append([suggestion])
        found += lanes
    return found
