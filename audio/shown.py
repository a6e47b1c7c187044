"""Text on its way to a terminal or a file: what a file holds may be shown, but may not steer.

Names, notes and words come from files of others. A terminal takes some characters for commands
(ECMA-48: escape, the control characters C0 and C1), others turn the reading direction of what
follows or break the line (Unicode UAX 9 and 14), and halves of characters cannot be
written at all; a private character (U+E000 to U+F8FF) means nothing, and looks like nothing.
They are made visible as Python and YAML write them: \\x1b, \\u202e; in JSON as \\u escapes, which
mean the same data. Letters of every script, joiners and the marks that only help bidirectional
text (U+200E, U+200F, U+061C) stay.
"""

from __future__ import annotations

import re

_STEERING = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ue000-\uf8ff]"
    "|\r(?!\n)"
)
_BREAKS = re.compile("[\t\n\x0b\x0c\r\x85\u2028\u2029]+")


def _visible(found: re.Match[str]) -> str:
    code = ord(found.group())
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}"


def shown(text: str) -> str:
    """The text with what would steer a terminal made visible; tabs and line ends stay.

    >>> shown("lamp\\x1b[31m\\u202e!")
    'lamp\\\\x1b[31m\\\\u202e!'
    """
    if text.isascii() and text.isprintable():
        return text
    return _STEERING.sub(_visible, text)


def shown_line(text: str) -> str:
    """The same on one line: line ends and tabs become a blank."""
    return shown(_BREAKS.sub(" ", text))


def without_steering(text: str) -> str:
    """The text without what would steer a terminal, for where no cell may be added."""
    return text if text.isascii() and text.isprintable() else _STEERING.sub("", text)


def shown_json(text: str) -> str:
    """JSON text, the same data, with those characters escaped; also halves of characters."""
    if text.isascii() and "\x7f" not in text:  # the library escapes the other ones
        return text
    return _STEERING.sub(lambda found: f"\\u{ord(found.group()):04x}", text)
