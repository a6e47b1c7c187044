"""Entries of a filtered list: intents, cues, passes, actions with their keys. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.desk.actions import GROUPS, Action, key_name
from planner.desk.choice import phrase_at
from planner.desk.compare import PLAY
from planner.desk.edits.beats import beat_of
from planner.desk.state import Desk
from planner.intents import scene_intents
from planner.plan.plays import PLAYS, plays_of
from planner.scene import Scene


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry: what it gives back, its name, a key if it has one, and why one would take it.

    `heading` is what stands above the first of its kind.
    """

    id: str
    name: str
    reason: str
    key: str = ""
    heading: str = ""


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


def intent_entries(scene: Scene, favourites: Sequence[str] = ()) -> list[Entry]:
    """Every intent a scene may use, with its reason and its number key, by name."""
    ordered = sorted(scene_intents(scene).values(), key=lambda i: i.name)
    return [
        Entry(
            i.name, i.name, " ".join(i.reason.split()),
            str(favourites.index(i.name) + 1) if i.name in favourites else "",
        )
        for i in ordered
    ]  # fmt: skip


def play_entries(desk: Desk) -> list[Entry]:
    """Other ways to play the beat that is meant, and the intent's own where one is taken."""
    index = beat_of(desk)
    if index is None:
        return []
    beat = desk.scene.beats[index]
    intent = scene_intents(desk.scene)[beat.intent]
    names = [name for name in plays_of(intent) if name != beat.play]
    found = [Entry(PLAY + name, PLAY + name, PLAYS[name][0]) for name in names]
    if beat.play:
        found.append(Entry(PLAY, f"{PLAY}none", f"as {beat.intent} is played by itself"))
    return found


def cue_entries(scene: Scene, listeners: Sequence[str]) -> list[Entry]:
    """How each listener may take a word; the first entry of each takes a cue away."""
    found = []
    for who in listeners:
        found += [
            Entry(f"{who}/{i.name}", f"{who}: {i.name}", " ".join(i.reason.split()))
            for i in sorted(scene_intents(scene).values(), key=lambda i: i.name)
        ]
        found.append(Entry(f"{who}/", f"{who}: no cue", f"{who} does not react to this word"))
    return found


def pass_entries(desk: Desk) -> list[Entry]:
    """The passes of the phrase at hand: done, or open."""
    place = phrase_at(desk)
    if place is None:
        return []
    done = desk.scene.passes.done.get(place + 1, ())
    phrase = f"phrase {place + 1}"
    return [
        Entry(name, name, f"done on {phrase}" if name in done else f"open on {phrase}")
        for name in desk.scene.passes.names
    ]


def action_entries(actions: Iterable[Action], desk: Desk) -> list[Entry]:
    """Every action with its keys under the heading of its group; what works here comes first."""
    listed = [a for a in actions if not a.id.startswith("tag") or a.id in ("tag", "tag1")]
    here = [a for a in listed if a.applies(desk)]
    groups = [(group, [a for a in here if a.group == group]) for group in GROUPS]
    groups.append(("elsewhere", [a for a in listed if not a.applies(desk)]))
    return [
        Entry(a.id, a.label, _tip(a, desk), _keys(a), heading=group)
        for group, members in groups
        for a in members
    ]


def _tip(action: Action, desk: Desk) -> str:
    return action.tip if action.applies(desk) else f"{action.tip} (in {action.where()})"


def _keys(action: Action) -> str:
    if action.id == "tag1":
        return "1-9"
    return " ".join(key_name(k) for k in action.keys)
