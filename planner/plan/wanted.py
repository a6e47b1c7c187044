"""What the user asks for by name: a suggestion of their own, or one that the plan makes no more.

`do: add` makes a suggestion at a word, a pause or a beat. A `keep`, `lock` or `length` whose
suggestion a new plan leaves out is made again in the same way, from what the decision holds (kind
and part in its id; direction, size and path; a lock its place and length), as long as its word is
still said: if its beat or pause is gone, at that word.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.plan.added import added_draft, anchor_place
from planner.plan.context import LineContext
from planner.plan.drafts import LAYERS
from planner.plan.on_frames import Grid, suggestions_of
from planner.plan.shifted import locked, moved, on_its_step, step_of, with_length
from planner.plan.suggestion import Suggestion
from planner.scene import Decision, Scene
from planner.scene.word_diff import same_word

MADE_AGAIN = frozenset({"keep", "lock", "length"})


def added(
    decision: Decision, target: str, by_id: Mapping[str, Suggestion],
    contexts: Mapping[int, LineContext], grid: Grid, scene: Scene,
) -> Suggestion | None:  # fmt: skip
    """The user's own suggestion, or the plan's of that id marked as wanted; None without place."""
    made = by_id.get(target) or _made(decision, target, by_id, contexts, grid, scene)
    if made is None:
        return None
    step = decision.step or step_of(made, contexts, grid)
    if decision.frames:
        made = with_length(made, decision.frames, grid, step)
    if decision.by:
        made = moved(made, decision.by, grid, step)
    return replace(made, decision="add")


def made_again(
    decision: Decision, target: str, by_id: Mapping[str, Suggestion],
    contexts: Mapping[int, LineContext], grid: Grid, scene: Scene,
) -> Suggestion | None:  # fmt: skip
    """A kept, locked or lengthened suggestion the plan leaves out; None if its word is gone."""
    made = _made(decision, target, by_id, contexts, grid, scene)
    if made is None:
        return None
    step = decision.step or step_of(made, contexts, grid)
    if decision.do == "length" and decision.frames:
        made = with_length(made, decision.frames, grid, step)
    elif decision.by is not None:
        made = locked(made, decision, contexts, grid, step)
    if decision.step:
        made = on_its_step(made, grid, step)
    return replace(made, decision=decision.do)


def at_its_word(
    decision: Decision, by_id: Mapping[str, Suggestion], contexts: Mapping[int, LineContext]
) -> str | None:
    """An id for a suggestion whose beat or pause is gone: its own, or that of its word."""
    kind, part, line_name, anchor = decision.of.split("/")
    name = line_name.split("@")[0]
    for number, context in contexts.items():
        if name not in (context.inputs.line_id, str(number)):
            continue
        said = [s.anchor for s in context.syllables if same_word(s.word, decision.word)]
        if not said or anchor[:1] == "w":
            return None
        line = "@".join([context.inputs.line_id, *line_name.split("@")[1:]])
        own, at_word = (f"{kind}/{part}/{line}/{a}" for a in (anchor, said[0]))
        place = anchor_place(context, anchor)
        moved_on = place is not None and not same_word(place[0].word, decision.word)
        return at_word if moved_on or own in by_id else own
    return None


def _made(
    decision: Decision, target: str, by_id: Mapping[str, Suggestion],
    contexts: Mapping[int, LineContext], grid: Grid, scene: Scene,
) -> Suggestion | None:  # fmt: skip
    """A suggestion of that id, with the timing of the intent in force at its place."""
    pieces = target.split("/")
    if len(pieces) != 4:
        return None
    line_id, _, listener = pieces[2].partition("@")
    context = next((c for c in contexts.values() if c.inputs.line_id == line_id), None)
    if context is None:
        return None
    kind, part, _, anchor = pieces
    draft = added_draft(context, (kind, part, line_id, anchor), decision)
    placed = suggestions_of([draft], grid, context.inputs.at_s) if draft else ()
    if not placed:
        return None
    cue = int(anchor[1:]) if anchor[:1] == "c" and anchor[1:].isdigit() else 0
    if 1 <= cue <= len(scene.cues):
        listener = scene.cues[cue - 1].who
    made = replace(placed[0], id=target)
    return _of_listener(made, listener, by_id) if listener else made


def _of_listener(s: Suggestion, who: str, by_id: Mapping[str, Suggestion]) -> Suggestion:
    """A suggestion given to a listener; what layers rides on what that body does then."""
    under = [
        o.id
        for o in by_id.values()
        if o.who == who
        and o.kind not in LAYERS
        and o.frames[0] <= s.frames[1]
        and o.frames[1] >= s.frames[0]
    ]
    return replace(s, who=who, beat=None, rides_on=under[0] if under and s.kind in LAYERS else None)
