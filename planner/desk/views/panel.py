"""A panel of the desk as data: its rows, the room it wants, what a press of the mouse does on it.

A panel is one file of this folder that ends with such a `Panel`, and one line in `panels`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from planner.desk.state import Desk, Top, Way
from planner.desk.views.cells import Row, Rows, Run, joined, padded


@dataclass(frozen=True, slots=True)
class Room:
    """What a panel is drawn into: cells, the names at the left of them, rows of the whole screen.

    `told`: what stands outside the desk's own data and is shown all the same, by name: what the
    player does ("sound"), a warning about the file ("disk"), panels without room ("hidden").
    """

    width: int
    height: int
    gutter: int
    screen_rows: int
    told: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class Seen:
    """What a panel shows: rows, how far its list is scrolled, what stands where for the mouse."""

    rows: Rows
    top: Top | None = None
    spots: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the mouse is on a panel. `drag`: 0 pressed, 1 moved with the button down, 2 let go.

    `frame` is the frame of the column (kept inside the window); `in_gutter`: left of the frames.
    """

    column: int
    row: int
    drag: int
    frame: int
    in_gutter: bool = False


Draw = Callable[[Desk, Room], Seen]
Press = Callable[[Desk, Seen, Spot], Desk]
Wants = Callable[[Desk, Room], int]


def no_press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A panel that is only looked at."""
    return desk


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel. `keys`: keys can act on it. `least`: with fewer rows it is left away.

    `keep`: the lower, the longer it stays where rows are few. `fills`: takes the rows left over.
    """

    name: str
    ways: tuple[Way, ...]
    draw: Draw
    wants: Wants
    press: Press = no_press
    keys: bool = False
    least: int = 1
    keep: int = 5
    fills: bool = False


def scrolled(desk: Desk, panel: str, place: int, total: int, height: int, key: object) -> Top:
    """Where a list begins: where it was, moved by as little as shows `place` if `key` is new.

    What the wheel turned stays turned until something else is chosen (`key`).
    """
    top = desk.tops.get(panel, Top())
    row = min(top.row, max(0, total - height))
    if top.followed != key or top.followed is None:
        if place < row:
            row = max(0, place - (1 if height > 2 else 0))
        row = max(row, place - height + 1)
    return Top(max(0, row), key)


def label(text: str, gutter: int, *, on: bool = False, role: str = "gutter") -> Row:
    """A name at the left, with a mark where the keys are."""
    mark = "›" if on else " "
    return (Run(padded(text, gutter - 1, right=True) + mark, "gutter on" if on else role),)


def beside(labels: Rows, rows: Rows) -> Rows:
    """Names and rows side by side."""
    return tuple(joined(name, row) for name, row in zip(labels, rows, strict=True))
