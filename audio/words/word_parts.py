"""Unlisted words taken apart into listed ones: endings, beginnings, clitics.

Only parts that leave the stress of the stem alone are used ("level 2" affixes in lexical phonology:
-ness, -less, un-...); for the others, and for compounds written as one word, the letters decide
(audio.words.letters): in trials on held-out words taking compounds apart did more harm than good.
`known` gives the listed pronunciations of a word, so a test can hide some.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from audio.words.syllabify import is_vowel

Phones = tuple[str, ...]
Known = Callable[[str], tuple[Phones, ...]]
_HISSES = frozenset("S Z SH ZH CH JH".split())
_VOICELESS = frozenset("P T K F TH".split())
_CLITICS: dict[str, tuple[Phones, ...]] = {
    "n't": (("AH0", "N", "T"), ("N", "T")),
    "'ll": (("AH0", "L"), ("L",)),
    "'ve": (("AH0", "V"), ("V",)),
    "'re": (("ER0",), ("R",)),
    "'d": (("AH0", "D"), ("D",)),
    "'m": (("AH0", "M"), ("M",)),
    "'em": (("AH0", "M"),),
}
_SUFFIXES: dict[str, Phones] = {
    "ing": ("IH0", "NG"), "er": ("ER0",), "est": ("AH0", "S", "T"), "ly": ("L", "IY0"),
    "ness": ("N", "AH0", "S"), "less": ("L", "AH0", "S"), "ful": ("F", "AH0", "L"),
    "ment": ("M", "AH0", "N", "T"), "able": ("AH0", "B", "AH0", "L"), "ish": ("IH0", "SH"),
    "y": ("IY0",), "like": ("L", "AY2", "K"), "ship": ("SH", "IH2", "P"), "dom": ("D", "AH0", "M"),
    "hood": ("HH", "UH2", "D"), "some": ("S", "AH0", "M"), "man": ("M", "AH0", "N"),
    "wise": ("W", "AY2", "Z"), "ward": ("W", "ER0", "D"), "wards": ("W", "ER0", "D", "Z"),
    "ism": ("IH2", "Z", "AH0", "M"), "ist": ("AH0", "S", "T"), "or": ("ER0",),
    "ers": ("ER0", "Z"), "ings": ("IH0", "NG", "Z"), "ists": ("AH0", "S", "T", "S"),
    "in'": ("IH0", "N"), "fully": ("F", "AH0", "L", "IY0"), "ably": ("AH0", "B", "L", "IY0"),
}  # fmt: skip
_PREFIXES: dict[str, Phones] = {
    "un": ("AH0", "N"), "re": ("R", "IY0"), "dis": ("D", "IH0", "S"), "non": ("N", "AA0", "N"),
    "over": ("OW2", "V", "ER0"), "under": ("AH2", "N", "D", "ER0"), "out": ("AW2", "T"),
    "mis": ("M", "IH0", "S"), "pre": ("P", "R", "IY0"), "super": ("S", "UW2", "P", "ER0"),
    "inter": ("IH2", "N", "T", "ER0"), "anti": ("AE2", "N", "T", "IY0"), "fore": ("F", "AO0", "R"),
    "micro": ("M", "AY2", "K", "R", "OW0"), "mega": ("M", "EH2", "G", "AH0"),
    "multi": ("M", "AH2", "L", "T", "IY0"), "semi": ("S", "EH2", "M", "IY0"),
    "self": ("S", "EH2", "L", "F"), "counter": ("K", "AW2", "N", "T", "ER0"),
    "mid": ("M", "IH2", "D"), "sub": ("S", "AH0", "B"), "co": ("K", "OW0"),
}  # fmt: skip
_SHORTEST_STEM = 3
_SHORTEST_AFTER_PREFIX = 4


def plural(stem: Phones) -> Phones:
    """A stem with the ending -s: an extra syllable after a hiss, S after a voiceless sound."""
    if stem[-1] in _HISSES:
        return (*stem, "IH0", "Z")
    return (*stem, "S" if stem[-1] in _VOICELESS else "Z")


def past(stem: Phones) -> Phones:
    """A stem with the ending -ed."""
    if stem[-1] in ("T", "D"):
        return (*stem, "IH0", "D")
    return (*stem, "T" if stem[-1] in _VOICELESS | {"S", "SH", "CH"} else "D")


def _stems(base: str) -> Iterator[str]:
    """Spellings that may have become `base` before an ending that begins with a vowel."""
    yield base
    yield f"{base}e"
    if len(base) > 3 and base[-1] == base[-2]:
        yield base[:-1]
    if base.endswith("i"):
        yield f"{base[:-1]}y"


def with_clitic(word: str, known: Known) -> tuple[Phones, ...]:
    """A listed word with a clitic, a possessive or a clipped -ing."""
    if word.endswith("in'") and (full := known(f"{word[:-1]}g")):
        return tuple((*phones[:-1], "N") for phones in full if phones[-1] == "NG")
    if word.endswith(("'s", "s'", "'")) and (stem := word.removesuffix("'").removesuffix("'s")):
        owners = known(stem)
        if word.endswith("'s"):
            return tuple(map(plural, owners))
        return owners
    for clitic, tails in _CLITICS.items():
        if word.endswith(clitic) and (stems := known(word.removesuffix(clitic))):
            return tuple(
                (*stem, *tail) for stem in stems for tail in tails
                if len(tail) > 1 or is_vowel(stem[-1])
            )  # fmt: skip
    return ()


def with_ending(word: str, known: Known) -> tuple[Phones, ...]:
    """A listed stem with an ending that leaves its stress alone."""
    if word.endswith("s") and not word.endswith("ss"):
        bases = [word[:-1], word[:-2] if word.endswith("es") else ""]
        bases += [f"{word[:-3]}y"] if word.endswith("ies") else []
        for base in bases:
            if len(base) >= _SHORTEST_STEM and (stems := known(base)):
                return tuple(map(plural, stems))
    if word.endswith("ed"):
        for base in (f"{word[:-2]}e", *_stems(word[:-2])):
            if len(base) >= _SHORTEST_STEM and (stems := known(base)):
                return tuple(map(past, stems))
    for suffix in sorted(_SUFFIXES, key=len, reverse=True):
        if not word.endswith(suffix):
            continue
        base = word.removesuffix(suffix)
        spellings = _stems(base) if suffix[0] in "aeioy" else iter((base, _y_for_i(base)))
        for stem in spellings:
            if len(stem) >= _SHORTEST_STEM and (listed := known(stem)):
                return tuple(_joined(phones, _SUFFIXES[suffix]) for phones in listed)
    return ()


def _y_for_i(base: str) -> str:
    return f"{base[:-1]}y" if base.endswith("i") else ""


def _joined(stem: Phones, ending: Phones) -> Phones:
    """Stem and ending; a syllabic L before a vowel or another L loses its own vowel."""
    if stem[-2:] == ("AH0", "L") and ending[0] == "L":
        return (*stem[:-1], *ending)
    return (*stem, *ending)


def with_beginning(word: str, known: Known) -> tuple[Phones, ...]:
    """A listed stem with a prefix that leaves its stress alone."""
    for prefix in sorted(_PREFIXES, key=len, reverse=True):
        stem = word.removeprefix(prefix)
        if stem != word and len(stem) >= _SHORTEST_AFTER_PREFIX:
            listed = known(stem) or with_ending(stem, known)
            if listed:
                return tuple((*_PREFIXES[prefix], *phones) for phones in listed)
    return ()
