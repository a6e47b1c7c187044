"""The line of keys at the bottom: what the keys do here, the most useful first. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from planner.desk.actions import Action, key_name
from planner.desk.state import Desk
from planner.desk.views.cells import Row, Rows, Run


def key_rows(actions: Iterable[Action], desk: Desk, width: int) -> Rows:
    """One row: the key of each action that applies, and its name, as many as fit."""
    runs: list[Run] = [Run(" ", "bar")]
    room = width - 1
    for action in _shown(actions, desk):
        key, label = f"{key_name(action.keys[0])} ", f"{action.label}   "
        if len(key) + len(label) - 2 > room:
            break
        label = label[: room - len(key)]
        runs += [Run(key, "key"), Run(label, "key label")]
        room -= len(key) + len(label)
    row: Row = (*runs, Run(" " * max(0, room), "bar"))
    return (row,)


def _shown(actions: Iterable[Action], desk: Desk) -> list[Action]:
    listed = (a for a in actions if a.rank is not None and a.applies(desk))
    return sorted(listed, key=lambda a: a.rank or 0)


def action_at(row: Row, actions: Iterable[Action], desk: Desk, column: int) -> str:
    """The id of the action whose key or name stands at a column of the line; "" between them."""
    begin = 1
    for action, key, label in zip(_shown(actions, desk), row[1::2], row[2::2], strict=False):
        end = begin + len(key.text) + len(label.text.rstrip())
        if begin <= column < end:
            return action.id
        begin += len(key.text) + len(label.text)
    return ""
