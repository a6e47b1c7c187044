"""A reasoned guess at how a word is said that the dictionary does not list.

In this order: figures; laughs, hums and drawn-out words; letters spelled one by one; stutters and
words cut off; hyphenated parts; clitics and clipped endings; listed stems with endings or
beginnings, where the letters agree with them; and last the letters alone (audio.words.letters).
A guess not made of listed words alone is warned about by audio.words.pronounce.
`known` gives the listed pronunciations of a word; a test can hide words from the guesser by it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import islice, product

from audio.words.cmu_dictionary import first_with_prefix, look_up
from audio.words.letters import sound_out
from audio.words.spoken_numbers import figures_in_words
from audio.words.syllabify import is_vowel, lay_letters
from audio.words.word_parts import Known, Phones, with_beginning, with_clitic, with_ending

MOST_VARIANTS = 6
ENDING_AGREES = 0.5  # share of phones in which the letters may differ from stem and ending
BEGINNING_AGREES = 0.3
# Sounds people write down that are no words of the dictionary; ours, by ear.
_NOISE_TABLE = """
hm: HH AH1 M
hmm: HH AH1 M
mm: AH1 M
mhm: AH0 M HH AH1 M
uh-huh: AH0 HH AH1
uh-uh: AH1 AH0
uh-oh: AH1 OW2
shh: SH AH0
sh: SH AH0
psst: P AH0 S T
brr: B ER1
grr: G ER1
pfft: P AH0 F T
pff: P AH0 F
tsk: T IH1 S K
phew: F Y UW1
whew: HH W UW1
ugh: AH1 G
argh: AA1 R G
aargh: AA1 R G
eek: IY1 K
oof: UW1 F
ooh: UW1
aah: AA1
ahh: AA1
aw: AO1
aww: AO1
ew: IY1 UW0
eww: IY1 UW0
gah: G AA1
nah: N AA1
yup: Y AH1 P
nope: N OW1 P
mwah: M W AA1
yikes: Y AY1 K S
yay: Y EY1
whoa: W OW1
hah: HH AA1
heh: HH EH1
hee: HH IY1
huh: HH AH1
bah: B AA1
tch: CH AH0
zzz: Z AH0
"""
_NOISES = dict(line.split(": ") for line in _NOISE_TABLE.strip().splitlines())
_LAUGH = re.compile(r"(?:a?h(?:a+|e+h?|o+|i+|ee|eh|ah)){2,}h?|(?:h[aeio]h?){2,}")
_LAUGH_BEAT = re.compile(r"h+(a+|e+|o+|i+)h?(?=h|$)|(^a+)(?=h)")
_LAUGH_VOWELS = {"a": "AA", "e": "EH", "o": "OW", "i": "IY", "ee": "IY"}


@dataclass(frozen=True, slots=True)
class Guess:
    """Pronunciations to try, the likeliest first, and how they were found.

    sure : made of listed words alone, so nobody need be warned. read_as : what figures stand for.
    """

    variants: tuple[Phones, ...]
    how: str
    sure: bool = False
    read_as: str = ""


def _distinct(
    variants: tuple[Phones, ...], how: str, *, sure: bool = False, read_as: str = ""
) -> Guess | None:
    spoken = tuple(dict.fromkeys(v for v in variants if any(map(is_vowel, v))))
    return Guess(spoken[:MOST_VARIANTS], how, sure, read_as) if spoken else None


def _said(part: str, known: Known) -> Guess:
    """A part of a word: listed, or guessed in its turn."""
    listed = known(part)
    return Guess(listed, "listed", sure=True) if listed else guess_word(part, known=known)


def _in_turn(parts: list[tuple[Phones, ...]]) -> tuple[Phones, ...]:
    """All ways to say parts one after the other, the likeliest first."""
    ways = product(*(part[:2] for part in parts))
    return tuple(sum(way, ()) for way in islice(ways, MOST_VARIANTS))


def _figures(word: str, known: Known) -> Guess | None:
    words = figures_in_words(word)
    if not words:
        return None
    parts = [_said(part, known) for part in words]
    ways, sure = _in_turn([part.variants for part in parts]), all(part.sure for part in parts)
    text = " ".join(words)
    return _distinct(ways, f'read as "{text}"', sure=sure, read_as=text)


def _initials(word: str, written: str, known: Known) -> Guess | None:
    """Letters said one by one: no vowel among them, capitals, or with full stops between."""
    letters = word.replace(".", "")
    dotted = re.fullmatch(r"(?:[a-z]\.)+[a-z]?", word) is not None
    short_capitals = written.isalpha() and written.isupper() and 2 <= len(written) <= 4
    silent = letters.isalpha() and not re.search(r"[aeiouy]", letters)
    if not letters.isalpha() or not (dotted or (short_capitals and silent) or silent):
        return None
    parts = [known(letter)[-1:] for letter in letters if known(letter)]
    return _distinct(_in_turn(parts), "letter by letter", sure=True) if parts else None


def _noise(word: str, known: Known) -> Guess | None:
    """Laughs, hums, and words drawn out ("nooo")."""
    if word in _NOISES:
        return Guess((tuple(_NOISES[word].split()),), "a sound, not a word", sure=True)
    if _LAUGH.fullmatch(word):
        phones: list[str] = []
        for match in _LAUGH_BEAT.finditer(word):
            vowel = (match[1] or match[2])[:2]
            name = _LAUGH_VOWELS.get(vowel, _LAUGH_VOWELS[vowel[0]])
            phones += [*(["HH"] if match[1] else []), f"{name}{0 if phones else 1}"]
        return _distinct((tuple(phones),), "a laugh", sure=True)
    for shorter in _shortened(word):
        if shorter in _NOISES:
            return Guess((tuple(_NOISES[shorter].split()),), "a sound, not a word", sure=True)
        if listed := known(shorter):
            return _distinct(listed, f'"{shorter}" drawn out', sure=True)
    if (shorter := re.sub(r"([a-z])\1\1+", r"\1\1", word)) != word:
        return guess_word(shorter, known=known)
    return None


def _shortened(word: str) -> tuple[str, ...]:
    """Likely spellings of a drawn-out word: letters doubled within, single at the end, first."""
    if not re.search(r"([a-z])\1\1", word) and not re.search(r"([a-z])\1$", word):
        return ()
    inside = re.sub(r"([a-z])\1\1+(?=.)", r"\1\1", word)
    single = re.sub(r"([a-z])\1\1+(?=.)", r"\1", word)
    forms = [
        re.sub(r"([a-z])\1+$", tail, base) for base in (inside, single) for tail in (r"\1", r"\1\1")
    ]
    return tuple(form for form in dict.fromkeys(forms) if form != word)


def _begun(fragment: str, known: Known) -> tuple[Phones, ...]:
    """A word broken off after these letters: as the first listed word that goes on from there."""
    if re.search(r"[aeiouy]", fragment) and (listed := known(fragment)):
        return listed
    for whole in first_with_prefix(fragment, 20):
        if whole == fragment or not known(whole) or not whole.isalpha():
            continue
        phones = known(whole)[0]
        laid = lay_letters(whole, phones)
        said = tuple(p for p, (_, end) in zip(phones, laid, strict=True) if end <= len(fragment))
        if said:
            return (said,)
    return (sound_out(fragment),)


def _broken(word: str, known: Known) -> Guess | None:
    """Stutters ("w-what", "I-I") and words cut off ("umbr-")."""
    parts = [part for part in word.split("-") if part]
    if word.endswith("-") and len(parts) == 1:
        begun, listed = _begun(parts[0], known), bool(known(parts[0]))
        return _distinct(begun, "cut off", sure=listed) or _distinct(
            ((*begun[0], "AH0"),), "cut off"
        )
    if len(parts) < 2 or not all(parts[-1].startswith(part) for part in parts[:-1]):
        return None
    last = _said(parts[-1], known)
    whole = last.variants
    starts: list[tuple[Phones, ...]] = []
    for part in parts[:-1]:
        if part == parts[-1]:
            starts.append(whole)
            continue
        onset = next((i for i, phone in enumerate(whole[0]) if is_vowel(phone)), 1)
        full = _begun(part, known)[0] if re.search(r"[aeiouy]", part) else ()
        starts.append(
            (full,) if full else ((*whole[0][:onset], "AH0"), whole[0][:onset] or ("AH0",))
        )
    return _distinct(_in_turn([*starts, whole]), "a stutter", sure=last.sure)


def _by_parts(word: str, known: Known) -> Guess | None:
    if "-" in word or "/" in word:
        parts = [part for part in re.split(r"[-/]", word) if part]
        spoken = [_said(part, known) for part in parts]
        ways, sure = _in_turn([part.variants for part in spoken]), all(part.sure for part in spoken)
        return _distinct(ways, "part by part", sure=sure) if spoken else None
    if guess := _distinct(with_clitic(word, known), "from its stem", sure=True):
        return guess
    if "'" in word.strip("'"):  # an unlisted name with a clitic: O'Shaughnessy's
        stem, _, _ = word.rpartition("'")
        base = guess_word(stem, known=known)
        ways = with_clitic(word, lambda part: base.variants if part == stem else ())
        return _distinct(ways, base.how, sure=base.sure)
    return None


def _difference(a: Phones, b: Phones) -> float:
    """Edit distance of phones without digits, as a share of the longer."""
    left, right = ([phone.rstrip("012") for phone in phones] for phones in (a, b))
    row = list(range(len(right) + 1))
    for i, phone in enumerate(left, 1):
        above, row = row, [i]
        for j, other in enumerate(right):
            row.append(min(above[j] + (phone != other), above[j + 1] + 1, row[j] + 1))
    return row[-1] / max(len(left), len(right), 1)


def _by_letters(word: str, known: Known) -> Guess:
    """The letters' own sounds, or a listed stem with an ending if the letters agree with it."""
    spelled = sound_out("".join(c for c in _without_marks(word) if c.isalpha() or c == "'"))
    for way, tolerance in ((with_ending, ENDING_AGREES), (with_beginning, BEGINNING_AGREES)):
        near = tuple(v for v in way(word, known) if _difference(v, spelled) <= tolerance)
        if guess := _distinct(near, "from its stem"):
            return guess
    if any(map(is_vowel, spelled)):
        return Guess((spelled,), "by its letters")
    return Guess(((*spelled, "AH1"),), "by its letters")


def guess_word(word: str, written: str = "", *, known: Known = look_up) -> Guess:
    """A pronunciation for any word (lower case, plain apostrophes); never empty.

    written : the word as it stands in the text, for its capitals.
    """
    for attempt in (
        _figures(word, known),
        _noise(word, known),
        _initials(word, written, known),
        _broken(word, known),
        _by_parts(word, known),
    ):
        if attempt is not None:
            return attempt
    return _by_letters(word, known)


def _without_marks(word: str) -> str:
    """Letters without accents: "cafe" for "caf\u00e9"."""
    import unicodedata

    return "".join(c for c in unicodedata.normalize("NFD", word) if not unicodedata.combining(c))
