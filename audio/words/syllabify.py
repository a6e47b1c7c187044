"""Phones into syllables, and the spelling of a word into chunks, one a syllable.

Syllables follow the maximal onset principle: of the consonants between two vowels, as many go to
the second as can begin an English word (list below: the clusters English words begin with, common
knowledge of English phonotactics). Phones are ARPAbet, vowels carry a stress digit (0 none,
1 main, 2 secondary); syllabic consonants are written as vowels by the dictionary. IPA phones of
other languages are taken too: there an onset is one consonant, or one and a liquid or glide.
Spelling chunks come from the cheapest laying of letters on phones; joined they give the word back.
What it does not do: ambisyllabic consonants, or morphology (a seam is respected only when asked).
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

Phones = tuple[str, ...]

VOWELS = frozenset("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split())

# Every cluster of two or more that an English word begins with; single consonants: all but NG.
_ONSETS = frozenset(
    tuple(cluster.split())
    for cluster in (
        "P L|P R|P Y|B L|B R|B Y|T R|T W|T Y|D R|D W|D Y|K L|K R|K W|K Y|G L|G R|G W|G Y|F L|F R"
        "|F Y|V Y|V R|TH R|TH W|TH Y|S P|S T|S K|S F|S M|S N|S L|S W|S Y|SH R|SH W|SH L|SH M|SH N"
        "|HH Y|HH W|M Y|N Y|L Y|S P L|S P R|S P Y|S T R|S T Y|S K L|S K R|S K W|S K Y"
    ).split("|")
)


_IPA_VOWELS = frozenset(
    "aeiouy\u0251\u0250\u0252\u00e6\u0254\u0259\u0258\u0275\u0264\u025b\u0153\u00f8"
    "\u025c\u025e\u0268\u026a\u0289\u028a\u028c\u028f\u026f\u025a\u025d"
)
_IPA_STRESS = {"\u02c8": 1, "\u02cc": 2}  # before a vowel: main, secondary
_IPA_SONORANTS = frozenset(
    "lr\u027e\u0279\u0281\u0280jw\u0265\u028e\u028b"
)  # may follow in an onset


def is_vowel(phone: str) -> bool:
    """Whether a phone (ARPAbet, digit or not, or IPA) is a vowel, that is, carries a syllable."""
    if phone.isascii() and phone.isupper():
        return phone.rstrip("012") in VOWELS
    return any(letter in _IPA_VOWELS for letter in phone) or "\u0329" in phone


def stress_of(phone: str) -> int:
    """The stress of a vowel by its digit or its IPA mark; 0 where there is none."""
    return _IPA_STRESS.get(phone[:1], int(phone[-1]) if phone[-1:].isdecimal() else 0)


def _is_onset(cluster: Phones) -> bool:
    if len(cluster) < 2:
        return cluster not in {("NG",), ("\u014b",)}
    if all(phone.isascii() and phone.isupper() for phone in cluster):
        return cluster in _ONSETS
    first, second = cluster[-2], cluster[-1]
    return len(cluster) == 2 and second[0] in _IPA_SONORANTS and first[0] not in _IPA_SONORANTS


def syllable_starts(phones: Phones, seams: frozenset[int] = frozenset()) -> tuple[int, ...]:
    """Index of the first phone of each syllable; at least (0,) for any phones.

    seams : phone indexes at which a part of a compound begins; no onset reaches across one.
    """
    nuclei = [i for i, phone in enumerate(phones) if is_vowel(phone)]
    starts = [0]
    for left, right in pairwise(nuclei):
        seam = max((s for s in seams if left < s <= right), default=left + 1)
        starts.append(next(s for s in range(seam, right + 1) if _is_onset(phones[s:right])))
    return tuple(starts)


# Letters that may spell a phone; what is not listed costs more, so any spelling can be laid out.
_SPELLING_TABLE = """
AA: a o ah e ea au ho
AE: a ai au
AH: a u o e i ou y oo ai io ia eo ea oe eu ae
AO: o a au aw ou oa al ough augh
AW: ow ou ough au
AY: i y ie igh ye ai ei uy eye
EH: e ea a ai ie ay u ae
ER: er ir ur or ar ear re our yr err urr eur ere r olo
EY: a ai ay ei ey ea eigh aigh e et ae
IH: i y e a ee u ui ie ea ei o
IY: e ee ea y i ie ei ey eo oe ae
OW: o oa ow oe ough ou eau ew oh au
OY: oy oi
UH: oo u ou o
UW: oo u ew ue ou ui o oe eu ough ieu
B: b bb
CH: ch tch t c cz
D: d dd ed ld
DH: th
F: f ff ph gh lf
G: g gg gh gu
HH: h wh j
JH: j g dg dge d gg di ge
K: k c ck ch cc q qu que kh
L: l ll le
M: m mm mb mn lm
N: n nn kn gn pn ne
NG: ng n
P: p pp ph
R: r rr wr rh
S: s ss c sc ce se ps st z
SH: sh s ss t c ti ci ch si sch sci
T: t tt ed th bt pt te
TH: th
V: v f ve vv w
W: w wh u o
Y: y i j u e
Z: z s zz x ss se ze
ZH: s z g si j ge
"""
_SPELLINGS: dict[str, frozenset[str]] = {
    line.partition(": ")[0]: frozenset(line.partition(": ")[2].split())
    for line in _SPELLING_TABLE.strip().splitlines()
}
_PAIRS: dict[str, frozenset[tuple[str, str]]] = {  # letters that spell two phones
    "x": frozenset({("K", "S"), ("G", "Z"), ("K", "SH"), ("G", "ZH")}),
    "u": frozenset({("Y", "UW"), ("Y", "UH"), ("Y", "AH"), ("Y", "ER"), ("W", "AH")}),
    "ew": frozenset({("Y", "UW")}), "ue": frozenset({("Y", "UW")}), "eu": frozenset({("Y", "UW")}),
    "qu": frozenset({("K", "W")}), "o": frozenset({("W", "AH")}), "i": frozenset({("Y", "AH")}),
    "wh": frozenset({("HH", "W")}), "l": frozenset({("AH", "L")}), "m": frozenset({("AH", "M")}),
    "le": frozenset({("AH", "L")}), "zz": frozenset({("T", "S")}), "z": frozenset({("T", "S")}),
    "ng": frozenset({("NG", "G")}), "n": frozenset({("NG", "G")}), "oi": frozenset({("W", "AA")}),
    "ir": frozenset({("AY", "ER")}), "ire": frozenset({("AY", "ER")}),
}  # fmt: skip
_LETTER_VOWELS = frozenset("aeiouyàâäáéèêëíìîïóòôöúùûü")
_LONGEST = 4  # letters to a phone: "ough"


def _cost(letters: str, phone: str) -> float:
    """What it costs to let these letters spell this phone: 0 for a usual spelling."""
    if letters in _SPELLINGS.get(phone, frozenset()):
        return 0.05 * (len(letters) - 1)
    if len(letters) > 1:
        return 9.0
    return 1.5 if (letters in _LETTER_VOWELS) == is_vowel(phone) else 4.0


@lru_cache(maxsize=4096)
def lay_letters(word: str, phones: Phones) -> tuple[tuple[int, int], ...]:
    """For each phone the letters that spell it, as (first, past last) in the word.

    Silent letters stand in no range, a phone without a letter has an empty one; the ranges rise.
    Method: dynamic programming over letters and phones, costs by the usual spellings.
    """
    letters, bare = word.lower(), tuple(p.rstrip("012") for p in phones)
    if len(letters) != len(word):  # a lower case of another length would shift the chunks
        letters = word
    best: dict[tuple[int, int], tuple[float, tuple[tuple[int, int], ...]]] = {(0, 0): (0.0, ())}

    def offer(i: int, j: int, cost: float, ranges: tuple[tuple[int, int], ...]) -> None:
        if (i, j) not in best or cost < best[i, j][0]:
            best[i, j] = (cost, ranges)

    for i in range(len(letters) + 1):
        for j in range(len(bare) + 1):
            if (i, j) not in best:
                continue
            cost, ranges = best[i, j]
            if j < len(bare):
                offer(i, j + 1, cost + 2.5, (*ranges, (i, i)))
            if i < len(letters):
                silent = 0.6 if letters[i] in "eh'-" or letters[i - 1 : i] == letters[i] else 1.2
                offer(i + 1, j, cost + silent, ranges)
            for end in range(i + 1, min(i + _LONGEST, len(letters)) + 1):
                part = letters[i:end]
                if j < len(bare):
                    offer(end, j + 1, cost + _cost(part, bare[j]), (*ranges, (i, end)))
                if bare[j : j + 2] in _PAIRS.get(part, ()):
                    offer(end, j + 2, cost + 0.3, (*ranges, (i, end), (end, end)))
    return best[len(letters), len(bare)][1]


def spelling_chunks(word: str, phones: Phones, starts: tuple[int, ...]) -> tuple[str, ...]:
    """The word's letters cut into one chunk a syllable; joined, they are the word.

    Doubled consonant letters are shared between the syllables, silent letters stay with the left.
    >>> spelling_chunks("umbrella", ("AH0", "M", "B", "R", "EH1", "L", "AH0"), (0, 2, 5))
    ('um', 'brel', 'la')
    """
    ranges = lay_letters(word, phones)
    cuts = [0]
    for start in starts[1:]:
        first, last = ranges[start]
        pair = word[first : min(last, first + 2)].lower()
        doubled = len(pair) == 2 and pair[0] == pair[1] and pair[0] not in _LETTER_VOWELS
        cuts.append(max(first + doubled, cuts[-1]))
    cuts.append(len(word))
    for i in range(len(cuts) - 2, 0, -1):  # no chunk stays empty while a neighbour has letters
        if cuts[i] == cuts[i + 1] and cuts[i] - cuts[i - 1] > 1:
            cuts[i] -= 1
    for i in range(1, len(cuts) - 1):
        if cuts[i] == cuts[i - 1] and cuts[i + 1] - cuts[i] > 1:
            cuts[i] += 1
    return tuple(word[a:b] for a, b in pairwise(cuts))
