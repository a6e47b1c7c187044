"""The line of keys at the bottom: what the keys do here, the most useful first. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from planner.desk.actions import Action, key_name
from planner.desk.cells import Row, Rows, Run
from planner.desk.state import Desk


def key_rows(actions: Iterable[Action], desk: Desk, width: int) -> Rows:
    """One row: the key of each action that applies, and its name, as many as fit."""
    shown = sorted(
        (a for a in actions if a.rank is not None and a.applies(desk)), key=lambda a: a.rank or 0
    )
    runs: list[Run] = [Run(" ", "bar")]
    room = width - 1
    for action in shown:
        key, label = f"{key_name(action.keys[0])} ", f"{action.label}   "
        if len(key) + len(label) - 2 > room:
            break
        label = label[: room - len(key)]
        runs += [Run(key, "key"), Run(label, "key label")]
        room -= len(key) + len(label)
    row: Row = (*runs, Run(" " * max(0, room), "bar"))
    return (row,)
