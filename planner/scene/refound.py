"""Beats and cues find their words again after a text was changed.

    found = refound(scene)       # on the words their `said` names, wherever these stand now
    kept = guarded(scene, old)   # what is new against `old`, or on other words, gets its `said`

Conventions: `said` holds a beat's first and last word (or all of them), a cue's one word, as they
read when the tag was made. Where the numbers and `said` agree nothing is done. Where they do not,
the words are looked for by the diff that decisions use (`planner.scene.word_diff`), all tags of a
line together. Whatever moves, or cannot be found, is said in `Scene.moved`: never in silence.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.scene.data import Beat, Cue, Line, Scene
from planner.scene.word_diff import OldWord, new_places, same_word
from planner.scene.words import words_of

Tag = Beat | Cue


def refound(scene: Scene) -> Scene:
    """The scene with its beats and cues on the words they were made for; `moved` tells which."""
    tags: tuple[Tag, ...] = (*scene.beats, *scene.cues)
    guarded_lines = {tag.line for tag in tags if tag.said and tag.line}
    beats, cues = list(scene.beats), list(scene.cues)
    told: list[str] = []
    for number in sorted(guarded_lines):
        line = scene.lines[number - 1]
        words = words_of(line)
        marks = [m for tag in tags if tag.line == number for m in _marks(tag)]
        if not words or all(_stands(mark, words) for mark in marks):
            continue
        places = new_places(sorted(dict(marks).items()), words)
        for k, beat in enumerate(beats):
            if beat.line == number and beat.said and beat.words:
                beats[k] = _beat(beat, places, line, k, told)
        for k, cue in enumerate(cues):
            if cue.line == number and cue.said:
                cues[k] = _cue(cue, places, line, k, told)
    if not told:
        return scene
    return replace(scene, beats=tuple(beats), cues=tuple(cues), moved=tuple(told))


def guarded(scene: Scene, old: Scene | None = None) -> Scene:
    """The scene with a `said` on each beat and cue that lies on other words than in `old`.

    Tags that stay on their words are left as the user wrote them; a tag whose words are gone
    keeps what it was made for, so that it finds them again when they come back.
    """
    before: tuple[Tag, ...] = (*old.beats, *old.cues) if old else ()
    known = {(type(tag), tag.line, _span(tag)) for tag in before}

    def of(tag: Tag) -> tuple[str, ...]:
        line = scene.lines[tag.line - 1] if tag.line else None
        if line is None or (type(tag), tag.line, _span(tag)) in known or _is_lost(tag, line):
            return tag.said
        return said_by(line, _span(tag))

    return replace(
        scene,
        beats=tuple(replace(beat, said=of(beat)) for beat in scene.beats),
        cues=tuple(replace(cue, said=of(cue)) for cue in scene.cues),
    )


def said_by(line: Line, span: tuple[int, int] | None) -> tuple[str, ...]:
    """The first and last of some words of a line, bare; none where the line lacks them."""
    words = words_of(line)
    if span is None or not 1 <= span[0] <= span[1] <= len(words):
        return ()
    ends = tuple(words[i - 1] for i in dict.fromkeys(span))
    return ends if all(word.isprintable() for word in ends) else ()


def _span(tag: Tag) -> tuple[int, int] | None:
    return (tag.word, tag.word) if isinstance(tag, Cue) else tag.words


def _marks(tag: Tag) -> list[OldWord]:
    """The positions (from 0) that a tag's `said` speaks of, with the words."""
    span = _span(tag)
    if not tag.said or span is None:
        return []
    first, last = span[0] - 1, span[1] - 1
    if len(tag.said) == last - first + 1:
        return list(enumerate(tag.said, start=first))
    return [(first, tag.said[0]), (last, tag.said[-1])]


def _stands(mark: OldWord, words: Sequence[str]) -> bool:
    return mark[0] < len(words) and same_word(words[mark[0]], mark[1])


def _is_lost(tag: Tag, line: Line) -> bool:
    """Whether nothing of what a tag was made for is said any more."""
    words = words_of(line)
    return bool(tag.said) and not any(same_word(a, b) for a in tag.said for b in words)


def _beat(beat: Beat, places: dict[int, int], line: Line, k: int, told: list[str]) -> Beat:
    found = [places[i] + 1 for i, _ in _marks(beat) if i in places]
    name = f"beat {k + 1} ({beat.intent})"
    if not found:
        return _lost(beat, line, name, told)
    words = (found[0], found[-1])
    if words != beat.words:
        told.append(
            f"{name} follows its words in line {line.id}: {_numbers(beat.words)} became "
            f"{_numbers(words)} ({_quoted(said_by(line, words))})"
        )
    return replace(beat, words=words)


def _lost(beat: Beat, line: Line, name: str, told: list[str]) -> Beat:
    """A beat whose words are gone plays over what stands in their place, if anything does."""
    count = len(words_of(line))
    first, last = beat.words or (1, count)
    words = (min(first, count), min(last, count))
    told.append(
        f"{name} was made for {_quoted(beat.said)}, which line {line.id} no longer says; it plays "
        f"over {_numbers(words)} ({_quoted(said_by(line, words))}): tag it again"
    )
    return replace(beat, words=words)


def _cue(cue: Cue, places: dict[int, int], line: Line, k: int, told: list[str]) -> Cue:
    place = places.get(cue.word - 1)
    count = len(words_of(line))
    word = min(cue.word, count) if place is None else place + 1
    if place is None:
        told.append(
            f"cue {k + 1} hears {_quoted(cue.said)}, which line {line.id} no longer says; it "
            f"answers word {word} ({_quoted(said_by(line, (word, word)))}): correct hears:"
        )
    elif word != cue.word:
        told.append(
            f"cue {k + 1} follows its word {_quoted(cue.said)} in line {line.id}: word {cue.word} "
            f"became {word}"
        )
    return replace(cue, word=word)


def _numbers(words: tuple[int, int] | None) -> str:
    if words is None:
        return "all words"
    return f"word {words[0]}" if words[0] == words[1] else f"words {words[0]}-{words[1]}"


def _quoted(words: Iterable[str]) -> str:
    return '"' + " ... ".join(words) + '"'
