"""The text of a scene file into a Scene, checked; no file is opened here.

Sounds must lie in the scene's folder unless `allow_outside` says otherwise; whether they exist is
not asked.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from audio.errors import SceneError
from planner.frames import Clock
from planner.scene import Line, Passes, Scene
from planner.scene.refound import refound
from planner.scene.text import read as sections
from planner.scene.text.checks import MissingWordError, check_scene
from planner.scene.text.nodes import Node, parse_yaml
from planner.scene.text.read_lines import (
    NameReader,
    read_characters,
    read_language,
    read_line,
    read_stage,
)
from planner.scene.text.value import Value

_NEEDED = {
    "linebeat": " 1", "rate": " 24", "characters": " [clerk, visitor]",
    "lines": " with who:, sound:, at: and say: of each",
}  # fmt: skip
_NOTHING: Mapping[str, Any] = MappingProxyType({})


def parse_scene(text: str, *, file: str = "scene.yaml", allow_outside: bool = False) -> Scene:
    """The scene a text describes; `file` is its path, for messages and for its folder."""
    root = parse_yaml(text, file=file)
    try:
        return scene_of(root, file=file, allow_outside=allow_outside)
    except MissingWordError as error:
        if not _cut_by_remark(text, root, error.line_number):
            raise
        mend = f"{error.mend}; # begins a remark in YAML, so put the say in quotes if it is said"
        raise SceneError(error.what, where=error.where, mend=mend) from None


def _cut_by_remark(text: str, root: Node, line_number: int) -> bool:
    """Whether a remark follows on the say of a line, which may have been meant as words."""
    lines = root.get("lines")
    say = lines.items[line_number - 1].get("say") if lines else None
    if say is None or not say.plain:
        return False
    return text[say.end :].partition("\n")[0].lstrip().startswith("#")


def scene_of(root: Node, *, file: str, allow_outside: bool = False) -> Scene:
    """The scene that a file's nodes describe, checked."""
    value = Value(file, root, "")
    if root.kind == "map" and not root.pairs:
        raise value.wrong("the scene file is empty", "make one with linebeat start")
    if root.kind != "map":
        raise value.wrong("a scene file is a set of key: value entries", "begin with linebeat: 1")
    top = value.fields(sections.SECTIONS, needed=_NEEDED, values_of=_NEEDED)
    if top["linebeat"].text().strip() != sections.VERSION:
        raise top["linebeat"].wrong(
            f"the file is of version {top['linebeat'].word()}; this linebeat reads version 1",
            "write linebeat: 1, or install a newer linebeat",
        )
    scene = refound(_scene(top, file, MappingProxyType(dict(_places(root)))))
    check_scene(scene)
    if not allow_outside:
        for line in scene.lines:
            check_inside(scene, line)
    return scene


def _scene(top: Mapping[str, Value], file: str, places: Mapping[str, int]) -> Scene:
    clock = sections.read_clock(top)
    names = NameReader(read_characters(top["characters"]))
    language = read_language(top)
    lines = _lines(top["lines"], clock, names, language)
    shot = top.get("shot")
    has = {key: value for key, value in top.items() if not value.node.empty}

    def each(key: str, label: str) -> list[Value]:
        return has[key].items(label) if key in has else []

    return Scene(
        title=top["title"].text() if "title" in top else "",
        clock=clock,
        characters=names.characters,
        lines=lines,
        shot=shot.range("frame") if shot else None,
        handles=top["handles"].whole(0, sections.HANDLES_MAX) if "handles" in top else 0,
        stage=read_stage(has["stage"], names) if "stage" in has else _NOTHING,
        beats=tuple(sections.read_beat(v, lines, names) for v in each("beats", "beat")),
        cues=tuple(sections.read_cue(v, names) for v in each("cues", "cue")),
        intents=sections.read_intents(has["intents"]) if "intents" in has else _NOTHING,
        planted=tuple(sections.read_planted(v, names) for v in each("planted", "planted")),
        decisions=tuple(sections.read_decision(v) for v in each("decisions", "decision")),
        poses=tuple(sections.read_pose(v, names) for v in each("poses", "pose")),
        tracks=sections.read_tracks(has["tracks"], names) if "tracks" in has else _NOTHING,
        tolerance=sections.read_tolerance(has["tolerance"]) if "tolerance" in has else _NOTHING,
        passes=sections.read_passes(has["passes"]) if "passes" in has else Passes(),
        notes=tuple(sections.read_note(v, names) for v in each("notes", "note")),
        meant=tuple(sections.read_meant(v, names) for v in each("meant", "meant")),
        language=language,
        folder=os.path.dirname(file) or ".",  # noqa: PTH120 - keeps "./a" as typed
        file=file,
        places=places,
    )


def _lines(value: Value, clock: Clock, names: NameReader, language: str) -> tuple[Line, ...]:
    items = value.items("line")
    if not items:
        raise value.wrong("lines is empty", "add a line with who:, sound:, at: and say:")
    lines = []
    for number, item in enumerate(items, start=1):
        line = read_line(item, number, clock, names, language)
        lines.append(line)
    for line in lines:
        names.lines[str(line.number)] = names.lines[line.id] = line.number
    return tuple(lines)


def _places(node: Node, key: str = "", depth: int = 0) -> Iterator[tuple[str, int]]:
    """Where each entry stands: "beats", "beats/0", "beats/0/words"; lines count from 1."""
    stem = f"{key}/" if key else ""
    if depth > 3:
        return
    for name, value in node.pairs:
        yield f"{stem}{name.text}", name.line_no
        yield from _places(value, f"{stem}{name.text}", depth + 1)
    for index, item in enumerate(node.items, start=1 if key == "lines" else 0):
        yield f"{stem}{index}", item.line_no
        yield from _places(item, f"{stem}{index}", depth + 1)


def check_inside(scene: Scene, line: Line) -> None:
    """Refuse a sound that lies outside the scene's folder, links followed.

    Raises SceneError at the line's place.
    """
    where = scene.where(f"lines/{line.number}/sound")
    name = line.sound
    if not name.strip() or any(ord(c) < 32 for c in name):
        raise SceneError(
            f"line {line.number}: the sound's name is empty or has control characters",
            where=where,
            mend="name a file in the scene's folder",
        )
    parts = name.replace("\\", "/").split("/")
    rooted = name.startswith(("/", "\\", "~")) or name[1:2] == ":"
    folder = os.path.realpath(scene.folder)
    inside = os.path.realpath(os.path.join(folder, name)).startswith(  # noqa: PTH118
        os.path.join(folder, "")  # noqa: PTH118
    )
    if rooted or ".." in parts or not inside:
        raise SceneError(
            f'line {line.number}: the sound "{name}" lies outside the scene\'s folder',
            where=where,
            mend="copy it beside the scene and write its name",
        )
