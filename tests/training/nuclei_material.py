"""Speech whose vowels are known, for tests.training.nuclei: made on the spot, none of it shipped.

Festival's diphone voices are recordings of people, one voice each, joined to sentences of ours, and
it tells when each phone begins; so do flite's awb and rms, statistical models of two readers, and
espeak-ng, a formant synthesiser of many voices and languages. Needs (Debian) flite, festival and
festvox-kallpc16k, -kdlpc16k, -italp16k, -itapc16k, -suopuhe-lj, -suopuhe-mv, -czech-dita,
-czech-krb, -czech-machac, -czech-ph, -ca-ona-hts, -hi-nsk, -ru; and espeakng-loader. Run from a
checkout, whose benchmarks know how to ask espeak-ng.

Left out on purpose, to measure by: espeak-ng's en-us, the voice slt, all natural recordings.
"""

from __future__ import annotations

import ctypes
import random
import subprocess
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ
from tests.training.nuclei_sentences import LANGUAGES, SENTENCES

FloatArray = NDArray[np.float32]
Span = tuple[float, float]
ENGLISH_FESTIVAL = ("kal_diphone", "ked_diphone")
FLITE = ("cmu_us_awb", "cmu_us_rms")
FESTIVAL = {
    "lp_diphone": "it", "pc_diphone": "it", "suo_fi_lj_diphone": "fi", "hy_fi_mv_diphone": "fi",
    "czech_dita": "cs", "czech_krb": "cs", "czech_machac": "cs", "czech_ph": "cs",
    "upc_ca_ona_hts": "ca", "hindi_NSK_diphone": "hi", "msu_ru_nsh_clunits": "ru",
}  # fmt: skip
CODES = {"fi": "latin-1", "it": "latin-1", "cs": "iso8859-2", "ca": "latin-1"}
GLIDES = {"upc_ca_ona_hts": {"j", "w"}, "hindi_NSK_diphone": {"w"}}
ENGLISH_ESPEAK = (
    "en-gb",
    "en-gb-scotland",
    "en-gb-x-rp",
    "en-gb-x-gbcwmd",
    "en-gb-x-gbclan",
    "en-029",
)
VARIANTS = (
    "f1 f2 f3 f4 f5 m1 m2 m3 m4 m5 m6 m7 m8 klatt klatt2 klatt3 klatt4 klatt5 klatt6 croak whisper "
    "whisperf Alex Alicia Andrea Andy Annie Denis Diogo Gene Gene2 Henrique Hugo Jacky Lee Marco "
    "Mario Michael Mike Nguyen Storm Tweaky adam anika antonio aunty belinda benjamin boris caleb "
    "david ed edward grandma grandpa gustave iven john kaukovalta linda marcelo max michel miguel "
    "norbert pablo paul pedro quincy rob robert sandro shelby steph steph2 travis victor zac"
).split()
VOWEL_SIGNS = "aeiouAEIOU@3V0&yYW"
UNSURE_S = 0.03  # around the onset of a vowel that may be the second half of a diphthong
DUMP = """
(define (dump u name)
 (utt.save.wave u (string-append name ".wav"))
 (let ((f (fopen (string-append name ".lab") "w")))
  (mapcar (lambda (s) (format f "%s %s %f %s\\n" (item.name s) (item.feat s "ph_vc")
    (item.feat s "end") (if (item.relation s "SylStructure")
      (item.feat (item.parent (item.relation s "SylStructure")) "R:Syllable.id") "-")))
   (utt.relation.items u 'Segment))
  (fclose f)))
"""


@dataclass(frozen=True, slots=True)
class Spoken:
    """samples : shape (n,), float32, 16 kHz. Spans in seconds.

    onsets_s : where vowels begin; vowels_s : where they last; unsure_s : where the truth is none.
    """

    voice: str
    samples: FloatArray
    onsets_s: tuple[float, ...]
    vowels_s: tuple[Span, ...]
    unsure_s: tuple[Span, ...] = ()


def texts(language: str, count: int, rng: random.Random) -> list[str]:
    """Sentences of ours, and strings of their words drawn by lot (truth lies in sounds alone)."""
    own = SENTENCES[language]
    words = [word.strip(".,?!") for line in own for word in line.split()]
    if language == "en":
        from tests.training.nuclei_sentences import dictionary_sample

        words = words * 2 + dictionary_sample(rng, len(words))
    result = list(own[:count])
    while len(result) < count:
        drawn = [rng.choice(words) for _ in range(rng.randint(1, 11))]
        if len(drawn) > 6 and rng.random() < 0.5:
            drawn[len(drawn) // 2] += ","
        result.append(" ".join(drawn) + ".")
    return result


def at_analysis_rate(samples: NDArray[np.float64], rate_hz: int) -> FloatArray:
    """Samples at 16 kHz, peak at most 0.5."""
    import soxr

    if rate_hz != ANALYSIS_RATE_HZ:
        samples = soxr.resample(samples, rate_hz, ANALYSIS_RATE_HZ)
    top = float(np.abs(samples).max(initial=1e-9))
    return np.asarray(0.5 * samples / top, dtype=np.float32)


def by_festival(voice: str, lines: list[str], *, language: str, stretch: float) -> list[Spoken]:
    """Lines said by a festival voice; those it cannot say are missing."""
    import soundfile

    with tempfile.TemporaryDirectory() as folder:
        parts = [DUMP, f"(voice_{voice})", f"(Parameter.set 'Duration_Stretch {stretch})"]
        for number, line in enumerate(lines):
            text = line.replace('"', "")
            parts.append(
                f'(unwind-protect (dump (utt.synth (Utterance Text "{text}"))'
                f' "{folder}/{number}") nil)'
            )
        script = Path(folder) / "say.scm"
        script.write_bytes("\n".join(parts).encode(CODES.get(language, "utf-8"), "replace"))
        subprocess.run(["festival", "-b", str(script)], capture_output=True, check=False)
        result = []
        for number in range(len(lines)):
            sound, labels = Path(folder) / f"{number}.wav", Path(folder) / f"{number}.lab"
            if sound.exists() and labels.exists():
                samples, rate_hz = soundfile.read(sound)
                rows = [row.split() for row in labels.read_text("latin-1").splitlines()]
                result.append(_labelled(voice, at_analysis_rate(samples, rate_hz), rows))
    return [one for one in result if one.onsets_s]


def _labelled(voice: str, samples: FloatArray, rows: list[list[str]]) -> Spoken:
    """What festival's segments say: name, whether a vowel, end, syllable."""
    english = voice in ENGLISH_FESTIVAL + FLITE
    glides = GLIDES.get(voice, set())
    onsets, vowels, unsure = [], [], []
    start, before = 0.0, None
    is_vowel = [row[1] == "+" and row[0] not in glides for row in rows]
    for n, (name, _, end_text, syllable) in enumerate(rows):
        end = float(end_text)
        if is_vowel[n]:
            vowels.append((start, end))
            if before is None or english:
                onsets.append(start)
            elif before != syllable:
                unsure.append((start - UNSURE_S, start + UNSURE_S))
            before = syllable
        else:
            around = [0 < k < len(rows) and is_vowel[k] for k in (n - 1, n + 1)]
            if voice.startswith("czech") and name in ("r", "l", "m") and not any(around):
                unsure.append((start - UNSURE_S, end))
            if name in glides:
                unsure.append((start - UNSURE_S, end))
            before = None
        start = end
    return Spoken(voice, samples, tuple(onsets), tuple(vowels), tuple(unsure))


def by_flite(voice: str, lines: list[str], *, stretch: float) -> list[Spoken]:
    """Lines said by a voice of flite, whose libraries are called by ctypes."""
    lib = _flite()
    own = ctypes.CDLL(f"libflite_{voice}.so.1", mode=ctypes.RTLD_GLOBAL)
    register = getattr(own, f"register_{voice}")
    register.restype, register.argtypes = ctypes.c_void_p, [ctypes.c_void_p]
    handle = register(None)
    features = ctypes.cast(handle, ctypes.POINTER(ctypes.c_void_p))[1]
    lib.feat_set_float(features, b"duration_stretch", stretch)
    result = []
    for line in lines:
        said = lib.flite_synth_text(line.encode("ascii", "ignore"), handle)
        wave = lib.utt_wave(said).contents
        samples = np.ctypeslib.as_array(wave.samples, shape=(wave.count,)) / 32768.0
        rows, at = [], lib.relation_head(lib.utt_relation(said, b"Segment"))
        while at:
            name = lib.item_feat_string(at, b"name").decode()
            sign = "+" if name[0] in "aeiou" else "-"
            rows.append([name, sign, str(lib.item_feat_float(at, b"end")), "-"])
            at = lib.item_next(at)
        result.append(_labelled(voice, at_analysis_rate(samples, wave.rate_hz), rows))
        lib.delete_utterance(said)
    return [one for one in result if one.onsets_s]


class _Wave(ctypes.Structure):
    _fields_ = (
        ("kind", ctypes.c_char_p), ("rate_hz", ctypes.c_int), ("count", ctypes.c_int),
        ("channels", ctypes.c_int), ("samples", ctypes.POINTER(ctypes.c_short)),
    )  # fmt: skip


@cache
def _flite() -> ctypes.CDLL:
    """The library with the types of what is called."""
    name, number, item = ctypes.c_char_p, ctypes.c_float, ctypes.c_void_p
    lib = ctypes.CDLL("libflite.so.1", mode=ctypes.RTLD_GLOBAL)
    for part in ("usenglish", "cmulex"):
        ctypes.CDLL(f"libflite_{part}.so.1", mode=ctypes.RTLD_GLOBAL)
    for function, gives, takes in (
        ("flite_synth_text", item, [name, item]), ("utt_relation", item, [item, name]),
        ("utt_wave", ctypes.POINTER(_Wave), [item]), ("relation_head", item, [item]),
        ("item_next", item, [item]), ("item_feat_string", name, [item, name]),
        ("item_feat_float", number, [item, name]), ("delete_utterance", None, [item]),
        ("feat_set_float", None, [item, name, number]),
    ):  # fmt: skip
        getattr(lib, function).restype = gives
        getattr(lib, function).argtypes = takes
    lib.flite_init()
    return lib


def by_espeak(voice: str, line: str, *, speed: int, pitch: int, spread: int) -> Spoken | None:
    """A line said by espeak-ng; None where it says nothing."""
    from tests.benchmarks.espeak import say

    said = say(line, voice=voice, words_per_min=speed, pitch=pitch, pitch_range=spread)
    english = voice.startswith("en")
    ends = [p.start_s for p in said.phonemes[1:]] + [len(said.samples) / said.rate_hz]
    onsets, vowels, unsure = [], [], []
    before = False
    for phoneme, end in zip(said.phonemes, ends, strict=True):
        name, start = phoneme.name.lstrip("',%=?"), phoneme.start_s
        vowel = name.startswith(tuple(VOWEL_SIGNS))
        if vowel:
            vowels.append((start, end))
            doubtful = not english and (before or "-" in name)
            if doubtful:
                unsure.append((start - UNSURE_S, start + UNSURE_S))
            else:
                onsets.append(start)
        elif len(name) > 1 and name[1] == "-":  # a consonant that makes a syllable
            unsure.append((start - UNSURE_S, end))
        before = vowel
    if not onsets:
        return None
    samples = at_analysis_rate(said.samples, said.rate_hz)
    return Spoken(voice, samples, tuple(onsets), tuple(vowels), tuple(unsure))


def all_spoken(seed: int = 1) -> list[Spoken]:
    """All the material, in a fixed order."""
    rng = random.Random(seed)
    result: list[Spoken] = []
    for voice in ENGLISH_FESTIVAL:
        for stretch in (0.75, 0.9, 1.0, 1.2):
            result += by_festival(voice, texts("en", 95, rng)[::2], language="en", stretch=stretch)
    for voice in FLITE:
        for stretch in (0.75, 0.9, 1.0, 1.2):
            result += by_flite(voice, texts("en", 150, rng)[::2], stretch=stretch)
    for voice, language in FESTIVAL.items():
        for stretch in (0.8, 1.0, 1.2):
            lines = texts(language, 24, rng)
            result += by_festival(voice, lines, language=language, stretch=stretch)
    jobs = [("en", rng.choice(ENGLISH_ESPEAK), line) for line in texts("en", 650, rng)]
    for language in LANGUAGES:
        jobs += [(language, language, line) for line in texts(language, 22, rng)]
    for _, voice, line in jobs:
        variant = rng.choice(VARIANTS)
        speed, pitch = rng.randint(105, 240), rng.randint(15, 90)
        one = by_espeak(f"{voice}+{variant}", line, speed=speed, pitch=pitch,
                        spread=rng.randint(20, 90))  # fmt: skip
        if one is not None:
            result.append(one)
    return result
