"""The characters and the lines of a scene file, from values into frozen data.

Also `NameReader`, by which every other section names a character or a line.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import cast, get_args

from planner.frames import Clock
from planner.scene import Heard, Line, Side
from planner.scene.text.value import Value

LINE_KEYS = ("id", "who", "sound", "clip", "at", "say", "sounds_like", "heard", "step", "language")
SIDES = get_args(Side)
STEP_MAX = 12  # drawings held longer are holds


def read_step(fields: Mapping[str, Value]) -> int:
    """`step`: 1 on ones, 2 on twos."""
    return fields["step"].whole(1, STEP_MAX) if "step" in fields else 1


NEAR_MISS = 0.75  # likeness of names (difflib) that are taken for one misspelt


class NameReader:
    """Reads what names a character or a line of this scene."""

    def __init__(self, characters: tuple[str, ...]) -> None:
        self.characters = characters
        self.lines: dict[str, int] = {}

    def who(self, fields: Mapping[str, Value], owner: Value) -> str:
        """`who`, which a scene with one character need not say."""
        if "who" in fields and not fields["who"].node.empty:
            return self.character(fields["who"])
        if len(self.characters) == 1:
            return self.characters[0]
        raise owner.wrong(f"{owner.name} has no who", f"add who: ({', '.join(self.characters)})")

    def character(self, value: Value) -> str:
        """The name of a character of the scene."""
        return value.one_of(self.characters, "character")

    def on_stage(self, value: Value) -> str:
        """A character, or a thing whose name is not nearly a character's."""
        small = [name.casefold() for name in self.characters]
        text = value.word()
        alike = difflib.get_close_matches(text.casefold()[:80], small, n=1, cutoff=NEAR_MISS)
        return self.character(value) if alike or not text else text

    def line(self, value: Value) -> int:
        """The number of a line, named by its number or its id."""
        return self.line_named(value, value.word())

    def line_named(self, value: Value, text: str) -> int:
        """As `line`, for a part of a value's text."""
        if text in self.lines:
            return self.lines[text]
        count = len(set(self.lines.values()))
        if text.lstrip("+-").isdecimal():
            lines = "1 line" if count == 1 else f"{count} lines"
            raise value.wrong(f"{value.name}: there is no line {text}", f"the scene has {lines}")
        raise value.wrong(
            f'{value.name}: there is no line "{text}"',
            f"use a number from 1 to {count} or an id ({', '.join(self.lines)})",
        )


def read_characters(value: Value) -> tuple[str, ...]:
    """`characters`: their names, each once."""
    names: list[str] = []
    for item in value.items("character"):
        name = item.word()
        if name in names:
            raise item.wrong(f'the character "{name}" is named twice', "name each once")
        names.append(name)
    if not names:
        raise value.wrong("characters is empty", "name who is in the scene, as [clerk, visitor]")
    return tuple(names)


def read_stage(value: Value, names: NameReader) -> Mapping[str, Side]:
    """`stage`: who stands on which side of the picture, and the things one may turn to."""
    stage: dict[str, Side] = {}
    for key, side in value.entries():
        who = names.on_stage(key)
        stage[who] = cast(Side, side.one_of(SIDES, "side"))
    return MappingProxyType(stage)


def read_language(fields: Mapping[str, Value], otherwise: str = "en") -> str:
    """`language`: en, es, de, fr, it, or another that espeak-ng names (pt, nl, en-gb)."""
    value = fields.get("language")
    if value is None or value.node.empty:
        return otherwise
    text = value.word()
    if not re.fullmatch(r"[a-z]{2,3}(-[a-z0-9]{1,8}){0,2}", text):
        what = f'{value.name}: "{text[:40]}" is no language code'
        raise value.wrong(what, "write two letters: en, es, de, fr, it")
    return text


def read_line(
    value: Value, number: int, clock: Clock, names: NameReader, language: str = "en"
) -> Line:
    """One of `lines`; `language` is the scene's."""
    fields = value.fields(LINE_KEYS, needed=("sound", "at"))
    at_s, at_text = _read_at(fields["at"], clock)
    say = fields["say"].text() if "say" in fields else ""
    clip = fields.get("clip")
    return Line(
        number=number,
        id=_line_id(fields["id"], number) if "id" in fields else str(number),
        who=names.who(fields, value),
        sound=fields["sound"].text(),
        at_s=at_s,
        at_text=at_text,
        clip_s=clip.span_s() if clip else None,
        say=say if say.strip() else None,
        sounds_like=_read_sounds_like(fields.get("sounds_like")),
        heard=_read_heard(fields.get("heard")),
        step=read_step(fields) if "step" in fields else None,
        language=read_language(fields, language),
    )


def _line_id(value: Value, number: int) -> str:
    text = value.word()
    if "/" in text or any(c.isspace() for c in text):
        raise value.wrong(
            f'{value.name}: "{text}" has a slash or a space',
            "write an id such as third or only-one",
        )
    if text.isdecimal() and text != str(number):
        raise value.wrong(
            f'{value.name}: "{text}" reads as the number of another line',
            "use a word as id, or leave it out",
        )
    return text


def _read_at(value: Value, clock: Clock) -> tuple[float, str]:
    """When a line begins: (seconds from the first frame's start, as written)."""
    moment_s = value.moment_s()
    if moment_s is not None:
        return moment_s, value.text().strip()
    frame = value.frame()
    if frame < clock.first_frame:
        raise value.wrong(
            f"{value.name} is frame {frame}, before the scene's first frame {clock.first_frame}",
            f"write {clock.first_frame} or later, or lower first_frame",
        )
    return clock.scene_s(frame), value.text().strip()


def _read_sounds_like(value: Value | None) -> Mapping[str, str]:
    if value is None:
        return MappingProxyType({})
    from audio.errors import TranscriptError
    from audio.words.pronounce import parse_phones

    phones: dict[str, str] = {}
    for key, spoken in value.entries():
        word = key.word()
        phones[word] = " ".join(spoken.word().split())
        try:
            parse_phones(phones[word], word=word)
        except TranscriptError as problem:
            raise spoken.wrong(problem.what, problem.mend) from None
    return MappingProxyType(phones)


def _read_heard(value: Value | None) -> Heard:
    if value is None or value.node.empty:
        return Heard()
    fields = value.fields(("stress", "unstress", "words"))
    words_s = {}
    for key, span in fields["words"].entries() if "words" in fields else ():
        words_s[key.whole(1)] = span.span_s()
    return Heard(
        stress=_word_numbers(fields.get("stress")),
        unstress=_word_numbers(fields.get("unstress")),
        words_s=MappingProxyType(words_s),
    )


def _word_numbers(value: Value | None) -> tuple[int, ...]:
    return tuple(item.whole(1) for item in value.items()) if value else ()
