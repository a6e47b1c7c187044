"""The sections of a scene file other than its lines, from values into frozen data.

Only shape and spelling are judged here; what one entry says about another (words within a line,
beats that overlap...) is judged by `planner.scene.text.checks`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import cast, get_args

from planner.frames import Clock, FrameRate
from planner.scene import (
    PARTS,
    Beat,
    Cue,
    Decision,
    DecisionDo,
    KeyPose,
    Line,
    Meant,
    Note,
    Passes,
    Planted,
    TrackOf,
)
from planner.scene.text.read_lines import NameReader, read_step
from planner.scene.text.value import Value, decimal

VERSION = "1"
SECTIONS = (
    "linebeat",
    "title",
    "rate",
    "first_frame",
    "step",
    "language",
    "shot",
    "handles",
    "characters",
    "stage",
    "lines",
    "beats",
    "cues",
    "intents",
    "planted",
    "decisions",
    "poses",
    "tracks",
    "tolerance",
    "passes",
    "notes",
    "meant",
)
BEAT_KEYS = (
    "line",
    "words",
    "frames",
    "who",
    "intent",
    "strength",
    "toward",
    "note",
    "said",
    "play",
)
CUE_KEYS = ("who", "hears", "intent", "strength", "said")
DECISION_KEYS = ("of", "do", "word", "by", "frames", "step")
# What a decision may carry along besides, kept as it stands.
DECISION_EXTRA = ("note", "size", "direction", "path", "intent", "in_frames")
NOTE_KEYS = ("frames", "who", "by", "text", "done", "line", "words")
MEANT_KEYS = ("kind", "who", "part", "frames", "why", "line", "words")
DOINGS = get_args(DecisionDo)
HANDLES_MAX = 10_000


def read_clock(top: Mapping[str, Value]) -> Clock:
    """Rate, first frame and exposure step."""
    given = top["rate"]
    try:
        rate = FrameRate.parse(given.text())
    except ValueError as problem:
        raise given.wrong(str(problem), "write one of these, such as rate: 24") from None
    first = top["first_frame"].frame() if "first_frame" in top else 1
    return Clock(rate, first, read_step(top))


def read_beat(value: Value, lines: tuple[Line, ...], names: NameReader) -> Beat:
    """One of `beats`; it names a line, or frames and who."""
    fields = value.fields(BEAT_KEYS, needed=("intent",))
    line = names.line(fields["line"]) if "line" in fields else None
    if line is None and "frames" not in fields:
        raise value.wrong(
            f"{value.name} names neither a line nor frames",
            "add line: (and words:), or frames: and who:",
        )
    if "words" in fields and (line is None or "frames" in fields):
        what = "both words and frames" if line else "words but no line"
        raise value.wrong(f"{value.name} names {what}", "give line: and words:, or frames: alone")
    has_who = "who" in fields and not fields["who"].node.empty
    return Beat(
        intent=fields["intent"].word(),
        who=lines[line - 1].who if line and not has_who else names.who(fields, value),
        line=line,
        words=fields["words"].range("word") if "words" in fields else None,
        frames=fields["frames"].range("frame") if "frames" in fields else None,
        strength=_strength(fields),
        toward=_optional_word(fields, "toward"),
        note=fields["note"].text() if "note" in fields else "",
        said=_said(fields),
        play=fields["play"].text() if "play" in fields else "",
    )


def _said(fields: Mapping[str, Value]) -> tuple[str, ...]:
    """The words that guard a tag: a list, or one alone."""
    value = fields.get("said")
    if value is None or value.node.empty:
        return ()
    if value.node.kind == "list":
        return tuple(word.word() for word in value.items("word"))
    return (value.word(),)


def _strength(fields: Mapping[str, Value]) -> float:
    return fields["strength"].number(0, 1, "0.7") if "strength" in fields else 1.0


def _optional_word(fields: Mapping[str, Value], key: str) -> str | None:
    value = fields.get(key)
    return None if value is None or value.node.empty else value.word()


def read_cue(value: Value, names: NameReader) -> Cue:
    """One of `cues`: what a listener reacts to."""
    fields = value.fields(CUE_KEYS, needed=("hears", "intent"))
    hears = fields["hears"]
    line, slash, word = hears.word().rpartition("/")
    if not slash or not word.isascii() or not word.isdecimal() or len(word) > 6 or int(word) < 1:
        raise hears.wrong(
            f'{hears.name}: "{hears.word()}" is not line/word',
            "write it as 1/4: line 1, its word 4",
        )
    return Cue(
        who=names.who(fields, value),
        line=names.line_named(hears, line.strip()),
        word=int(word),
        intent=fields["intent"].word(),
        strength=_strength(fields),
        said=_said(fields),
    )


def read_intents(value: Value) -> Mapping[str, Mapping[str, object]]:
    """`intents`: this scene's own or changes to the table, names to values as they stand."""
    table: dict[str, Mapping[str, object]] = {}
    for key, entry in value.entries():
        if entry.node.kind != "map":
            raise entry.wrong(
                f"{entry.name} is no set of key: value entries",
                "write it as {based_on: proud, lead: chest}",
            )
        table[key.word()] = cast(Mapping[str, object], loose(entry))
    return MappingProxyType(table)


def loose(value: Value) -> object:
    """A value without a fixed type: number, true or false, text, tuple or map, as it is written."""
    node = value.node
    if node.kind == "list":
        return tuple(loose(item) for item in value.items())
    if node.kind == "map":
        return MappingProxyType({key.word(): loose(entry) for key, entry in value.entries()})
    text = value.text()
    if not node.plain or not text:
        return text
    if text in ("true", "false"):
        return text == "true"
    number = decimal(text)
    if number is None:
        return text
    return int(text) if text.lstrip("+-").isdecimal() else number


def read_planted(value: Value, names: NameReader) -> Planted:
    """One of `planted`: a part in contact."""
    fields = value.fields(("who", "part", "frames"), needed=("part", "frames"))
    return Planted(
        who=names.who(fields, value),
        part=fields["part"].one_of(PARTS, "part"),
        frames=fields["frames"].range("frame"),
    )


def read_decision(value: Value) -> Decision:
    """One of `decisions`: what the user decided about a suggestion."""
    fields = value.fields((*DECISION_KEYS, *DECISION_EXTRA), needed=("of", "do"))
    do = cast(DecisionDo, fields["do"].one_of(DOINGS, "decision"))
    if do == "move" and "by" not in fields:
        raise value.wrong(f"{value.name} moves, but not by how much", "add by: -1 (frames)")
    if do == "length" and "frames" not in fields:
        raise value.wrong(f"{value.name} sets a length, but not which", "add frames: 6")
    return Decision(
        of=fields["of"].word(),
        do=do,
        word=_optional_word(fields, "word"),
        by=fields["by"].frame() if "by" in fields else None,
        frames=fields["frames"].whole(1) if "frames" in fields else None,
        step=read_step(fields) if "step" in fields else None,
        extra=MappingProxyType({k: loose(fields[k]) for k in DECISION_EXTRA if k in fields}),
    )


def read_pose(value: Value, names: NameReader) -> KeyPose:
    """One of `poses`: a key pose as made."""
    fields = value.fields(("frame", "who", "part", "name"), needed=("frame", "part"))
    return KeyPose(
        frame=fields["frame"].frame(),
        who=names.who(fields, value),
        part=fields["part"].one_of(PARTS, "part"),
        name=fields["name"].text() if "name" in fields else "",
    )


def read_tracks(value: Value, names: NameReader) -> Mapping[str, TrackOf]:
    """`tracks`: whose part a motion track is."""
    tracks = {}
    for key, entry in value.entries():
        fields = entry.fields(("who", "part"), needed=("part",))
        part = fields["part"].one_of(PARTS, "part")
        tracks[key.word()] = TrackOf(names.who(fields, entry), part)
    return MappingProxyType(tracks)


def read_tolerance(value: Value) -> Mapping[str, tuple[int, int]]:
    """`tolerance`: frames early (negative) and late, at 24, by part."""
    tolerance = {}
    for key, entry in value.entries():
        part = key.one_of(("body", *PARTS), "part")
        limits = [item.whole(-240, 240) for item in entry.items()]
        if len(limits) != 2 or limits[0] > limits[1]:
            raise entry.wrong(
                f"{entry.name} is not two frames, the earlier first", "write it as [-4, 1]"
            )
        tolerance[part] = (limits[0], limits[1])
    return MappingProxyType(tolerance)


def read_passes(value: Value) -> Passes:
    """`passes`: names of the passes and which are done, by phrase."""
    if value.node.empty:
        return Passes()
    fields = value.fields(("names", "done"))
    names = Passes().names
    if "names" in fields:
        names = tuple(item.word() for item in fields["names"].items("pass"))
        doubles = [name for name in names if names.count(name) > 1]
        if doubles or not names:
            what = f'the pass "{doubles[0]}" is named twice' if doubles else "no pass is named"
            raise fields["names"].wrong(what, "name each pass once, or leave names out")
    done = {}
    for phrase, passed in fields["done"].entries() if "done" in fields else ():
        done[phrase.whole(1)] = tuple(item.one_of(names, "pass") for item in passed.items())
    return Passes(names, MappingProxyType(done))


def read_note(value: Value, names: NameReader) -> Note:
    """One of `notes`: a remark at some frames."""
    fields = value.fields(NOTE_KEYS, needed=("frames", "text"))
    if "words" in fields and "line" not in fields:
        raise value.wrong(f"{value.name} names words but no line", "add line:")
    who = fields.get("who")
    return Note(
        frames=fields["frames"].range("frame"),
        text=fields["text"].text(),
        who=names.character(who) if who and not who.node.empty else None,
        by=fields["by"].text() if "by" in fields else "",
        done=fields["done"].yes() if "done" in fields else False,
        line=names.line(fields["line"]) if "line" in fields else None,
        words=fields["words"].range("word") if "words" in fields else None,
    )


def read_meant(value: Value, names: NameReader) -> Meant:
    """One of `meant`: a finding or verdict that was accepted."""
    fields = value.fields(MEANT_KEYS, needed=("kind", "part", "frames", "why"))
    if "words" in fields and "line" not in fields:
        raise value.wrong(f"{value.name} names words but no line", "add line:")
    why = fields["why"].text().strip()
    if not why:
        raise value.wrong(f"{value.name} does not say why", "add why: a few words")
    return Meant(
        kind=fields["kind"].word(),
        who=names.who(fields, value),
        part=fields["part"].one_of(PARTS, "part"),
        frames=fields["frames"].range("frame"),
        why=why,
        line=names.line(fields["line"]) if "line" in fields else None,
        words=fields["words"].range("word") if "words" in fields else None,
    )
