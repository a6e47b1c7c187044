"""Where words went when a text changed: the user's decisions follow theirs.

Conventions: words are compared bare and without case. Known are some of the old words, each with
its old position (0-based); the new text is known whole. Method: among all ways to give the old
words new places in the same order, the one that places most of them; of these the one whose shift
changes least from word to word (an inserted word moves all that follow alike), then the one
nearest the old positions. Dynamic programming over the candidates of each word.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.scene.words import bare

OldWord = tuple[int, str]  # position, text
_Cost = tuple[int, int, int]  # not placed, changes of the shift, distance


def same_word(a: str | None, b: str | None) -> bool:
    """Whether two words are the same apart from case and marks around them."""
    return a is not None and b is not None and bare(a).casefold() == bare(b).casefold()


def new_places(old: Sequence[OldWord], words: Sequence[str]) -> dict[int, int]:
    """Old position -> new position of the words that are still there. `old` in rising order."""
    where: dict[str, list[int]] = {}
    for j, word in enumerate(words):
        where.setdefault(bare(word).casefold(), []).append(j)
    # state: (last new place or -1, last shift) -> (cost, chosen places)
    states: dict[tuple[int, int], tuple[_Cost, tuple[tuple[int, int], ...]]] = {
        (-1, 0): ((0, 0, 0), ())
    }
    last_old = None
    for i, text in old:
        if i == last_old:
            continue
        last_old = i
        following: dict[tuple[int, int], tuple[_Cost, tuple[tuple[int, int], ...]]] = {}
        for (place, shift), ((lost, turns, far), chosen) in states.items():
            _offer(following, (place, shift), ((lost + 1, turns, far), chosen))
            for j in where.get(bare(text).casefold(), ()):
                if j > place:
                    cost = (lost, turns + abs(j - i - shift), far + abs(j - i))
                    _offer(following, (j, j - i), (cost, (*chosen, (i, j))))
        states = following
    return dict(min(states.values())[1])


def _offer(
    states: dict[tuple[int, int], tuple[_Cost, tuple[tuple[int, int], ...]]],
    key: tuple[int, int],
    value: tuple[_Cost, tuple[tuple[int, int], ...]],
) -> None:
    if key not in states or value < states[key]:
        states[key] = value
