"""Words and beats as cues of a WebVTT file (W3C), to see over the sound in any player.

Times are seconds from the first frame shown, as heard (not put on frames). A word's cue is named
`word LINE/NUMBER` and stands at the bottom with its speaker as its voice; a beat's is named
`beat NUMBER` and stands at the top.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.export.facts import ShotFacts
from planner.export.plain import one_line

SHORTEST_S = 0.001  # a cue ends after it begins


def captions_vtt(facts: ShotFacts) -> str:
    """The file's text."""
    start_s = facts.clock.scene_s(facts.frames[0])
    end_s = facts.clock.scene_s(facts.frames[1] + 1)
    cues = sorted([*_words(facts), *_beats(facts)], key=lambda c: (c[0], c[1], c[2]))
    blocks = ["WEBVTT", f"NOTE\n{_plain(facts.title)}, frames {facts.frames[0]}-{facts.frames[1]}"]
    for first_s, last_s, name, settings, text in cues:
        begin_s, stop_s = max(first_s, start_s) - start_s, min(last_s, end_s) - start_s
        if stop_s > 0 and first_s < end_s:
            stop_s = max(stop_s, begin_s + SHORTEST_S)
            blocks.append(f"{name}\n{_time(begin_s)} --> {_time(stop_s)}{settings}\n{text}")
    return "\n\n".join(blocks) + "\n"


Cue = tuple[float, float, str, str, str]


def _words(facts: ShotFacts) -> Iterator[Cue]:
    for line in facts.scene.lines:
        if facts.who in (None, line.who) and line.number in facts.heard:
            for number, word in enumerate(facts.heard[line.number].words, start=1):
                yield (
                    line.at_s + word.start_s, line.at_s + word.end_s,
                    f"word {line.number}/{number}", "",
                    f"<v {_voice(line.who)}>{_text(word.text)}</v>",
                )  # fmt: skip


def _beats(facts: ShotFacts) -> Iterator[Cue]:
    for b in facts.beats:
        text = f"{b.text}: {b.beat.note}" if b.beat.note else b.text
        yield (
            facts.clock.scene_s(b.frames[0]), facts.clock.scene_s(b.frames[1] + 1),
            f"beat {b.number}", " line:0", f"<v {_voice(b.beat.who)}>{_text(text)}</v>",
        )  # fmt: skip


def _plain(text: str) -> str:
    """One line that holds no arrow, which would end a note or begin a cue."""
    return one_line(text).replace("-->", "--)")


def _text(text: str) -> str:
    """A cue's text: the characters that would begin a tag or an entity are written as entities."""
    return one_line(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _voice(text: str) -> str:
    """A voice's name, which ends at the first ">"."""
    return one_line(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") or "?"


def _time(seconds: float) -> str:
    """hh:mm:ss.ttt"""
    ms = round(seconds * 1000)
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"
