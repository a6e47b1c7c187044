"""Cues: a listener reacts to a word; and the passes of polish of a phrase. Pure."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from planner.desk.choice import phrase_at
from planner.desk.choices import Words
from planner.desk.state import Desk, edit, say
from planner.scene import Cue


def listeners(desk: Desk) -> tuple[str, ...]:
    """Who can hear the chosen word: everybody but its speaker."""
    if not isinstance(desk.choice, Words):
        return ()
    who = desk.facts.line[desk.choice.line].who
    return tuple(c for c in desk.scene.characters if c != who)


def set_cue(desk: Desk, who: str, intent: str) -> Desk:
    """A cue on the chosen word; an empty intent takes the listener's cue there away."""
    choice = desk.choice
    if not isinstance(choice, Words):
        return say(desk, "choose a word first")
    word = desk.facts.line[choice.line].words[choice.last - 1].text
    others = tuple(
        c for c in desk.scene.cues if (c.who, c.line, c.word) != (who, choice.line, choice.last)
    )
    if not intent:
        return edit(desk, f'{who} no longer reacts to "{word}"', cues=others)
    cue = Cue(who, choice.line, choice.last, intent)
    return edit(desk, f'{who} hears "{word}": {intent}', cues=(*others, cue))


def toggle_pass(desk: Desk, name: str) -> Desk:
    """A pass done on the phrase at hand, or not done after all."""
    place = phrase_at(desk)
    if place is None:
        return say(desk, "there is no phrase here")
    number, passes = place + 1, desk.scene.passes
    before = passes.done.get(number, ())
    after = tuple(n for n in passes.names if (n in before) != (n == name))
    done = {**passes.done, number: after}
    kept = MappingProxyType({n: names for n, names in sorted(done.items()) if names})
    state = "done" if name in after else "open again"
    return edit(desk, f"{name} {state} on phrase {number}", passes=replace(passes, done=kept))
