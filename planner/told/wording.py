"""How a mend is worded when a word is not known."""

from __future__ import annotations

from collections.abc import Iterable

LISTED_MAX = 40  # more known words than this make no readable line


_QUOTES = {'"': '"', "\u201c": "\u201d", "\u201e": "\u201c", "\u00ab": "\u00bb"}


def quoted(text: str) -> str:
    """A text on one line in straight quotes; quotes that it stands in already are left out.

    >>> quoted("\u201cThe third?\u201d")
    '"The third?"'
    """
    flat = " ".join(text.split())
    close = _QUOTES.get(flat[:1])
    inside = flat[1:-1]
    if close and len(flat) > 1 and flat[-1] == close and not {flat[0], close} & set(inside):
        flat = inside.strip()
    return f'"{flat}"'


def nearest(word: str, known: Iterable[str]) -> str:
    """A mend for an unknown word: the nearest known one, and all of them.

    >>> nearest("teazing", ["amused", "teasing"])
    'did you mean "teasing"? (known: amused, teasing)'
    """
    import difflib

    names = list(known)
    if not names:
        return "none are known here"
    close = difflib.get_close_matches(word[:80], names, n=1)
    more = ", ..." if len(names) > LISTED_MAX else ""
    listed = f"(known: {', '.join(names[:LISTED_MAX])}{more})"
    return f'did you mean "{close[0]}"? {listed}' if close else f"use one of these {listed}"
