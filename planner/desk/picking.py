"""Entries of a filtered list: intents with their reasons, actions with their keys. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.desk.actions import Action, key_name
from planner.intents import scene_intents
from planner.scene import Scene


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry: what it gives back, its name, a key if it has one, and why one would take it."""

    id: str
    name: str
    reason: str
    key: str = ""


def matching(entries: Sequence[Entry], text: str) -> list[Entry]:
    """The entries that hold every word typed; the best match first.

    Best is the name itself, then a name that begins with the first word typed, then a name that
    holds it; entries that match alike keep their order.
    """
    words = text.lower().split()
    found = [
        entry
        for entry in entries
        if all(w in f"{entry.name} {entry.reason} {entry.key}".lower() for w in words)
    ]
    if not words:
        return found

    def distance(entry: Entry) -> int:
        name = entry.name.lower()
        fits = (name == text.strip().lower(), name.startswith(words[0]), words[0] in name)
        return fits.index(True) if True in fits else len(fits)

    return sorted(found, key=distance)


def intent_entries(scene: Scene) -> list[Entry]:
    """Every intent a scene may use, with its reason, by name."""
    ordered = sorted(scene_intents(scene).values(), key=lambda i: i.name)
    return [Entry(i.name, i.name, " ".join(i.reason.split())) for i in ordered]


def action_entries(actions: Iterable[Action]) -> list[Entry]:
    """Every action with its keys and what it is for."""
    return [
        Entry(a.id, a.label, f"{a.tip} ({a.group})", " ".join(key_name(k) for k in a.keys))
        for a in actions
    ]
