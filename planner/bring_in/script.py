r"""A script with tags into a scene: the way back of `planner.export.script`, whose form it reads.

Markdown or plain text: a title (`# Title`, or a row of `=` under it), then paragraphs
`NAME: {intent 0.7 toward NAME: note} words`. NAME may be bold. Times, sounds and ids in brackets
after the name may be left out, and a paragraph that is no line is a remark, and ignored, as long as
it holds no tag. Takes text and gives values; no file is opened here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from audio.errors import SceneError
from audio.words.transcript import read_transcript

# A character after a backslash is moved to a private plane while the structure is read, so that
# no rule below takes it for markup.
_PLANE = 0xF0000
_TITLE = re.compile(r"\A#[ \t]+(?P<hash>[^\n]+)|\A(?P<under>[^\n]+)\n={3,}[ \t]*\Z")
_LINE = re.compile(
    r"\A(?:\*\*(?P<bold>[^*\n]+?):?\*\*\s*(?:\((?P<facts>[^)]*)\))?\s*:?"
    r"|(?P<name>[^:(*\n]{1,80}?)\s*(?:\((?P<told>[^)]*)\))?\s*:)\s*(?P<words>.*)\Z",
    re.DOTALL,
)
_TAG = re.compile(r"\{([^{}]*)\}")
_REACTS = re.compile(r"(?P<who>.+?) reacts (?P<intent>.+?)(?: (?P<strength>[0-9.]+))?")
_PLAYS = re.compile(
    r"(?:(?P<who>.+?) plays )?(?P<intent>.+?)(?: (?P<strength>[0-9][0-9.]*))?"
    r"(?: toward (?P<toward>.+?))?(?: on (?P<first>-?[0-9]{1,7})-(?P<last>-?[0-9]{1,7}))?"
)
_HEAD = {
    "rate": re.compile(r"\bRate ([0-9./]+(?:df)?)\.(?=\s|\Z)", re.IGNORECASE),
    "first_frame": re.compile(r"\bFirst frame (-?[0-9]{1,7})\.", re.IGNORECASE),
    "step": re.compile(r"\bOn (ones|twos|threes|fours|every ([0-9]{1,2}) frames)\.", re.IGNORECASE),
}
_STEP_WORDS = {"ones": 1, "twos": 2, "threes": 3, "fours": 4}


@dataclass(frozen=True, slots=True)
class ScriptBeat:
    """A beat as tagged: words of its line from 1, or frames."""

    who: str
    intent: str
    strength: float
    toward: str | None
    note: str
    words: tuple[int, int] | None
    frames: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class ScriptCue:
    """What a listener answers the word of that number (from 1) with."""

    who: str
    word: int
    intent: str
    strength: float


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """A paragraph: who says what, its tags, and what the brackets told ("" where nothing).

    Without words it is a line if the brackets say so.
    """

    where: str
    who: str
    say: str
    beats: tuple[ScriptBeat, ...]
    cues: tuple[ScriptCue, ...]
    id: str = ""
    sound: str = ""
    at: str = ""
    clip: str = ""


@dataclass(frozen=True, slots=True)
class Script:
    """A script as read. `rate`, `first_frame` and `step` are None where it does not say.

    `between` are beats of nobody's line, each with the number of lines before it.
    """

    file: str
    title: str
    lines: tuple[ScriptLine, ...]
    between: tuple[tuple[int, ScriptBeat], ...]
    rate: str | None = None
    first_frame: int | None = None
    step: int | None = None


def read_script(text: str, *, file: str = "script.md") -> Script:
    """The script a text holds.

    Raises SceneError with the line for a tag that cannot be understood, or if nobody speaks.
    """
    title = ""
    told: dict[str, re.Match[str]] = {}
    lines: list[ScriptLine] = []
    between: list[tuple[int, ScriptBeat]] = []
    for number, paragraph in _paragraphs(_lifted(text.removeprefix("\ufeff"))):
        where = f"{file}:{number}"
        heading = _TITLE.match(paragraph)
        if heading and not title and not lines:
            title = _plain(heading["hash"] or heading["under"])
            paragraph = paragraph[heading.end() :].strip()  # noqa: PLW2901 - text under the title
        found = {k: m for k, p in _HEAD.items() if (m := p.search(paragraph))}
        if not paragraph or (found and not lines and "{" not in paragraph):
            told |= found
            continue
        line = _line(paragraph, where)
        if line is None:
            continue
        if line.say or line.sound or line.id or line.at:
            lines.append(line)
        else:
            between += [(len(lines), b) for b in line.beats if b.frames]
    if not lines:
        raise SceneError("nobody speaks in this script", where=file,
                         mend="write paragraphs as NAME: words")  # fmt: skip
    step = told.get("step")
    return Script(
        file, title, tuple(lines), tuple(between),
        rate=told["rate"][1] if "rate" in told else None,
        first_frame=int(told["first_frame"][1]) if "first_frame" in told else None,
        step=(int(step[2]) if step[2] else _STEP_WORDS[step[1].lower()]) if step else None,
    )  # fmt: skip


def _lifted(text: str) -> str:
    """Characters after a backslash, out of the way of the structure."""
    return re.sub(r"\\([!-/:-@\[-`{-~])", lambda m: chr(_PLANE + ord(m[1])), text)


def _plain(text: str) -> str:
    """The text with those characters back, on one line."""
    back = "".join(chr(ord(c) - _PLANE) if _PLANE <= ord(c) < _PLANE + 128 else c for c in text)
    return " ".join(back.split())


def _paragraphs(text: str) -> Iterator[tuple[int, str]]:
    """Paragraphs, each with the line it begins on, from 1."""
    rows: list[str] = []
    begins = 1
    for number, row in enumerate([*text.splitlines(), ""], start=1):
        if row.strip():
            begins = number if not rows else begins
            rows.append(row)
        elif rows:
            yield begins, "\n".join(rows).strip()
            rows = []


def _line(paragraph: str, where: str) -> ScriptLine | None:
    """The line a paragraph is; None for a remark. Raises SceneError for a tag nobody plays."""
    match = _LINE.match(paragraph)
    if match is None:
        if "{" in paragraph:
            raise SceneError("a tag, but nobody is named who plays it", where=where,
                             mend="begin the paragraph with NAME: words")  # fmt: skip
        return None
    who = _plain(match["bold"] or match["name"])
    facts = dict(_facts(match["facts"] or match["told"] or "", where))
    say, beats, cues = _tagged(who, match["words"], where)
    return ScriptLine(where, who, say, tuple(beats), tuple(cues), **facts)


def _facts(text: str, where: str) -> Iterator[tuple[str, str]]:
    for entry in text.split(";"):
        key, _, value = entry.strip().partition(" ")
        if key in ("id", "sound", "at", "clip") and value.strip():
            yield key, _plain(value)
        elif entry.strip():
            raise SceneError(
                f'"{_plain(entry)[:60]}" in brackets is not understood', where=where,
                mend="write (id third; sound third.wav; at 1001), or leave it out",
            )  # fmt: skip


def _tagged(who: str, text: str, where: str) -> tuple[str, list[ScriptBeat], list[ScriptCue]]:
    """A paragraph's words without their tags, and what the tags say."""
    said, position = "", 0
    cues: list[ScriptCue] = []
    opened: list[tuple[int, ScriptBeat | None]] = []  # words before it, the beat that begins
    for match in _TAG.finditer(text):
        said += text[position : match.start()] + " "
        position = match.end()
        count = len(read_transcript(_plain(said)).words)
        tag = " ".join(match[1].split())
        reaction = _REACTS.fullmatch(tag)
        if reaction:
            if not count:
                raise SceneError(f"{{{_plain(tag)}}} stands before any word", where=where,
                                 mend="put it after the word that is heard")  # fmt: skip
            cues.append(ScriptCue(_plain(reaction["who"]), count, _plain(reaction["intent"]),
                                  _strength(reaction["strength"], where)))  # fmt: skip
        else:
            opened.append((count, _beat(who, tag, where) if tag else None))
    said += text[position:]
    if "{" in said or "}" in said:
        raise SceneError("a brace without its other half", where=where,
                         mend=r"close the tag, or write \{ for a brace that is said")  # fmt: skip
    say = _plain(said)
    return say, _spread(opened, len(read_transcript(say).words), where), cues


def _beat(speaker: str, tag: str, where: str) -> ScriptBeat:
    """What a tag says; its words are not known yet."""
    names, _, note = tag.partition(":")
    match = _PLAYS.fullmatch(names.strip())
    if match is None:
        raise SceneError(f'the tag "{_plain(tag)[:60]}" is not understood', where=where,
                         mend="write {intent 0.7 toward NAME: note}")  # fmt: skip
    frames = (int(match["first"]), int(match["last"])) if match["first"] else None
    return ScriptBeat(
        _plain(match["who"]) if match["who"] else speaker, _plain(match["intent"]),
        _strength(match["strength"], where), _plain(match["toward"]) if match["toward"] else None,
        _plain(note), None, frames,
    )  # fmt: skip


def _strength(text: str | None, where: str) -> float:
    if text is None:
        return 1.0
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1:
        raise SceneError(f"a strength lies between 0 and 1, not {text}", where=where,
                         mend="write it as 0.7")  # fmt: skip
    return value


def _spread(
    opened: list[tuple[int, ScriptBeat | None]], count: int, where: str
) -> list[ScriptBeat]:
    """The beats with their words: each lasts until the next tag."""
    beats = []
    for index, (before, beat) in enumerate(opened):
        if beat is None:
            continue
        if beat.frames:
            beats.append(beat)
            continue
        later = [n for n, b in opened[index + 1 :] if b is None or not b.frames]
        last = later[0] if later else count
        if last <= before:
            raise SceneError(f'no words follow the tag "{beat.intent}"', where=where,
                             mend="put words after it, or frames in it: on 1001-1024")  # fmt: skip
        beats.append(ScriptBeat(beat.who, beat.intent, beat.strength, beat.toward, beat.note,
                                (before + 1, last), None))  # fmt: skip
    return beats
