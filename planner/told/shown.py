"""Text on its way to a terminal: what a file holds may be shown, but may not steer.

Names, notes and words come from files of others. A terminal takes some characters for commands
(ECMA-48: escape, the control characters C0 and C1), others turn the reading direction of what
follows or break the line (Unicode UAX 9 and 14). They are left out of what is printed; in JSON
they stand as \\u escapes, which mean the same. Letters of every script, joiners and the marks that
only help bidirectional text (U+200E, U+200F, U+061C) stay.
"""

from __future__ import annotations

import re

_STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


def shown(text: str) -> str:
    """The text without what would steer a terminal; tabs and line feeds stay.

    >>> shown("lamp\\x1b[31m\\u202e!")
    'lamp[31m!'
    """
    return _STEERING.sub("", text)


def shown_json(text: str) -> str:
    """JSON text, the same data, with those characters escaped; also halves of characters."""
    if text.isascii() and "\x7f" not in text:  # the library escapes the other ones
        return text
    return _STEERING.sub(lambda found: f"\\u{ord(found.group()):04x}", text)
