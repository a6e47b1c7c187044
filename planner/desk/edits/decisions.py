"""Decisions on suggestions: keep, move, lengthen, drop, lock. Pure functions from Desk to Desk.

A decision names the suggestion and the word it hangs on and is relative, so that it moves with its
line. A suggestion has at most one decision of each kind; a second press takes keep, drop and lock
back.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from planner.desk.choices import SuggestionOf
from planner.desk.state import Desk, edit, say
from planner.plan.decisions import decide as decision_on
from planner.plan.suggestion import Suggestion
from planner.scene import Decision, DecisionDo

Plain = Literal["keep", "drop", "lock"]
DONE: dict[Plain, str] = {"keep": "kept", "drop": "dropped", "lock": "locked"}


def chosen_suggestion(desk: Desk) -> Suggestion | None:
    """The suggestion the keys act on."""
    if isinstance(desk.choice, SuggestionOf):
        return desk.index.by_id.get(desk.choice.id)
    return None


def decisions_on(desk: Desk, suggestion_id: str) -> dict[DecisionDo, Decision]:
    """What was decided about a suggestion, by kind."""
    return {d.do: d for d in desk.scene.decisions if d.of == suggestion_id}


def decide(desk: Desk, do: Plain) -> Desk:
    """Keep, drop or lock the chosen suggestion, or take that back."""
    suggestion = chosen_suggestion(desk)
    if suggestion is None:
        return say(desk, "choose a suggestion first")
    made = decisions_on(desk, suggestion.id)
    if do in made:
        return _without(desk, suggestion, do, f"no longer {DONE[do]}: {suggestion.kind}")
    left = desk.scene.decisions
    if do != "drop":
        left = tuple(d for d in left if (d.of, d.do) != (suggestion.id, "drop"))
    decision = decision_on(desk.plan, suggestion.id, do)
    return edit(desk, f"{DONE[do]}: {suggestion.kind}", decisions=(*left, decision))


def move(desk: Desk, by: int) -> Desk:
    """The chosen suggestion by so many frames, on top of what it was moved before."""
    return _shift(desk, "move", by)


def lengthen(desk: Desk, by: int) -> Desk:
    """The chosen suggestion longer (or shorter) by so many frames."""
    return _shift(desk, "length", by)


def _shift(desk: Desk, do: Literal["move", "length"], by: int) -> Desk:
    suggestion = chosen_suggestion(desk)
    if suggestion is None:
        return say(desk, "choose a suggestion first")
    if _is_locked(desk, suggestion):
        return say(desk, "it is locked; unlock it first")
    if suggestion.id in desk.index.dropped_ids:
        return say(desk, "it is dropped; take it back first")
    made = decisions_on(desk, suggestion.id)
    by *= desk.plan.step
    if do == "move":
        total = (made["move"].by or 0) + by if "move" in made else by
        if total == 0:
            return _without(desk, suggestion, "move", f"{suggestion.kind} back in its place")
        decision = decision_on(desk.plan, suggestion.id, "move", by=total)
        did = f"{suggestion.kind} moved by {total:+d}"
    else:
        shown = suggestion.frames[1] - suggestion.frames[0] + 1
        length = ((made["length"].frames if "length" in made else None) or shown) + by
        if length < 1:
            return say(desk, "a frame is the shortest")
        decision = decision_on(desk.plan, suggestion.id, "length", frames=length)
        did = f"{suggestion.kind} {length} frames long"
    return _with(desk, decision, did)


def _is_locked(desk: Desk, suggestion: Suggestion) -> bool:
    return "lock" in decisions_on(desk, suggestion.id)


def _with(desk: Desk, decision: Decision, did: str) -> Desk:
    """Put a decision in, in the place of an earlier one of its kind."""
    decisions = list(desk.scene.decisions)
    same = [i for i, d in enumerate(decisions) if (d.of, d.do) == (decision.of, decision.do)]
    if same:
        old = decisions[same[0]]
        decisions[same[0]] = replace(decision, extra=old.extra, step=old.step, word=old.word)
    else:
        decisions.append(decision)
    return edit(desk, did, decisions=tuple(decisions))


def _without(desk: Desk, suggestion: Suggestion, do: DecisionDo, did: str) -> Desk:
    left = tuple(d for d in desk.scene.decisions if (d.of, d.do) != (suggestion.id, do))
    return edit(desk, did, decisions=left)
