"""Plain values as YAML text, in the style of our scene files; read back, every text is itself.

A value is True or False, a number, `Bare` (a text of our own syntax such as 1-4 or 0.5s), a text,
a tuple or list, or a dict. Texts that other YAML readers
would take for something else (No, 1:30, =1+1, null) are quoted, so that all readers agree.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

import yaml

from audio.errors import SceneError

Plain = Any  # bool | int | float | str | Sequence[Plain] | Mapping[str, Plain]
INDENT = 2
# Only what needs no thought stands without quotes: words, spaces and quiet punctuation. Inside
# brackets readers disagree on "?" (PyYAML's own scanner takes "why?," for a key).
_QUIET = re.compile(r"[^\W_](?:[\w .!()/'+=;&%$*\u2019\u2026-]*[\w.!)/'\u2019\u2026-])?")
_QUIET_BLOCK = re.compile(r"[^\W_](?:[\w .,?!()/'+=;&%$*\u2019\u2026-]*[\w.,?!)/'\u2019\u2026-])?")
# Joiners shape emoji and Persian words; all other format characters are written as escapes.
_SHOWN = "\u200c\u200d"
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r", "\0": "\\0"}
# Numbers and booleans of YAML 1.2 or of other readers, beyond those of PyYAML's resolver.
_ELSEWHERE = re.compile(r"0o[0-7]+|[0-9][0-9.eE+-]*|[yYnN]|\.?(?:nan|inf)", re.IGNORECASE)


class Bare(str):
    """A text that is written without quotes, since its own syntax makes it safe."""

    __slots__ = ()


def scalar(value: Plain, *, flow: bool = False) -> str:
    """A single value; `flow` says that it stands inside brackets.

    Raises SceneError for half a character (a lone surrogate), which no file can hold.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return decimal_text(value)
    text = str(value)
    if isinstance(value, Bare):
        return text
    if _plain_is_safe(text, flow):
        return text
    return '"' + "".join(map(_escaped, text)) + '"'


def decimal_text(value: float) -> str:
    """A float without exponent, the shortest that reads back the same; 0.0 stays 0.0."""
    text = format(Decimal(repr(float(value))), "f")
    return text if "." in text else text + ".0"


def _plain_is_safe(text: str, flow: bool) -> bool:
    quiet = (_QUIET if flow else _QUIET_BLOCK).fullmatch(text)
    if not quiet or "  " in text or not text.isprintable():
        return False
    resolvers = yaml.SafeLoader.yaml_implicit_resolvers.get(text[0], ())
    taken = any(pattern.match(text) for _, pattern in resolvers)
    return not taken and not _ELSEWHERE.fullmatch(text)


def _escaped(char: str) -> str:
    if char in _ESCAPES:
        return _ESCAPES[char]
    if char.isprintable() or char in _SHOWN:
        return char
    code = ord(char)
    if 0xD800 <= code <= 0xDFFF:
        raise SceneError("a text has half a character (a lone surrogate)", mend="delete it")
    if code <= 0xFF:
        return f"\\x{code:02X}"
    return f"\\u{code:04X}" if code <= 0xFFFF else f"\\U{code:08X}"


def flow(value: Plain) -> str:
    """A value on one line, collections in brackets."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key_text(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if is_list(value):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    return scalar(value, flow=True)


def key_text(key: Plain) -> str:
    """A key: numbers bare, the rest quoted where needed."""
    return scalar(key, flow=True)


def is_list(value: Plain) -> bool:
    """A list or tuple, not a text."""
    return isinstance(value, Sequence) and not isinstance(value, str)


def entry(key: Plain, value: Plain, *, column: int, block: bool = False) -> list[str]:
    """The lines of `key: value` at a column. `block` lays its items or entries on lines."""
    head = " " * column + key_text(key) + ":"
    if block and is_list(value) and value:
        return [head, *(line for item in value for line in list_item(item, column=column + INDENT))]
    if block and isinstance(value, Mapping) and value:
        lines = [head]
        for name, part in value.items():
            lines += entry(name, part, column=column + INDENT)
        return lines
    written = flow(value) if isinstance(value, Mapping) or is_list(value) else scalar(value)
    return [f"{head} {written}"]


def list_item(item: Plain, *, column: int) -> list[str]:
    """The lines of `- item`. A `Block` has a line a key, everything else stays on one line."""
    dash = " " * column + "- "
    if not (isinstance(item, Block) and item):
        return [dash + flow(item)]
    lines = [line for k, v in item.items() for line in entry(k, v, column=column + INDENT)]
    return [dash + lines[0].lstrip(" "), *lines[1:]]


class Block(dict[str, Plain]):
    """A map that is written a line a key rather than in braces."""

    __slots__ = ()
