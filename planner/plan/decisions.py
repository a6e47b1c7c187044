"""The user's decisions laid over a new plan: kept, moved, resized, dropped, locked, added.

Conventions: a decision names a suggestion by its id (a line by its id or number) and is relative:
`move by n` frames (what prepares or trails it goes along: `planner.plan.carried`), `length n`
frames with the hit where it was. `lock` remembers where the hit stood against its line's start
(`by`, in frames) and its length (`frames`), and keeps both whatever a new plan would say. `step`
sets a suggestion's own exposure. A keep, lock or length whose suggestion the plan no longer makes
is made again (`planner.plan.wanted`). When the text has changed a decision follows its word
(`planner.scene.word_diff`). One that finds no suggestion is listed as unplaced with the reason,
and stays in the scene: nothing the user decided is lost. `decide` makes a decision.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from planner.plan.carried import make_room, take_along
from planner.plan.context import LineContext
from planner.plan.drafts import LAYERS
from planner.plan.on_frames import Grid
from planner.plan.shifted import IN_FRAMES, locked, moved, on_its_step, step_of, with_length
from planner.plan.suggestion import Plan, Suggestion
from planner.plan.time_words import counted
from planner.plan.wanted import MADE_AGAIN, added, at_its_word, made_again
from planner.scene import Decision, DecisionDo, Scene
from planner.scene.word_diff import new_places, same_word

HITS = frozenset({"accent", "gesture"})  # what stands on a stress
LATE_S = 1 / 24  # common practice: a hit of the head may be a frame late, not more


@dataclass(frozen=True, slots=True)
class Decided:
    """Suggestions after the user's decisions."""

    suggestions: tuple[Suggestion, ...]
    dropped: tuple[Suggestion, ...] = ()
    unplaced: tuple[dict[str, Any], ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(slots=True)
class _Table:
    """Suggestions by id while decisions are applied, and what came of the others."""

    by_id: dict[str, Suggestion]
    dropped: list[Suggestion] = field(default_factory=list)
    unplaced: list[dict[str, Any]] = field(default_factory=list)


def decided(
    scene: Scene, found: Sequence[Suggestion], contexts: Mapping[int, LineContext], grid: Grid,
    answerable: Mapping[str, int] = MappingProxyType({}),
) -> Decided:  # fmt: skip
    """The suggestions with the scene's decisions applied, in the order of the file.

    answerable : by a cue's anchor (`c1`), the first frame on which it can be answered.
    """
    if not scene.decisions:
        return Decided(tuple(found))
    table = _Table({s.id: s for s in found})
    followed = _followed(scene, contexts)
    for k, decision in enumerate(scene.decisions):
        target = _target(decision, followed[k], table, scene)
        if decision.do != "add" and target in table.by_id:
            _apply(decision, table.by_id[target or ""], table, contexts, grid)
            continue
        why = _wanted(decision, target, table, (scene, contexts, grid))
        if why:
            table.unplaced.append(_listed(decision, why))
    take_along(table.by_id, _shifts(found, table.by_id),
               lambda s, frames: moved(s, frames, grid, step_of(s, contexts, grid)))  # fmt: skip
    make_room(table.by_id)
    return Decided(
        tuple(table.by_id.values()), tuple(table.dropped), tuple(table.unplaced),
        (*overlaps(table.by_id.values()), *too_late(table.by_id.values(), contexts, grid),
         *too_soon(table.by_id.values(), answerable)),
    )  # fmt: skip


def too_late(
    suggestions: Iterable[Suggestion], contexts: Mapping[int, LineContext], grid: Grid
) -> list[str]:
    """A remark for each hit that the user put behind the vowel it belongs to."""
    found: list[str] = []
    for s in suggestions:
        pieces, context = parts_of(s.id), contexts.get(s.line or -1)
        if not s.decision or s.hit is None or s.kind not in HITS or not pieces or not context:
            continue
        beat_s = next((x.beat_s for x in context.syllables if x.anchor == pieces[3]), None)
        if beat_s is None:
            continue
        vowel = grid.clock.frame_at(context.inputs.at_s + beat_s)
        if s.hit - vowel > grid.clock.rate.frames(LATE_S):
            found.append(
                f"{s.id} hits {counted(s.hit - vowel)} after its vowel (frame {vowel}): "
                "your decision puts it behind the sound"
            )
    return found


def too_soon(suggestions: Iterable[Suggestion], answerable: Mapping[str, int]) -> list[str]:
    """A remark for each answer that the user put before its cue can be understood."""
    found: list[str] = []
    for s in suggestions:
        pieces = parts_of(s.id)
        earliest = answerable.get(pieces[3]) if pieces else None
        if not s.decision or s.kind != "reaction" or earliest is None or s.hit is None:
            continue
        if s.hit < earliest:
            found.append(
                f"{s.id} answers {counted(earliest - s.hit)} before its cue can be understood "
                f"(frame {earliest}): it reads as an interruption"
            )
    return found


def _shifts(found: Sequence[Suggestion], by_id: Mapping[str, Suggestion]) -> dict[str, int]:
    """By how many frames each decided suggestion's hit (or start) has moved."""
    return {
        s.id: _hit(by_id[s.id]) - _hit(s) for s in found
        if s.id in by_id and by_id[s.id].decision in ("move", "lock")
    }  # fmt: skip


def _hit(s: Suggestion) -> int:
    return s.hit if s.hit is not None else s.frames[0]


def overlaps(suggestions: Iterable[Suggestion]) -> list[str]:
    """A remark for each main move that the user put on top of another of the same part."""
    by_part: dict[tuple[str, str], list[Suggestion]] = {}
    for s in suggestions:
        if s.kind not in LAYERS:
            by_part.setdefault((s.who, s.part), []).append(s)
    found: list[str] = []
    for moves in by_part.values():
        moves.sort(key=lambda s: s.frames)
        for earlier, later in pairwise(moves):
            frames = earlier.frames[1] - later.frames[0]
            if frames > 0 and (earlier.decision or later.decision):
                found.append(
                    f"{later.id} starts {frames} frames before {earlier.id} ends: "
                    "your decision puts two main moves on one part"
                )
    return found


def decide(
    plan: Plan, of: str, do: DecisionDo, *, by: int | None = None, frames: int | None = None,
    step: int | None = None,
) -> Decision:  # fmt: skip
    """A decision about a suggestion of a plan, with what it needs to find its place again.

    Raises ValueError if the plan has no such suggestion (except to add one).
    """
    known = next((s for s in (*plan.suggestions, *plan.dropped) if s.id == of), None)
    if known is None:
        if do != "add":
            raise ValueError(f"no suggestion {of} in the plan")
        return Decision(of, do, by=by, frames=frames, step=step)
    if do in ("keep", "lock"):
        origin = _origin(plan, known)
        by = (known.hit if known.hit is not None else known.frames[0]) - origin
        frames = known.frames[1] - known.frames[0] + 1
    holds: dict[str, object] = {
        "size": round(known.size, 3),
        "direction": known.direction,
        "path": known.path,
    }
    if do == "lock" and known.hit is not None:
        holds[IN_FRAMES] = known.hit - known.frames[0]
    extra = MappingProxyType(holds if do in MADE_AGAIN else {})
    return Decision(of, do, known.text or None, by, frames, step, extra)


def _origin(plan: Plan, s: Suggestion) -> int:
    """The first frame of the line a suggestion belongs to; the shot's where it has none."""
    return next((p.frames[0] for p in plan.lines if p.line == s.line), plan.shot[0])


def parts_of(of: str) -> tuple[str, str, str, str] | None:
    """kind, part, line, anchor of an id; None if it is none."""
    pieces = of.split("/")
    return (pieces[0], pieces[1], pieces[2], pieces[3]) if len(pieces) == 4 else None


def word_of_anchor(anchor: str) -> int | None:
    """0-based word of an anchor: `w4s1` is 3; None for other anchors."""
    if not anchor.startswith("w"):
        return None
    number = anchor[1:].split("s", maxsplit=1)[0]
    return int(number) - 1 if number.isdigit() else None


def _line_of(scene: Scene, name: str) -> int | None:
    """A line's number from its id or number, or from `third@visitor`."""
    plain = name.split("@", maxsplit=1)[0]
    for line in scene.lines:
        if line.id == plain:
            return line.number
    for line in scene.lines:
        if str(line.number) == plain:
            return line.number
    return None


def _followed(scene: Scene, contexts: Mapping[int, LineContext]) -> list[dict[int, int]]:
    """For each decision the moves of words in its line: old 0-based position -> new."""
    per_line: dict[int, list[tuple[int, str]]] = {}
    lines: list[int | None] = []
    for decision in scene.decisions:
        pieces = parts_of(decision.of)
        number = _line_of(scene, pieces[2]) if pieces else None
        word = word_of_anchor(pieces[3]) if pieces else None
        lines.append(number)
        if number is not None and word is not None and decision.word:
            per_line.setdefault(number, []).append((word, decision.word))
    places: dict[int | None, dict[int, int]] = {None: {}}
    for number, old in per_line.items():
        places[number] = new_places(sorted(set(old)), _words(contexts.get(number)))
    return [places.get(number, {}) for number in lines]


def _words(context: LineContext | None) -> list[str]:
    """A line's words in order."""
    if context is None:
        return []
    found: dict[int, str] = {}
    for s in context.syllables:
        if s.word_index is not None:
            found[s.word_index] = s.word
    return [found.get(i, "") for i in range(max(found, default=-1) + 1)]


def _target(
    decision: Decision, places: Mapping[int, int], table: _Table, scene: Scene
) -> str | None:
    """The id a decision means in the new plan; None where its word or line is gone."""
    pieces = parts_of(decision.of)
    if pieces is None:
        return None
    kind, part, line_name, anchor = pieces
    number = _line_of(scene, line_name)
    if number is not None:
        line_id = next(line.id for line in scene.lines if line.number == number)
        line_name = "@".join([line_id, *line_name.split("@")[1:]])
    of = f"{kind}/{part}/{line_name}/{anchor}"
    word = word_of_anchor(anchor)
    if word is not None and decision.word:
        if word not in places:
            return None
        there = f"{kind}/{part}/{line_name}/w{places[word] + 1}s{anchor.split('s')[1]}"
        return _wherever(there, decision, table)
    of = _wherever(of, decision, table)
    known = table.by_id.get(of)
    if decision.word and anchor[:1] in "bp" and (known is None or not same_word(
            known.text, decision.word)):  # fmt: skip
        alike = [s.id for s in table.by_id.values()
                 if s.id.startswith(f"{kind}/{part}/{line_name}/{anchor[0]}")
                 and same_word(s.text, decision.word)]  # fmt: skip
        return alike[0] if alike else (of if known and not known.text else None)
    return of


def _wherever(of: str, decision: Decision, table: _Table) -> str:
    """The id of the same accent in whatever carries it now; what the user adds stays as said."""
    kind, _, line_name, anchor = of.split("/")
    if of in table.by_id or decision.do == "add" or kind not in ("accent", "anticipation"):
        return of
    gone = {s.id for s in table.dropped}
    alike = [i for i in table.by_id if i.startswith(f"{kind}/")
             and i.endswith(f"/{line_name}/{anchor}")]  # fmt: skip
    return alike[0] if alike and of not in gone else of


def _wanted(
    decision: Decision, target: str | None, table: _Table,
    shot: tuple[Scene, Mapping[int, LineContext], Grid],
) -> str:  # fmt: skip
    """Makes what the user wants and the plan does not; why it has no place, or ""."""
    scene, contexts, grid = shot
    if any(s.id == target for s in table.dropped):
        return "already dropped"
    make = added if decision.do == "add" else made_again
    if target is None and decision.do in MADE_AGAIN:
        target = at_its_word(decision, table.by_id, contexts)
    if target is None or (decision.do != "add" and decision.do not in MADE_AGAIN):
        return _why_unplaced(decision, target)
    made = make(decision, target, table.by_id, contexts, grid, scene)
    if made is None:
        return f'its word "{decision.word}" is gone' if decision.word else "nowhere to put it"
    table.by_id[made.id] = made
    return ""


def _why_unplaced(decision: Decision, target: str | None) -> str:
    if target is None:
        return f'its word "{decision.word}" is gone' if decision.word else "names no suggestion"
    return "the plan no longer suggests it"


def _listed(decision: Decision, why: str) -> dict[str, Any]:
    given = {"of": decision.of, "do": decision.do, "word": decision.word, "by": decision.by,
             "frames": decision.frames, "step": decision.step}  # fmt: skip
    return {k: v for k, v in given.items() if v is not None} | {"why": why}


def _apply(
    decision: Decision, s: Suggestion, table: _Table, contexts: Mapping[int, LineContext],
    grid: Grid,
) -> None:  # fmt: skip
    if decision.do == "drop":
        table.dropped.append(replace(s, decision="drop"))
        del table.by_id[s.id]
        return
    step = decision.step or step_of(s, contexts, grid)
    changed = s
    if decision.do == "move":
        changed = moved(s, decision.by or 0, grid, step)
    elif decision.do == "length":
        changed = with_length(s, decision.frames or 1, grid, step)
    elif decision.do == "lock" and decision.by is not None:
        changed = locked(s, decision, contexts, grid, step)
    if decision.step and decision.do in ("keep", "lock"):
        changed = on_its_step(changed, grid, step)
    table.by_id[s.id] = replace(changed, decision=decision.do)
