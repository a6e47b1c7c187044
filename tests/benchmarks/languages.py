"""Other languages than English, against recorded speech and against voices of known times.

    python -m tests.benchmarks.languages [FOLDER] [--lines N]

Recorded: the telephone prompts of Debian's asterisk-core-sounds-{es,fr,en} and -{es,fr,en}-wav
(CC BY-SA; one reader each, 8 kHz), with their texts; FOLDER is where their files lie (default /).
Asked is whether the right text fits better than the text of another line as long (AUC of the mean
confidence; 0.5 is chance), and how well syllables counted with and without the text agree; the
Spanish text is written without some accents, which moves stresses but no syllables. Known times:
festival's Italian joined voice (festvox-italp16k), and for all four another voice of espeak-ng
itself, which is the same synthesiser and flatters. German has nobody recorded here.
"""

from __future__ import annotations

import argparse
import gzip
import random
import re
import warnings
from pathlib import Path

import numpy as np
from scipy import stats

from audio.clip import clip_from_samples, load_clip
from audio.languages.espeak import synthesise
from audio.languages.foreign_words import align_foreign, pronounce_foreign
from audio.read_voice import read_voice
from tests.benchmarks import word_edges
from tests.benchmarks.lean import with_noise

RECORDED = {"es": "es_MX_f_Allison", "fr": "fr_CA_f_June", "en": "en_US_f_Allison"}
FRAME_S = 1 / 24
SAID = {
    "es": ("Ma\u00f1ana por la ma\u00f1ana iremos todos juntos al mercado.",
           "La puerta del jard\u00edn estaba abierta cuando llegamos.",
           "No s\u00e9 qui\u00e9n ha dejado este paquete en la mesa."),
    "de": ("Morgen fr\u00fch gehen wir alle zusammen auf den Markt.",
           "Die T\u00fcr zum Garten stand offen, als wir ankamen.",
           "Ich wei\u00df nicht, wer dieses Paket auf den Tisch gelegt hat."),
    "fr": ("Demain matin nous irons tous ensemble au march\u00e9.",
           "La porte du jardin \u00e9tait ouverte quand nous sommes arriv\u00e9s.",
           "Je ne sais pas qui a laiss\u00e9 ce paquet sur la table."),
    "it": ("Domani mattina andremo tutti insieme al mercato.",
           "La porta del giardino era aperta quando siamo arrivati.",
           "Non so chi ha lasciato questo pacco sul tavolo."),
}  # fmt: skip


def recorded(root: Path, language: str, count: int) -> list[tuple[Path, str]]:
    """Sound files and texts, of 5 to 14 words, drawn by lot."""
    name = f"asterisk-core-sounds-{language}/core-sounds-{language}.txt.gz"
    table = root / "usr/share/doc" / name
    folder = root / "usr/share/asterisk/sounds" / RECORDED[language]
    if not table.exists():
        return []
    rows = gzip.decompress(table.read_bytes()).decode("utf-8", "replace").splitlines()
    found = []
    for row in rows:
        key, _, text = row.partition(":")
        path = folder / f"{key.strip()}.wav"
        if path.exists() and 5 <= len(text.split()) <= 14 and not re.search(r"[\[(\d<;]", text):
            found.append((path, text.strip()))
    random.Random(7).shuffle(found)
    return found[:count]


def recorded_row(root: Path, language: str, count: int) -> str:
    """AUC right against wrong text, and agreement of syllable counts."""
    lines = recorded(root, language, count)
    if not lines:
        return f"| {language}, recorded | not installed | |"
    right, wrong, told, alone = [], [], [], []
    for path, text in lines:
        clip = load_clip(path)
        others = [t for _, t in lines if t != text]
        other = min(others, key=lambda t: abs(len(t) - len(text)))
        reading = read_voice(clip, text=text, language=language)
        right.append(np.mean([w.confidence for w in reading.words]))
        misread = read_voice(clip, text=other, language=language)
        wrong.append(np.mean([w.confidence for w in misread.words]))
        told.append(len(reading.syllables))
        alone.append(len(read_voice(clip).syllables))
    area = float(np.mean(np.array(right)[:, None] > np.array(wrong)[None, :]))
    own = float(np.mean(np.array(right) > np.array(wrong)))
    r = stats.pearsonr(told, alone).statistic
    off = 100 * np.mean(np.abs(np.array(told) - alone) / np.array(told))
    return (
        f"| {language}, recorded, {len(lines)} lines | right text fits better {100 * own:.0f} %, "
        f"AUC {area:.2f} | syllables r {r:.2f}, off {off:.0f} % |"
    )


def espeak_row(language: str) -> str:
    """Phones of another voice of espeak-ng, share within a frame at 24, clean and at 10 dB."""
    cells = []
    for snr_db in (None, 10.0):
        off: list[float] = []
        for seed, text in enumerate(SAID[language]):
            voice = synthesise(text, f"{language}+f2", words_a_minute=120)
            sound = np.pad(voice.samples.astype(float), voice.rate_hz // 3)
            sound = sound if snr_db is None else 0.7 * with_noise(sound, snr_db, seed)
            reading = align_foreign(
                clip_from_samples(sound, voice.rate_hz), pronounce_foreign(text, language).words
            )
            heard = [phone.start_s for word in reading.words for phone in word.phones]
            truth = [phone.start_s + 1 / 3 for phone in voice.phones if phone.phone]
            off += np.abs(np.array(heard) - truth).tolist()
        cells.append(f"{np.mean(np.array(off) <= FRAME_S):.2f}")
    return f"| {language}, espeak-ng's other voice | phones within a frame | {' / '.join(cells)} |"


def festival_row() -> str:
    """Word starts and ends of a joined Italian voice within a frame, clean and at 10 dB."""
    word_edges.VOICES["it"] = "voice_lp_diphone"
    lines = word_edges.by_festival("it", SAID["it"])
    if not lines:
        return "| it, festival | not installed | |"
    cells = []
    for snr_db in (None, 10.0):
        off: list[float] = []
        for seed, line in enumerate(lines):
            sound = line.samples if snr_db is None else 0.7 * with_noise(line.samples, snr_db, seed)
            clip = clip_from_samples(sound, line.rate_hz)
            words = read_voice(clip, text=line.text, language="it").words
            heard = np.array([(w.start_s, w.end_s) for w in words])
            off += np.abs(heard - np.array(line.words_s)).ravel().tolist()
        cells.append(f"{np.mean(np.array(off) <= FRAME_S):.2f} ({1000 * np.median(off):.0f} ms)")
    return f"| it, festival, {len(lines)} lines | word edges within a frame | {' / '.join(cells)} |"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Other languages, measured.")
    parser.add_argument("folder", nargs="?", default="/")
    parser.add_argument("--lines", type=int, default=40)
    chosen = parser.parse_args()
    warnings.simplefilter("ignore")
    print("| speech | what | clean / 10 dB |\n|---|---|---|")
    for language in RECORDED:
        print(recorded_row(Path(chosen.folder), language, chosen.lines), flush=True)
    print(festival_row(), flush=True)
    for language in SAID:
        print(espeak_row(language), flush=True)


if __name__ == "__main__":
    main()
