"""Which panel has the keys, and what is chosen when it gets them: what lies nearest to the cursor.

Pure. What is chosen always belongs to the panel with the keys, so that no key acts on what another
panel shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.desk.choice import (
    HOLDS,
    all_in,
    choose,
    current_row,
    frames_of,
    nearest_word,
    script_items,
)
from planner.desk.choices import BeatAt, Choice, Phrases, SuggestionOf, Words
from planner.desk.cursor import attend
from planner.desk.state import Desk, Way


def switch_way(desk: Desk, way: Way, panels: Sequence[str]) -> Desk:
    """Another way in; what is chosen stays if a panel there holds it, else it is let go."""
    other = replace(desk, way=way, panel=panels[0], said="")
    choice = desk.choice
    if way == "mean" and not isinstance(choice, Words | Phrases | BeatAt):
        choice = None
    if way != "mean" and isinstance(choice, Phrases):
        phrase = desk.facts.phrases[choice.first]
        choice = Words(phrase.line, phrase.first, phrase.last)
    held = [p for p in panels if p in HOLDS.get(type(choice), ())]
    if choice is None or not held:
        return (
            focus(replace(other, choice=None), panels[0])
            if way == "mean"
            else replace(other, choice=None)
        )
    return choose(replace(other, panel=held[0]), choice)


def focus(desk: Desk, panel: str) -> Desk:
    """The keys to a panel; what is nearest to the cursor in it is chosen, the cursor stays."""
    desk = replace(attend(desk, panel), said="")
    if desk.choice is not None and panel in HOLDS[type(desk.choice)]:
        return desk
    return replace(desk, choice=nearest(desk))


def nearest(desk: Desk) -> Choice | None:
    """What the panel with the keys holds nearest to the cursor."""
    match desk.panel:
        case "script":
            found = script_items(desk)
            return found[_nearest_of(desk, found)] if found else None
        case "words":
            return nearest_word(desk)
        case "plan":
            row = current_row(desk)
            return SuggestionOf(row.nearest(desk.cursor).id) if row else None
    things = all_in(desk)
    return things[_nearest_of(desk, things)] if things else None


def _nearest_of(desk: Desk, things: Sequence[Choice]) -> int:
    def away(place: int) -> int:
        span = frames_of(desk, things[place]) or (desk.cursor, desk.cursor)
        return max(span[0] - desk.cursor, desk.cursor - span[1], 0)

    return min(range(len(things)), key=away)
