"""A line of text, cut into the words that are spoken and the hints that are not.

A word is what stands between spaces or dashes, its outer punctuation taken off and otherwise as
written ("cold-hearted" and "I-I" are one word each). What stands in square or round brackets, or
between asterisks, is a direction to the speaker ("[sighs]", "(laughs)"): a hint, never a word.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

APOSTROPHES = "'\u2019\u2018\u02bc`\u00b4"
_BRACKETED = re.compile(r"\[([^\]]*)\]|\(([^)]*)\)|\*([^*]+)\*|<([^>]*)>|\{([^}]*)\}")
_GAPS = re.compile(r"(?:\s|\u2014|\u2013(?!\d)|--+|\u2026|\.\.+|/(?=[^\W\d]))+")
_EDGES = "".join(
    '!"#()*+,./:;<=>?@[\\]^_{|}~\u00a1\u00bf\u00ab\u00bb\u201c\u201d\u201e\u2039\u203a'
)
_SENTENCE_ENDS = frozenset(".!?\u2026\u3002")
_SHORTENED = frozenset("mr mrs ms dr st sr sra srta herr fr mme mlle m sig prof vs etc".split())
_CLAUSE_ENDS = frozenset(",;:\u2014\u2013")
# Written without their first or last letters; the mark belongs to the word.
_INITIALS = re.compile(r"^(?:[^\W\d_]\.){2,}$")  # "U.S." keeps its last full stop
_OPENING_CLIPPED = re.compile(
    r"^'(?:em|til|tis|twas|cause|bout|round|course|n|kay|s|m|d|ll|re|ve|\d)"
)


@dataclass(frozen=True, slots=True)
class Transcript:
    """Words as written, and hints: (index of the word that follows, the text in brackets).

    marks : for each word the strongest mark between it and the next: "." where a sentence ends,
    "," where a part of one does (also ; : and dashes), else "".
    """

    words: tuple[str, ...]
    hints: tuple[tuple[int, str], ...]
    marks: tuple[str, ...] = ()


def plain(text: str) -> str:
    """Lower case, with one kind of apostrophe and hyphen."""
    for mark in APOSTROPHES:
        text = text.replace(mark, "'")
    return text.replace("\u2010", "-").replace("\u2011", "-").replace("\u00ad", "").lower()


def _trim(token: str) -> str:
    """A token without its outer punctuation and quotation marks."""
    if initials := _INITIALS.search(token):
        return initials[0]
    cut_off = token.endswith(("-", "\u2010", "\u2011"))
    word = token.strip(_EDGES + "-\u2010\u2011\u2013")
    while True:
        start = word
        flat = plain(word)
        if flat.startswith("'") and not _OPENING_CLIPPED.match(flat):
            word = word[1:]
        flat = plain(word)
        clipped = flat.endswith(("in'", "s'", "n'", "o'", "th'"))
        if flat.endswith("'") and (not clipped or plain(token).startswith("'")):
            word = word[:-1]
        word = word.strip(_EDGES)
        if word == start:
            break
    if token.startswith("$") or "$" in token[:2]:
        return token.strip(_EDGES + "-")
    return word + "-" if cut_off and word and word[-1].isalpha() else word


def _words(text: str) -> list[tuple[str, str]]:
    """Words and the mark after each."""
    found: list[tuple[str, str]] = []
    ends = [*((gap.start(), gap.end()) for gap in _GAPS.finditer(text)), (len(text), len(text))]
    first = 0
    for start, end in ends:
        token = text[first:start]
        word = _trim(token)
        after = token[token.rfind(word) + len(word) :] + text[start:end]
        first = end
        if any(c.isalnum() or c in "&%@" for c in word):
            found.append(
                (word, "" if plain(word) in _SHORTENED and after[:1] == "." else _mark(after))
            )
        elif found:
            found[-1] = (found[-1][0], max(found[-1][1], _mark(after)))
    return found


def _mark(after: str) -> str:
    """The strongest mark in what stands after a word. "." sorts after ","."""
    if any(c in _SENTENCE_ENDS for c in after) or ".." in after:
        return "."
    return "," if any(c in _CLAUSE_ENDS for c in after) or "--" in after else ""


def read_transcript(text: str) -> Transcript:
    """Cut a line into words and hints.

    >>> read_transcript('"Well-" [sighs] that\\'s it, dogs\\' and all.').words
    ('Well-', "that's", 'it', "dogs'", 'and', 'all')
    >>> read_transcript("No. Wait, please").marks
    ('.', ',', '')
    """
    words: list[tuple[str, str]] = []
    hints: list[tuple[int, str]] = []
    position = 0
    for match in _BRACKETED.finditer(text):
        words += _words(text[position : match.start()])
        hint = next(group for group in match.groups() if group is not None).strip()
        if hint:
            hints.append((len(words), hint))
        position = match.end()
    words += _words(text[position:])
    return Transcript(tuple(w for w, _ in words), tuple(hints), tuple(m for _, m in words))
