"""Where one left off in a scene, kept in the user's own folder: cursor, way in, zoom, colours.

A scene never opened before begins in Mean. What cannot be read or written is let go: it is only a
convenience.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from planner.desk.actions import to_way
from planner.desk.cursor import go_to
from planner.desk.state import UNITS, ZOOMS, Desk, Way
from planner.desk.views.looks import NAMES
from planner.desk.views.ways import WAYS

MOST_BYTES = 4096
WRITERS: Way = "mean"  # the first time


def _path(scene_file: Path) -> Path:
    base = os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state"
    digest = hashlib.sha256(str(scene_file.absolute()).encode()).hexdigest()[:16]
    return Path(base) / "linebeat" / f"desk-{digest}.json"


def kept(scene_file: Path) -> Mapping[str, object]:
    """What was kept of a scene; empty if nothing was, or it cannot be read."""
    try:
        with _path(scene_file).open("rb") as file:
            found = json.loads(file.read(MOST_BYTES))
    except (OSError, RuntimeError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def resumed(desk: Desk, found: Mapping[str, object]) -> Desk:
    """The desk as it was left, as far as the scene still has all that; else in Mean."""
    unit, zoom, cursor, who = (found.get(k) for k in ("unit", "zoom", "cursor", "who"))
    if unit in UNITS:
        desk = replace(desk, unit=unit)
    if zoom in ZOOMS:
        desk = replace(desk, window=replace(desk.window, per_column=zoom))
    if who in desk.scene.characters:
        desk = replace(desk, who=who)
    if isinstance(cursor, int):
        desk = go_to(desk, cursor)
    way = next((w for w in WAYS if w == found.get("way")), WRITERS)
    return to_way(desk, way)


def keep(scene_file: Path, desk: Desk, look: str) -> None:
    """Keep where one is."""
    text = json.dumps(
        {"way": desk.way, "cursor": desk.cursor, "zoom": desk.window.per_column,
         "unit": desk.unit, "who": desk.who, "look": look}
    )  # fmt: skip
    try:
        path = _path(scene_file)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except (OSError, RuntimeError):
        return


def kept_look(found: Mapping[str, object]) -> str:
    """The look that was left, "" if none."""
    look = found.get("look")
    return look if isinstance(look, str) and look in NAMES else ""
