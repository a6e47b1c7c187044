"""How likely a word is to bear a sentence accent before anything is heard, as log-odds.

Content words usually bear one, words of grammar rarely; common verbs, counting words and
words that already came up stand between. It is a prior and no more: `stress` lets it fade as the
sound gets clear, so that a word of grammar can win ("I AM going").

Method: word classes and their order after the accent ratio of single words in American read news
(Nenkova et al. 2007, NAACL: one ratio a word beat part of speech, frequency and position); a word
said again is accented less often (given against new: Brown 1983; Hirschberg 1993, Artificial
Intelligence 63). The classes are ours, the figures are rounded and common practice. For
Spanish, German, French and Italian the words of grammar are listed and everything else is content
(common knowledge of these languages); in others every word has the same prior.
"""

from __future__ import annotations

from collections.abc import Sequence

from audio.stress.grammar_words import GRAMMAR

BOUND = -2.2  # log-odds: articles, prepositions, auxiliaries, weak pronouns
LOOSE = -0.9  # log-odds: longer prepositions and conjunctions, question words, full pronouns
COMMON = 0.1  # log-odds: common verbs and adverbs, which lean on a neighbour
CONTENT = 1.0  # log-odds: everything else
POINTED = 1.1  # log-odds: negation, number, contrast
SAID_AGAIN = -0.5  # log-odds added to a content word heard less than MEMORY words ago
MEMORY = 25  # words

_BOUND = """a an the of to and in for on at by from with as or if is are was were be been am 's 'm
're 've 'd 'll has have had do does did can could will would shall should may might must i you he
it we they she me him us them my your his her its our their that than but there who so up out
i'm i've i'd i'll you're you've you'd you'll he's he'd he'll she's she'd she'll it's it'd it'll
we're we've we'd we'll they're they've they'd they'll that's that'll there's who's let's what's
'em 'cause gonna gotta wanna oh uh um er mister mrs mr miss saint got get"""
_LOOSE = """this these those when while where what which whose whom why how because though although
until till unless since before after about into onto upon over under through between among against
without within during across along around behind beside near off down away back then now here mine
yours ours theirs herself himself itself myself yourself themselves ourselves some any such too
just like toward towards per via else other one ones been being having doing going cannot yet nor
whether whenever wherever let ought need used well"""
_COMMON = """say says said saying go goes went gone come comes came coming take takes took taken
taking give gives gave given make makes made making know knows knew known think thinks thought
want wants wanted see sees saw seen look looks looked looking tell tells told find found put puts
keep keeps kept leave left seem seems seemed become became got getting call called ask asked
thing things people way time man day quite very much many more most even still also again always
ever often perhaps maybe really rather only same own thing something anything everything someone
anyone everyone somebody anybody everybody lot bit please sir madam yeah right mean means sure"""
_POINTED = """no not never none nothing nobody neither nowhere yes both all each every first last
only two three four five six seven eight nine ten eleven twelve hundred thousand million half too
either exactly absolutely utterly"""

_CLASSES = (
    (_POINTED, POINTED),
    (_COMMON, COMMON),
    (_LOOSE, LOOSE),
    (_BOUND, BOUND),
)
_TABLE = {word: weight for words, weight in _CLASSES for word in words.split()}


def plain(word: str) -> str:
    """A word in lower case without the marks around it: `"Am,` -> `am`."""
    return word.lower().replace("\u2019", "'").strip(' \t.,;:!?"()[]{}*_-\u2014\u2026\u201c\u201d')


def is_grammar(word: str) -> bool:
    """Whether a word belongs to the grammar rather than to what is talked about."""
    return word_weight(word) < COMMON


def word_weight(word: str, language: str = "en") -> float:
    """Log-odds that a word bears an accent, from its spelling alone.

    language : a code of two letters, or with a region ("fr-ca"), which makes no difference.

    >>> word_weight("the") < word_weight("because") < word_weight("umbrella")
    True
    """
    spelled = plain(word)
    if (base := language.partition("-")[0]) != "en":
        return BOUND if spelled.strip("'") in GRAMMAR.get(base, ()) else CONTENT
    if spelled.endswith("n't"):
        return COMMON
    return _TABLE.get(spelled, _TABLE.get(spelled.replace("in'", "ing"), CONTENT))


def word_weights(texts: Sequence[str], language: str = "en") -> list[float]:
    """Log-odds of every word of a line, lower for a content word that was said shortly before."""
    weights: list[float] = []
    last_seen: dict[str, int] = {}
    for index, text in enumerate(texts):
        weight, spelled = word_weight(text, language), plain(text)
        if weight >= COMMON and index - last_seen.get(spelled, -MEMORY) < MEMORY:
            weight += SAID_AGAIN
        last_seen[spelled] = index
        weights.append(weight)
    return weights
