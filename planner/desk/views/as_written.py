"""A line's words as they are written, each with the punctuation that stands at it. Pure."""

from __future__ import annotations

from collections.abc import Sequence


def as_written(say: str, words: Sequence[str]) -> tuple[str, ...]:
    """The words with what stands around them in `say`; bare ones where that cannot be told.

    What follows a word up to the next blank is its own, and what stands before it after one.

    >>> as_written('"Yellow. [sighs] Wooden handle!"', ["Yellow", "Wooden", "handle"])
    ('"Yellow.', '[sighs] Wooden', 'handle!"')
    """
    spans: list[tuple[int, int]] = []
    position = 0
    low = say.lower()
    for word in words:
        at = low.find(word.lower(), position)
        if at < 0:
            return tuple(words)
        position = at + len(word)
        spans.append((at, position))
    ends = [_end(say, last, spans[i + 1][0] if i + 1 < len(spans) else len(say))
            for i, (_, last) in enumerate(spans)]  # fmt: skip
    starts = [0, *ends[:-1]]
    return tuple(" ".join(say[a:b].split()) for a, b in zip(starts, ends, strict=True))


def _end(say: str, last: int, before: int) -> int:
    """Where a word's own part ends: at the first blank after it, at most where the next begins."""
    if before == len(say):
        return before
    return next((i for i in range(last, before) if say[i].isspace()), before)
