"""A reasoned guess at how a word is said that the dictionary does not list."""

from __future__ import annotations

from dataclasses import dataclass

Phones = tuple[str, ...]

_LETTERS = dict(
    zip(
        "abcdefghijklmnopqrstuvwxyz",
        "AE B K D EH F G HH IH JH K L M N AA P K R S T AH V W K,S IY Z".split(),
        strict=True,
    )
)


@dataclass(frozen=True, slots=True)
class Guess:
    """Pronunciations to try, the likeliest first, and how they were found."""

    variants: tuple[Phones, ...]
    how: str


def guess_word(word: str) -> Guess:
    """A pronunciation for any word; never empty."""
    phones: list[str] = []
    for letter in word:
        phones += _LETTERS.get(letter, "").split(",") if letter in _LETTERS else []
    stressed = False
    for i, phone in enumerate(phones):
        if phone in {"AE", "EH", "IH", "AA", "AH", "IY"}:
            phones[i] = f"{phone}{int(not stressed)}"
            stressed = True
    if not stressed:
        phones.append("AH1")
    return Guess((tuple(phones),), "letter by letter")
