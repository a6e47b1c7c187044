"""How long things take, as ratios to a reference run in the same session.

Byte code is compiled first, as an installation does, whatever the environment says.

    python -m tests.benchmarks.speed

Whole-process figures are medians of several runs; ratios are taken pair by pair, so that a machine
that slows down slows both. Needs the package installed (`pip install -e '.[test]'`).
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROUNDS = 7
DEMO = Path(__file__).resolve().parents[2] / "demo_scenes" / "lost_umbrella"
LINE = (DEMO / "clerk_03.flac", "Of course they were. Sign here, and it is yours.")
BARE = [sys.executable, "-c", "import numpy, yaml, rich"]


def process_s(command: Sequence[str]) -> float:
    """Processor time (user and system) of one whole process, in seconds."""
    import resource

    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime + after.ru_stime) - (before.ru_utime + before.ru_stime)


def call_s(function: Callable[[], object]) -> float:
    """Processor time of one call in this process, in seconds."""
    start = time.process_time()
    function()
    return time.process_time() - start


def pairs(
    a: Callable[[], float], b: Callable[[], float], *, rounds: int = ROUNDS
) -> tuple[float, float, float]:
    """Medians of a and b in seconds, and the median of a/b, after one round to warm up."""
    a(), b()
    taken = [(a(), b()) for _ in range(rounds)]
    return (
        statistics.median(x for x, _ in taken),
        statistics.median(y for _, y in taken),
        statistics.median(x / y for x, y in taken),
    )


def row(name: str, against: str, figures: tuple[float, float, float], limit: str) -> None:
    """Print one row of the table."""
    ours, theirs, ratio = figures
    print(
        f"| {name} | {ours * 1000:.0f} ms | {against} | {theirs * 1000:.0f} ms "
        f"| {ratio:.2f} | {limit} |",
        flush=True,
    )


def reading_rows() -> None:
    """A warm reading against the aligner alone, and against Praat's pitch track alone."""
    import parselmouth

    from audio.alignment.laying import bare_variants
    from audio.alignment.sphinx import Aligner
    from audio.clip import load_clip
    from audio.read_voice import read_voice
    from audio.words.pronounce import pronounce_text

    path, text = LINE
    clip = load_clip(path)
    variants = [bare_variants(word) for word in pronounce_text(text).words]
    sound = parselmouth.Sound(clip.samples.astype("float64"), 16000)
    standard = Aligner(gaussians=4)  # as the decoder comes
    whole = (clip.samples * 32767).astype("int16")
    figures = pairs(
        lambda: call_s(lambda: read_voice(clip, text=text)),
        lambda: (
            call_s(lambda: standard.lay(whole, variants))
            + call_s(lambda: sound.to_pitch_ac(time_step=0.005))
        ),
    )
    against = "pocketsphinx's two passes as it comes, and one pitch track by Praat"
    row("warm reading with text", against, figures, "1.3")
    figures = pairs(
        lambda: call_s(lambda: read_voice(clip)),
        lambda: call_s(lambda: sound.to_pitch_ac(time_step=0.005)),
    )
    row("warm reading without text", "Praat's pitch track alone", figures, "6")


def growth_rows() -> None:
    """Ten times the sound against the sound."""
    import numpy as np

    from audio.clip import ANALYSIS_RATE_HZ, clip_from_samples, load_clip
    from audio.read_voice import read_voice

    path, text = LINE
    clip = load_clip(path)
    long = clip_from_samples(np.tile(clip.samples, 10), ANALYSIS_RATE_HZ)
    for name, once, ten in (
        ("with text", text, " ".join([text] * 10)),
        ("without text", None, None),
    ):
        figures = pairs(
            lambda ten=ten: call_s(lambda: read_voice(long, text=ten)),
            lambda once=once: call_s(lambda: read_voice(clip, text=once)),
            rounds=3,
        )
        row(f"ten times the sound, {name}", "the sound once", figures, "11")


def command_rows() -> None:
    """`linebeat plan` with stored readings against a bare Python with three imports."""
    command = [sys.executable, "-m", "planner", "plan", str(DEMO), "--json", "-"]
    figures = pairs(lambda: process_s(command), lambda: process_s(BARE))
    row("linebeat plan, stored readings", "python -c 'import numpy, yaml, rich'", figures, "2")


def main() -> None:
    """Print the table."""
    print("| what | median | against | median | ratio | limit |")
    print("|---|---|---|---|---|---|")
    command_rows()
    reading_rows()
    growth_rows()


if __name__ == "__main__":
    main()
