"""Figures and signs as an English speaker reads them: "42" -> "forty two", "$5" -> "five dollars".

Covers whole numbers, thousands with commas, decimals, ordinals, years and decades, clock times,
money, per cent, fractions like 1/2, and single signs. It does not read dates, phone numbers or
formulas; digits it cannot place are read one by one.
"""

from __future__ import annotations

import re

_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen"
).split()
_TENS = "_ _ twenty thirty forty fifty sixty seventy eighty ninety".split()
_SCALES = ((10**9, "billion"), (10**6, "million"), (10**3, "thousand"), (100, "hundred"))
_ORDINALS = {
    "one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth",
    "nine": "ninth", "twelve": "twelfth",
}  # fmt: skip
_MONEY = {"$": ("dollar", "cent"), "\u00a3": ("pound", "penny"), "\u20ac": ("euro", "cent")}
SIGNS = {"&": "and", "%": "percent", "@": "at", "+": "plus", "=": "equals", "#": "number"}
_LARGEST = 10**12


def cardinal(number: int) -> list[str]:
    """A whole number in words; raises ValueError outside 0 <= number < 10 ** 12."""
    if not 0 <= number < _LARGEST:
        raise ValueError(f"no words for {number}")
    if number < 20:
        return [_ONES[number]]
    if number < 100:
        rest = [_ONES[number % 10]] if number % 10 else []
        return [_TENS[number // 10], *rest]
    scale, name = next(pair for pair in _SCALES if number >= pair[0])
    rest = cardinal(number % scale) if number % scale else []
    return [*cardinal(number // scale), name, *rest]


def ordinal(number: int) -> list[str]:
    """The ordinal in words: 21 -> twenty first."""
    *before, last = cardinal(number)
    if last in _ORDINALS:
        return [*before, _ORDINALS[last]]
    return [*before, f"{last[:-1]}ieth" if last.endswith("y") else f"{last}th"]


def year(number: int) -> list[str]:
    """A year as spoken: 1984 -> nineteen eighty four, 2003 -> two thousand three."""
    century, rest = divmod(number, 100)
    if not 1100 <= number <= 2099 or 2000 <= number <= 2009:
        return cardinal(number)
    if rest == 0:
        return [*cardinal(century), "hundred"]
    return [*cardinal(century), *(["oh"] if rest < 10 else []), *cardinal(rest)]


def _plural(words: list[str]) -> list[str]:
    *before, last = words
    return [*before, f"{last[:-1]}ies" if last.endswith("y") else f"{last}s"]


def _digits(text: str) -> list[str]:
    return [_ONES[int(digit)] for digit in text if digit.isdigit()]


def _money(sign: str, whole: str, part: str | None) -> list[str]:
    unit, small = _MONEY[sign]
    amount = int(whole)
    words = [*cardinal(amount), unit if amount == 1 else f"{unit}s"]
    if part:
        cents = int(part.ljust(2, "0"))
        pence = "pence" if small == "penny" and cents != 1 else small
        words += [*cardinal(cents), pence if cents == 1 or pence == "pence" else f"{small}s"]
    return words


def figures_in_words(text: str) -> list[str]:
    """The words a speaker says for a token with figures or a sign; [] if it has none.

    >>> figures_in_words("$2.50")
    ['two', 'dollars', 'fifty', 'cents']
    """
    token = text.lower().replace(",", "") if re.search(r"\d,\d{3}", text) else text.lower()
    if token in SIGNS:
        return [SIGNS[token]]
    if token in ("1/2", "\u00bd"):
        return ["one", "half"]
    if match := re.fullmatch(r"([$\u00a3\u20ac])(\d{1,12})(?:\.(\d{1,2}))?", token):
        return _money(match[1], match[2], match[3])
    if match := re.fullmatch(r"(\d{1,12})(?:st|nd|rd|th)", token):
        return ordinal(int(match[1]))
    if match := re.fullmatch(r"'?(\d{1,3}0)'?s", token):
        number = int(match[1])
        return _plural(year(number) if number > 1000 else cardinal(number))
    if match := re.fullmatch(r"(\d{1,2}):(\d{2})(am|pm)?", token):
        minutes = int(match[2])
        tail = ["oh", *cardinal(minutes)] if 0 < minutes < 10 else cardinal(minutes)
        letters = list(match[3] or "")
        return [
            *cardinal(int(match[1])),
            *(tail if minutes else ["o'clock"][: not letters]),
            *letters,
        ]
    if match := re.fullmatch(r"(\d{1,12})\.(\d+)(%?)", token):
        per_cent = ["percent"] if match[3] else []
        return [*cardinal(int(match[1])), "point", *_digits(match[2]), *per_cent]
    if match := re.fullmatch(r"(\d{1,12})(%?)", token):
        number, plain_year = int(match[1]), len(match[1]) == 4 and not match[2]
        if len(match[1]) > 1 and match[1][0] == "0":
            return _digits(match[1])
        words = year(number) if plain_year and token == text.lower() else cardinal(number)
        return [*words, "percent"] if match[2] else words
    return _mixed(token)


def _mixed(token: str) -> list[str]:
    """Figures among letters ("4x4", "mp3", "1/2"): each run by itself."""
    if not any(character.isdigit() for character in token):
        return []
    words: list[str] = []
    for figures, letters, sign in re.findall(r"(\d+)|([^\W\d_']+)|([&%@+=#])", token):
        if figures and figures.isascii():
            words += cardinal(int(figures)) if len(figures) < 4 else _digits(figures)
        elif letters:
            words += [letters]
        elif sign:
            words.append(SIGNS[sign])
    return words
