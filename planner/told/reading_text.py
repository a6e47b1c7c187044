"""A reading as text for a terminal: phrases first, then the syllables with what makes them heard.

No computation beyond wording; numbers are the reading's own.
"""

from __future__ import annotations

import math

from rich.console import Console
from rich.table import Table
from rich.text import Text

from audio.reading import Phrase, Speaker, Syllable, VoiceReading

LEGEND = (
    "weight: 0 to 1; height: semitones (st) over the speaker's median; made by: what speaks for\n"
    "(+) or against (-) a stress, in the model's own units; dictionary: the word alone, unheard"
)
MARKS = {"strong": "●", "light": "○", "none": ""}
STYLES = {"strong": "bold", "light": "", "none": "dim"}


def print_reading(reading: VoiceReading, console: Console | None = None) -> None:
    """Print a reading on standard output."""
    from planner.streams import say
    from planner.told.shown_console import console as plain_console

    out = console or plain_console()
    clip, speaker = reading.clip, reading.speaker
    out.print(
        f"{clip.file}  {clip.duration_s:.2f} s  {_pitch_range(speaker)}  "
        f"{speaker.syllables_per_s:.1f} syllables a second"
    )
    for number, phrase in enumerate(reading.phrases, start=1):
        out.print()
        out.print(_phrase_head(number, phrase))
        out.print(_phrase_words(reading, phrase))
        out.print(_syllable_table(reading, phrase))
    if reading.phrases:
        out.print()
        out.print(Text(LEGEND, style="dim"))
    for line in _between(reading):
        out.print(line)
    for warning in reading.warnings:
        say(f"note: {warning}")


def _pitch_range(speaker: Speaker) -> str:
    if speaker.pitch_median_hz <= 0:
        return "no pitch: whispered or unvoiced"
    return (
        f"pitch {speaker.pitch_low_hz:.0f}-{speaker.pitch_high_hz:.0f} Hz, "
        f"median {speaker.pitch_median_hz:.0f}"
    )


def _phrase_head(number: int, phrase: Phrase) -> Text:
    verb = {"fall": "falls", "rise": "rises", "level": "stays level"}[phrase.ending]
    text = f"phrase {number}  {phrase.start_s:.2f}-{phrase.end_s:.2f} s  {verb}"
    if phrase.ending != "level":
        text += f" {abs(phrase.ending_semitones):.1f} semitones at its end"
    return Text(text, style="bold")


def _phrase_words(reading: VoiceReading, phrase: Phrase) -> Text:
    first, last = phrase.syllables
    line, word = Text(), None
    for syllable in reading.syllables[first : last + 1]:
        if line.plain and (syllable.word is None or syllable.word != word):
            line.append(" ")
        elif line.plain and _is_number(reading, syllable) and not line.plain.endswith("-"):
            line.append("-")  # sev-en-fif-teen of 7:15: no word that a reader knows
        word = syllable.word
        text = syllable.text or "~"
        line.append(
            text.upper() if syllable.degree == "strong" else text, style=STYLES[syllable.degree]
        )
    return line


def _is_number(reading: VoiceReading, syllable: Syllable) -> bool:
    """Whether a syllable belongs to a word that is written in figures."""
    word = syllable.word
    return word is not None and any(c.isdigit() for c in reading.words[word].text)


def _syllable_table(reading: VoiceReading, phrase: Phrase) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in ("vowel at", "syllable", "stress", "weight", "height", "made by"):
        figures = heading in ("vowel at", "weight", "height")
        table.add_column(
            heading, justify="right" if figures else "left", header_style="dim", no_wrap=True
        )
    first, last = phrase.syllables
    for index in range(first, last + 1):
        syllable = reading.syllables[index]
        mark = f"{MARKS[syllable.degree]} {syllable.degree}" if syllable.degree != "none" else ""
        if index == phrase.strongest_syllable:
            mark += " main"
        elif index in phrase.leaned_syllables:
            mark += " leaned on too"
        table.add_row(
            f"{syllable.nucleus_s:.3f} s", syllable.text or "~", mark,
            f"{syllable.prominence:.2f}", height_text(reading, syllable), _made_by(syllable),
            style=STYLES[syllable.degree],
        )  # fmt: skip
    return table


def height_text(reading: VoiceReading, syllable: Syllable) -> str:
    """The syllable's median pitch in semitones over the speaker's median, or "-"."""
    times = reading.pitch.times_s()
    inside = (times >= syllable.nucleus_s) & (times < syllable.end_s)
    voiced = sorted(v for v in reading.pitch.hz[inside].tolist() if not math.isnan(v))
    if not voiced or not reading.speaker.pitch_median_hz:
        return "-"
    median = voiced[len(voiced) // 2]
    return f"{12.0 * math.log2(median / reading.speaker.pitch_median_hz):+.1f} st"


def _made_by(syllable: Syllable) -> str:
    because = syllable.because
    parts = [
        ("pitch", because.pitch), ("loudness", because.loudness),
        ("length", because.length), ("dictionary", because.lexicon),
    ]  # fmt: skip
    shown = [f"{name} {value:+.2f}" for name, value in parts if abs(value) >= 0.05]
    return ", ".join(shown)


def _between(reading: VoiceReading) -> list[str]:
    lines = [""] if reading.pauses or reading.events else []
    lines += [f"pause   {p.start_s:.2f}-{p.end_s:.2f} s" for p in reading.pauses]
    lines += [
        f"{e.kind:<7} {e.start_s:.2f}-{e.end_s:.2f} s  certainty {e.certainty:.2f}"
        for e in reading.events
    ]
    audible = [g for g in reading.glides if g.audible]
    if audible:
        lines.append("")
    for glide in audible:
        said = [reading.syllables[i].text or "~" for i in glide.syllables]
        lines.append(
            f"{glide.shape:<7} {glide.start_s:.2f}-{glide.end_s:.2f} s  "
            f"{glide.semitones:+.1f} semitones  {' '.join(said)}"
        )
    return lines
