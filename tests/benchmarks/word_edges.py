"""Where words begin and end, against speech of which it is known, clean and in noise.

    python -m tests.benchmarks.word_edges [--other]

Speech: our sentences said by festival's joined (ked) and statistical (slt) voices and by espeak-ng,
which tell when each word begins and ends; one hand-labelled ARCTIC sentence. Festival's voices are
Debian packages (festival, festvox-kdlpc16k, festvox-us-slt-hts); without them those rows are
missing. No number of the aligner was chosen on them. `--other` says sentences nobody looked at.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import tempfile
import warnings
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from audio.clip import clip_from_samples
from audio.read_voice import read_voice
from tests.benchmarks.lean import with_noise
from tests.benchmarks.material import SENTENCES, Line, arctic
from tests.references.conftest import fetch_source

FRAME_MS = 1000 / 24
VOICES = {"ked": "voice_ked_diphone", "slt": "voice_cmu_us_slt_arctic_hts"}
OTHER = (  # looked at only afterwards
    "Some people never learn to leave a locked door alone.",
    "The ferry was late again, so we walked along the harbour wall.",
    "Give me the other box, the one with the green ribbon.",
    "Eleven men pulled the heavy cart over the narrow bridge.",
    "I am not saying anything, I am only asking.",
    "She has seen that film more often than any of us.",
    "Please bring an extra apple and a little bread.",
    "Under the old oak tree a fox was sleeping.",
    "The last train to the coast leaves at ten.",
    "Her uncle owned a small shop at the end of our street.",
    "This summer was so short that nobody noticed it.",
    "We all laughed, even the judge at the far end.",
)


def by_festival(voice: str, texts: Sequence[str]) -> list[Line]:
    """Texts said by a voice of festival, with the words' times; none where it is not installed."""
    import soundfile

    if shutil.which("festival") is None:
        return []
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        commands = [f"({VOICES[voice]})"]
        for number, text in enumerate(texts):
            place = f"{folder}/{number}"
            commands.append(
                f'(set! u (utt.synth (Utterance Text "{text}")))(utt.save.words u "{place}.words")'
                f'(utt.save.segs u "{place}.segs")(utt.save.wave u "{place}.wav" (quote riff))'
            )
        script = Path(folder, "say.scm")
        script.write_text("\n".join(commands), "utf-8")
        subprocess.run(["festival", "-b", str(script)], check=False, capture_output=True)
        for number, text in enumerate(texts):
            if not Path(folder, f"{number}.wav").exists():
                continue
            samples, rate_hz = soundfile.read(f"{folder}/{number}.wav")
            spans = _spans(_ends(f"{folder}/{number}.words"), _ends(f"{folder}/{number}.segs"))
            lines.append(Line(voice, text, samples, rate_hz, words_s=tuple(spans)))
    return [line for line in lines if len(line.words_s) == len(line.text.split())]


def _ends(path: str) -> list[tuple[float, str]]:
    rows = [row.split() for row in Path(path).read_text().splitlines() if not row.startswith("#")]
    return [(float(row[0]), row[2]) for row in rows if len(row) == 3]


def _spans(
    words: list[tuple[float, str]], phones: list[tuple[float, str]]
) -> list[tuple[float, float]]:
    """Start and end of each word: it begins where the one before ended, or a silence after it."""
    silent = {
        round(before[0] if n else 0.0, 3): end
        for n, (before, (end, name)) in enumerate(zip([(0.0, ""), *phones], phones, strict=False))
        if name in ("pau", "h#")
    }
    spans, at_s = [], 0.0
    for end_s, _ in words:
        spans.append((silent.get(round(at_s, 3), at_s), end_s))
        at_s = end_s
    return spans


def by_espeak(texts: Sequence[str]) -> list[Line]:
    """Texts said by espeak-ng; a word ends where the next phoneme begins."""
    from tests.benchmarks.espeak import say

    lines = []
    for number, text in enumerate(texts):
        made = say(text, words_per_min=(130, 150, 175)[number % 3])
        length_s = len(made.samples) / made.rate_hz
        starts = [p.start_s for p in made.phonemes] + [length_s]
        spans: dict[int, tuple[float, float]] = {}
        for phoneme, end_s in zip(made.phonemes, starts[1:], strict=True):
            if phoneme.name.strip("_: "):
                first_s = spans.get(phoneme.word, (phoneme.start_s, 0.0))[0]
                spans[phoneme.word] = (first_s, end_s)
        words = tuple(spans[n] for n in sorted(spans))
        lines.append(Line("espeak", text, made.samples, made.rate_hz, words_s=words))
    return [line for line in lines if len(line.words_s) == len(line.text.split())]


def errors_ms(line: Line, snr_db: float | None, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Errors of a line's word starts and ends, ms, signed (late is above 0)."""
    sound = line.samples if snr_db is None else 0.7 * with_noise(line.samples, snr_db, seed)
    words = read_voice(clip_from_samples(sound, line.rate_hz), text=line.text).words
    heard = np.array([(w.start_s, w.end_s) for w in words])
    off = 1000 * (heard - np.array(line.words_s))
    return off[:, 0], off[:, 1]


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table: share within a frame at 24, median and ninth decile, starts and ends."""
    parser = argparse.ArgumentParser(description="Word edges against known ones.")
    parser.add_argument("--other", action="store_true", help="sentences nobody looked at")
    texts = OTHER if parser.parse_args(arguments).other else SENTENCES
    warnings.simplefilter("ignore")
    groups = {name: by_festival(name, texts) for name in VOICES}
    groups |= {"espeak": by_espeak(texts), "ARCTIC": [arctic(fetch_source)]}
    print("| voice | edges | clean | 20 dB | 10 dB |")
    print("|---|---|---|---|---|")
    for name, lines in groups.items():
        columns: list[list[str]] = [[], []]
        for snr_db in (None, 20.0, 10.0) if lines else ():
            both = [errors_ms(line, snr_db, n) for n, line in enumerate(lines)]
            for column, part in zip(columns, zip(*both, strict=True), strict=True):
                off = np.concatenate(part)
                near = np.mean(np.abs(off) <= FRAME_MS)
                median, ninth = np.percentile(np.abs(off), (50, 90))
                column.append(f"{near:.3f} ({median:.0f}, {ninth:.0f} ms; {np.median(off):+.0f})")
        for kind, cells in zip(("starts", "ends"), columns, strict=True):
            if cells:
                print(f"| {name} | {kind} | {' | '.join(cells)} |", flush=True)


if __name__ == "__main__":
    main()
