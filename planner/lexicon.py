"""What words do to the body, and what a writer's remark does to an intent: the open lexicon.

`load_lexicon()` reads `lexicon.yaml` once. `meaning_at(words, i)` is what the i-th word of a line
says to the body (a shake, a shrug, a count...), `remark_of(note)` what a beat's `note:` changes: it
lowers or raises sizes, turns the head against the tune, or names a hidden feeling that leaks.
A remark that nothing in the table matches is `understood=False`, and the plan says so.
Words are compared in lower case without the marks around them; entries of several words are looked
for first. Common practice throughout; nothing here is language understanding.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from audio.errors import TableError

_WORD = re.compile(r"[a-z']+")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a word says to the body; `weight`: how strongly it asks for its carrier."""

    name: str
    carrier: str
    direction: str
    said: str
    weight: float = 2.0


@dataclass(frozen=True, slots=True)
class Remark:
    """What a note changes. `lower`: sizes times this; `hides` an intent's name, or None."""

    lower: float = 1.0
    hides: str | None = None
    counters: bool = False
    said: tuple[str, ...] = ()
    understood: bool = True


NO_REMARK = Remark()


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Both tables by their words (tuples of lower-case words)."""

    meanings: Mapping[tuple[str, ...], Meaning]
    remarks: Mapping[tuple[str, ...], tuple[str, Mapping[str, Any]]]


@lru_cache(maxsize=1)
def load_lexicon() -> Lexicon:
    """The shipped lexicon. Raises TableError where an entry lacks its words."""
    import yaml

    text = Path(__file__).with_name("lexicon.yaml").read_text(encoding="utf-8")
    # All of it is text: `no` and `yes` are words here, not truth values.
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    raw = yaml.load(text, Loader=loader)
    meanings: dict[tuple[str, ...], Meaning] = {}
    remarks: dict[tuple[str, ...], tuple[str, Mapping[str, Any]]] = {}
    for name, entry in raw["meanings"].items():
        made = Meaning(name, entry["carrier"], entry["direction"], entry["said"],
                       float(entry.get("weight", 2.0)))  # fmt: skip
        meanings |= dict.fromkeys(_keys(name, entry), made)
    for name, entry in raw["remarks"].items():
        remarks |= dict.fromkeys(_keys(name, entry), (name, entry))
    return Lexicon(meanings, remarks)


def _keys(name: str, entry: Mapping[str, Any]) -> list[tuple[str, ...]]:
    if not entry.get("words"):
        raise TableError(f"{name} has no words", where="lexicon.yaml", mend="give it words:")
    return [tuple(words_of(str(w))) for w in entry["words"]]


def words_of(text: str) -> list[str]:
    """The lower-case words of a text, with straight apostrophes."""
    return _WORD.findall(text.lower().replace("\u2019", "'"))


def meaning_at(words: Sequence[str], i: int) -> Meaning | None:
    """What the i-th of a line's bare words says to the body, with its neighbours; None if nothing.

    >>> meaning_at(["who", "knows"], 1).name, meaning_at(["no", "one"], 1).name
    ('unsure', 'no')
    """
    known = load_lexicon().meanings
    plain = [w.lower().replace("\u2019", "'") for w in words]
    for length in (3, 2, 1):
        for first in range(max(0, i - length + 1), i + 1):
            found = known.get(tuple(plain[first : first + length]))
            if found and first + length > i:
                return found
    return None


def _denied(said: Sequence[str], k: int) -> bool:
    """Whether what stands at k is taken back: "not cross", "too tired to be really cross"."""
    near = said[max(0, k - 3) : k]
    return bool({"not", "never", "without"} & set(near)) or ("too" in said[:k] and "to" in near)


@lru_cache(maxsize=256)
def remark_of(note: str) -> Remark:
    """What a note changes.

    >>> remark_of("too tired to be really cross").lower, remark_of("in blue").understood
    (0.75, False)
    """
    said = words_of(note)
    if not said:
        return Remark()
    known = load_lexicon().remarks
    lower, hides, counters, names = 1.0, None, False, []
    for length in (3, 2, 1):
        for k in range(len(said) - length + 1):
            entry = known.get(tuple(said[k : k + length]))
            if entry is None or entry[0] in names or _denied(said, k):
                continue
            names.append(entry[0])
            lower *= float(entry[1].get("lower", 1.0))
            counters = counters or entry[1].get("counter") == "true"
            hides = hides or entry[1].get("hide")
    return Remark(lower, hides, counters, tuple(names), bool(names))
