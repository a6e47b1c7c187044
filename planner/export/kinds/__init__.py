"""The exports: one file a kind. A file put here is found by itself.

An export is a function `(facts, shown) -> str | bytes`, registered by its decorator; a kind with
several endings has a function for each:

    @export("markers", ".csv", "beats, stresses, plan, poses, notes by frame", order=80)
    def as_csv(facts: ShotFacts, shown: Shown) -> str: ...

It takes the facts and how they are to be shown, and gives text or bytes; the one place that writes
files is `planner.commands.sheet`. `order` is its place in lists, and which of two that an ending
alone means comes first. What is heavy is imported in the function: all files here are read to tell
what there is. Files whose name starts with _ hold no export.
"""

from __future__ import annotations

import importlib
import json
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import PurePath
from typing import TypeVar

from audio.errors import UsageError
from audio.shown import shown, shown_json
from planner.export.facts import ShotFacts
from planner.told.wording import nearest


@dataclass(frozen=True, slots=True)
class Shown:
    """How an export is shown: what stands beside frames, the paper, rows a sheet, sound or not."""

    show: str = "feet"
    paper: str = "A4"
    rows: int | None = None
    sound: bool = True


Writer = Callable[[ShotFacts, Shown], str | bytes]
W = TypeVar("W", bound=Writer)


@dataclass(frozen=True, slots=True)
class Export:
    """A kind of export in one of its endings.

    `usual`: what the ending alone means; `slow`: made only when it is asked for by name; `each`: a
    file for each character.
    """

    kind: str
    ending: str
    about: str
    order: int
    write: Writer
    usual: bool = False
    slow: bool = False
    each: bool = False

    def made(self, facts: ShotFacts, how: Shown) -> str | bytes:
        """What goes into the file; in a text nothing that steers a terminal."""
        data = self.write(facts, how)
        if isinstance(data, bytes):
            return data
        return shown_json(data) if self.ending in (".json", ".otio") else shown(data)

    def file_name(self, stem: str) -> str:
        """The name it has in a folder: `lost_umbrella_exposure.csv`."""
        return f"{stem}_{self.kind}{self.ending}"


_REGISTERED: dict[tuple[str, str], Export] = {}
SCHEMAS = ("reading", "plan", "check", "paths")


def export(
    kind: str, ending: str, about: str, *, order: int, usual: bool = False, slow: bool = False,
    each: bool = False,
) -> Callable[[W], W]:  # fmt: skip
    """Registers an export under its kind and ending; see `Export`."""

    def register(write: W) -> W:
        _REGISTERED[kind, ending] = Export(kind, ending, about, order, write, usual, slow, each)
        return write

    return register


@lru_cache(maxsize=1)
def exports() -> tuple[Export, ...]:
    """All exports, in their order. Finds every file of this folder once."""
    for module in pkgutil.iter_modules(__path__):
        if not module.name.startswith("_"):
            importlib.import_module(f"{__name__}.{module.name}")
    return tuple(sorted(_REGISTERED.values(), key=lambda e: (e.order, e.kind, e.ending)))


def export_of(name: str, kind: str | None) -> Export:
    """The export a file name and a kind mean. Raises UsageError if there is none."""
    every, ending = exports(), PurePath(name).suffix.lower()
    if kind is not None and kind not in {e.kind for e in every}:
        kinds = [*dict.fromkeys(e.kind for e in every), "schemas"]
        raise UsageError(f'no kind "{kind}"', mend=nearest(kind, kinds))
    found = [e for e in every if e.ending == ending and kind in (None, e.kind)]
    if kind is None:
        found = [e for e in found if e.usual]
    if found:
        return found[0]
    if kind is not None:
        endings = [e.ending for e in every if e.kind == kind]
        raise UsageError(f'"{name}" is no name for {kind}',
                         mend=f"it ends in {' or '.join(endings)}")  # fmt: skip
    endings = list(dict.fromkeys(e.ending for e in every))
    raise UsageError(f'"{name}" has no ending that is known', mend=f"use {', '.join(endings)}")


def json_text(data: object) -> str:
    """JSON as our files have it."""
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def schema_text(name: str) -> str:
    """A published JSON Schema by its name: reading, plan, check or paths."""
    source = files("planner.export") / "schemas" / f"{name}.json"
    return source.read_text(encoding="utf-8")
