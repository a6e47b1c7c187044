r"""The tagged script, Markdown or plain text; `planner.bring_in.script` reads it back.

    # The Lost Umbrella

    Rate 24. First frame 1001. On ones.

    **clerk** (id third; sound clerk_01.flac; at 1001): {teasing 0.7 toward visitor: enjoys it}
    That is the third {visitor reacts surprised} {amused 0.4} umbrella this week.

    **clerk**: {curious 0.4 on 1122-1145}

A paragraph is a line: who speaks, in brackets what only the scene file needs, the words. A tag in
braces says what the words after it are played as, until the next tag: intent, strength (1 if not
said), toward whom, after a colon a note; `{}` plays neutral again. `NAME plays ...` is a beat of
somebody else, `NAME reacts ...` what that one answers to the word before with. A tag with
`on FRAMES` belongs to frames, not words. A backslash takes the meaning from the character after it.
Everything else of a scene (decisions, poses, notes) stays in the scene file.
"""

from __future__ import annotations

import re

from audio.words.transcript import read_transcript
from planner.export.facts import ShotFacts
from planner.export.plain import one_line
from planner.scene import Beat, Cue, Line, Scene
from planner.scene.text.yaml_text import decimal_text

# What Markdown takes for markup, beside what tags are made of.
_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#&|~])")
_PLAIN = re.compile(r"([\\{}])")
STEPS = {1: "On ones.", 2: "On twos.", 3: "On threes.", 4: "On fours."}


def script_text(facts: ShotFacts, *, markdown: bool) -> str:
    """The script of the scene; lines outside the frames shown are left out."""
    return ScriptWriter(markdown).scene(
        facts.scene,
        {line.number for line in facts.laid.between(*facts.frames) if line.who in facts.characters},
    )


class ScriptWriter:
    """Writes a scene as a script."""

    def __init__(self, markdown: bool) -> None:
        self.markdown = markdown

    def scene(self, scene: Scene, shown: set[int] | None = None) -> str:
        """All lines, or those whose numbers are in `shown`, and the beats between them."""
        title = self._escape(one_line(scene.title) or "Untitled")
        clock = scene.clock
        step = STEPS.get(clock.step, f"On every {clock.step} frames.")
        head = f"# {title}" if self.markdown else f"{title}\n{'=' * max(3, len(title))}"
        told = [f"Rate {clock.rate}.", f"First frame {clock.first_frame}.", step]
        paragraphs = [head, " ".join(told)]
        entries: list[tuple[float, str]] = [
            (line.at_s, self.line(scene, line))
            for line in scene.lines
            if shown is None or line.number in shown
        ]
        entries += [
            (clock.scene_s(beat.frames[0]), self._on_frames(scene, beat))
            for beat in scene.beats
            if beat.frames and (shown is None or beat.line is None or beat.line in shown)
        ]
        paragraphs += [text for _, text in sorted(entries, key=lambda e: e[0])]
        return "\n\n".join(paragraphs) + "\n"

    def line(self, scene: Scene, line: Line) -> str:
        """A line as a paragraph."""
        facts = [f"id {line.id}"] if line.id != str(line.number) else []
        facts += [f"sound {line.sound}", f"at {line.at_text or scene.clock.frame_at(line.at_s)}"]
        if line.clip_s:
            first_s, last_s = (decimal_text(t) for t in line.clip_s)
            facts.append(f"clip {first_s}s-{last_s}s")
        told = "; ".join(self._fact(f) for f in facts)
        words = self._tagged(scene, line) if line.say else ""
        return f"{self._who(line.who)} ({told}): {words}".rstrip()

    def _who(self, who: str) -> str:
        name = self._escape(one_line(who)).replace(":", "\\:").replace("(", "\\(")
        if not self.markdown:
            name = name.replace("*", "\\*")
        return f"**{name}**" if self.markdown else name

    def _fact(self, text: str) -> str:
        return self._escape(one_line(text)).replace(";", "\\;").replace(")", "\\)")

    def _tagged(self, scene: Scene, line: Line) -> str:
        """The words with their tags before them."""
        text = " ".join((line.say or "").split())
        places = word_places(text)
        tags: list[tuple[int, int, str]] = []  # place, order there, tag
        own = [b for b in scene.beats if b.line == line.number and b.words]
        for beat in own:
            first, last = beat.words or (1, 1)
            if not 1 <= first <= last <= len(places):
                continue
            tags.append((places[first - 1][0], 2, self._tag(beat, speaker=line.who)))
            begun = {b.words[0] for b in own if b.words}
            if last < len(places) and last + 1 not in begun:
                tags.append((places[last][0], 1, "{}"))
        for cue in scene.cues:
            if cue.line == line.number and 1 <= cue.word <= len(places):
                tags.append((places[cue.word - 1][1], 0, self._reaction(cue)))
        return self._woven(text, sorted(tags))

    def _woven(self, text: str, tags: list[tuple[int, int, str]]) -> str:
        pieces, position = [], 0
        for place, order, tag in tags:
            pieces.append(self._escape(text[position:place]))
            pieces.append(f" {tag}" if order == 0 else f"{tag} ")
            position = place
        return " ".join("".join([*pieces, self._escape(text[position:])]).split())

    def _tag(self, beat: Beat, *, speaker: str) -> str:
        words = [self._inner(beat.intent)]
        if beat.strength != 1.0:
            words.append(f"{beat.strength:g}")
        if beat.toward:
            words.append(f"toward {self._inner(beat.toward)}")
        if beat.frames:
            words.append(f"on {beat.frames[0]}-{beat.frames[1]}")
        note = f": {self._inner(beat.note, note=True)}" if beat.note else ""
        who = f"{self._inner(beat.who)} plays " if beat.who != speaker else ""
        return "{" + who + " ".join(words) + note + "}"

    def _reaction(self, cue: Cue) -> str:
        strength = f" {cue.strength:g}" if cue.strength != 1.0 else ""
        return "{" + f"{self._inner(cue.who)} reacts {self._inner(cue.intent)}{strength}" + "}"

    def _on_frames(self, scene: Scene, beat: Beat) -> str:
        return f"{self._who(beat.who)}: {self._tag(beat, speaker=beat.who)}"

    def _inner(self, text: str, *, note: bool = False) -> str:
        """A text inside a tag, where a colon ends the names."""
        escaped = self._escape(one_line(text))
        return escaped if note else escaped.replace(":", "\\:")

    def _escape(self, text: str) -> str:
        return (_MARKDOWN if self.markdown else _PLAIN).sub(r"\\\1", text)


def word_places(text: str) -> list[tuple[int, int]]:
    """Where each spoken word of a text begins and ends (its outer punctuation included)."""
    places: list[tuple[int, int]] = []
    position = 0
    for word in read_transcript(text).words:
        start = _find(text, word, position)
        end = start + len(word)
        while end < len(text) and not text[end].isspace() and not text[end].isalnum():
            if text[end] in "-\u2014\u2013([{<*/":
                break
            end += 1
        begin = start
        while begin > position and not text[begin - 1].isspace() and not text[begin - 1].isalnum():
            if text[begin - 1] in "-\u2014\u2013)]}>*/.!?,;:\u2026":
                break
            begin -= 1
        places.append((begin, end))
        position = end
    return places


def _find(text: str, word: str, position: int) -> int:
    """Where a word stands next, brackets (directions to the speaker) skipped."""
    for match in re.finditer(re.escape(word), text):
        if match.start() >= position and not _bracketed(text, match.start()):
            return match.start()
    return position


def _bracketed(text: str, place: int) -> bool:
    return any(
        text.rfind(opening, 0, place) > text.rfind(closing, 0, place) and closing in text[place:]
        for opening, closing in ("[]", "()", "<>", "{}")
    )
