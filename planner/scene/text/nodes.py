"""YAML text into plain nodes that know where they stand; what they mean is typed elsewhere.

Built from PyYAML's parsing events, so nothing is ever constructed from a tag and every scalar
stays text: `No` is the word, `1:30` is no number. Positions are character offsets into the text
given (a byte order mark counted), lines count from 1. The end of a block collection is the end of
its last entry, so comments and blank lines after it are not part of it.

Refused with a line each: tags, anchors and aliases, keys given twice, keys that are no plain text,
more than one document, nesting deeper than DEPTH_MAX, control characters.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, cast

import yaml

from audio.errors import SceneError

DEPTH_MAX = 16  # the contract's deepest entry nests five levels
_NOT_YAML = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_BREAK = re.compile("\r\n|[\r\n\x85\u2028\u2029]")  # line breaks of YAML 1.1
_ENTRY = re.compile(r"\s*(?:- )?[\w ]+:(?:\s[^:]*)?")  # `key: value`, no second colon
_MENDS = (
    ("escape", "write a backslash in double quotes twice"),
    ("mapping values", 'put a text that contains ": " in quotes'),
    ("quoted scalar", "close the quotes"),
    ("',' or", "close the bracket, or put a comma between the entries"),
    ("character that cannot start", "put a text that begins with this character in quotes"),
    ("expected key", "check the indentation of this line and of the one before"),
    ("expected <block end>", "check the indentation of this line and of the one before"),
    ("expected '-' indicator", "begin every entry of the list with a dash, at the same indent"),
    ("expected ':'", "write each entry as key: value"),
)
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Node:
    """A scalar, a list or a map of a YAML text. `text` is a scalar's; `items`, `pairs` the others'.

    start, end : character offsets, half-open. column : of the first character, from 0.
    flow : written with brackets. plain : a scalar without quotes, on one line or folded.
    """

    kind: Literal["scalar", "list", "map"]
    start: int
    end: int
    line_no: int
    column: int
    text: str = ""
    plain: bool = False
    flow: bool = False
    items: tuple[Node, ...] = ()
    pairs: tuple[tuple[Node, Node], ...] = ()

    @property
    def empty(self) -> bool:
        """Nothing written, as in `beats:` with nothing after it."""
        return self.kind == "scalar" and self.plain and not self.text

    def get(self, key: str) -> Node | None:
        """The value of a key of a map."""
        return next((value for name, value in self.pairs if name.text == key), None)


def parse_yaml(text: str, *, file: str) -> Node:
    """The root node of a YAML text; an empty map if nothing is written.

    Raises SceneError with file:line for everything that cannot be read.
    """
    bad = _NOT_YAML.search(text, 1 if text.startswith("\ufeff") else 0)
    if bad:
        line_no = 1 + len(_BREAK.findall(text, 0, bad.start()))
        raise SceneError(
            f"control character U+{ord(bad.group()):04X} in the file",
            where=f"{file}:{line_no}",
            mend="delete it",
        )
    builder = _Builder(text, file)
    try:
        return builder.document()
    except yaml.MarkedYAMLError as error:
        raise _unreadable(error, file, text) from None
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        raise SceneError(
            f"not readable as YAML: {' '.join(str(error).split())}", where=file
        ) from None


def _start(event: yaml.Event) -> yaml.Mark:
    """Where an event begins; a parser's events always know, only their types do not."""
    return cast(yaml.Mark, event.start_mark)


def _end(event: yaml.Event) -> yaml.Mark:
    """Where an event ends."""
    return cast(yaml.Mark, event.end_mark)


def _unreadable(error: yaml.MarkedYAMLError, file: str, text: str) -> SceneError:
    """A parser's complaint as one line with a mend."""
    problem = " ".join((error.problem or error.context or "broken off").split())
    opened = any(part in (error.context or "") for part in ("quoted scalar", "flow", "simple key"))
    mark = (error.context_mark if opened else None) or error.problem_mark or error.context_mark
    if mark is None:
        return SceneError(f"not readable as YAML: {problem}", where=file)
    known = f"{problem} {error.context or ''}"
    mend = next(
        (mend for part, mend in _MENDS if part in known),
        "check quotes, brackets and indentation here",
    )
    lines = _BREAK.split(text)
    line_no = mark.line
    if "mapping values" in known and _no_colon_before(lines, line_no):
        line_no, mend = _no_colon_before(lines, line_no) - 1, "write each entry as key: value"
        problem = "could not find expected ':'"
    line = lines[line_no] if line_no < len(lines) else ""
    if "\t" in line[: len(line) - len(line.lstrip())]:
        problem, mend = "a tab in the indentation", "indent with spaces"
    return SceneError(f"not readable as YAML: {problem}", where=f"{file}:{line_no + 1}", mend=mend)


def _no_colon_before(lines: list[str], index: int) -> int:
    """The line (from 1) that runs into line `index` for want of a colon; 0 if it is another case.

    YAML folds `title hello` and the entry below into one text, and complains about the entry.
    """
    if index >= len(lines) or not _ENTRY.fullmatch(lines[index]):
        return 0
    for above in range(index - 1, -1, -1):
        said = lines[above].strip()
        if said and not said.startswith("#"):
            return 0 if ":" in said else above + 1
    return 0


class _Builder:
    """Nodes from events, one document, bounded depth."""

    def __init__(self, text: str, file: str) -> None:
        self.file = file
        self.text = text
        self.shift = 1 if text.startswith("\ufeff") else 0
        self.events: Iterator[yaml.Event] = yaml.parse(text[self.shift :], Loader=_LOADER)

    def document(self) -> Node:
        root: Node | None = None
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                if root is not None:
                    raise self._refused(
                        event,
                        "a second document in the file",
                        "keep one scene a file, without a --- line",
                    )
                root = self._node(next(self.events), 0)
        return root or Node("map", len(self.text), len(self.text), 1, 0)

    def _refused(self, event: yaml.Event, what: str, mend: str) -> SceneError:
        return SceneError(what, where=f"{self.file}:{_start(event).line + 1}", mend=mend)

    def _node(self, event: yaml.Event, depth: int) -> Node:
        self._check(event, depth)
        mark = _start(event)
        start, line_no, column = mark.index + self.shift, mark.line + 1, mark.column
        if isinstance(event, yaml.ScalarEvent):
            end = _end(event).index + self.shift
            plain = not event.style
            return Node("scalar", start, end, line_no, column, event.value, plain)
        flow = self.text[start : start + 1] in ("[", "{")
        if isinstance(event, yaml.SequenceStartEvent):
            items, end = self._items(depth)
            end = end if flow or not items else items[-1].end
            return Node("list", start, end, line_no, column, flow=flow, items=items)
        pairs, end = self._pairs(depth)
        end = end if flow or not pairs else pairs[-1][1].end
        return Node("map", start, end, line_no, column, flow=flow, pairs=pairs)

    def _check(self, event: yaml.Event, depth: int) -> None:
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise self._refused(
                event,
                "anchors and aliases (& and *) are not used in a scene",
                "put a text that begins with & or * in quotes",
            )
        if getattr(event, "tag", None):
            raise self._refused(
                event,
                "tags (!) are not used in a scene",
                "put a text that begins with ! in quotes",
            )
        if depth > DEPTH_MAX:
            raise self._refused(
                event,
                f"nested deeper than {DEPTH_MAX} levels",
                "no entry of a scene needs that; check the brackets",
            )

    def _items(self, depth: int) -> tuple[tuple[Node, ...], int]:
        items: list[Node] = []
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                return tuple(items), _end(event).index + self.shift
            items.append(self._node(event, depth + 1))
        raise ValueError("broken off")  # the parser itself never ends inside a list

    def _pairs(self, depth: int) -> tuple[tuple[tuple[Node, Node], ...], int]:
        pairs: list[tuple[Node, Node]] = []
        seen: dict[str, int] = {}
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                return tuple(pairs), _end(event).index + self.shift
            key = self._node(event, depth + 1)
            self._check_key(event, key, seen)
            pairs.append((key, self._node(next(self.events), depth + 1)))
        raise ValueError("broken off")

    def _check_key(self, event: yaml.Event, key: Node, seen: dict[str, int]) -> None:
        if key.kind != "scalar" or key.empty:
            raise self._refused(
                event, "a key that is no plain word", "write each entry as key: value"
            )
        if key.text in seen:
            raise self._refused(
                event,
                f'"{key.text}" is given twice',
                f"keep one of the two (the first is on line {seen[key.text]})",
            )
        seen[key.text] = key.line_no
