"""The same sound and text give the same reading, whatever was read before and in which process."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from audio.clip import VoiceClip, clip_from_samples, load_clip
from audio.read_voice import read_voice
from audio.reading_json import to_json
from audio.words.pronounce import pronounce_text

ROOT = Path(__file__).resolve().parents[2]
VOICES = ROOT / "demo_scenes" / "lost_umbrella"
SAID = {
    "clerk_01.flac": "That is the third umbrella this week.",
    "visitor_03.flac": "The third? But I only lost one.",
    "clerk_03.flac": "Of course they were. Sign here, and it is yours.",
}


def clips() -> list[tuple[VoiceClip, str]]:
    """Lines as they are, softer, and cut short: sounds of unlike level and noise."""
    made = []
    for name, text in SAID.items():
        whole = load_clip(VOICES / name)
        made.append((whole, text))
        made.append((clip_from_samples(whole.samples * np.float32(0.05), 16000, name), text))
        made.append(
            (clip_from_samples(whole.samples[:20000], 16000, name), " ".join(text.split()[:3]))
        )
    return made


def test_words_lie_where_they_lie_whatever_was_laid_before() -> None:
    """Found by a thousand lines on one worker and on two: noise was measured across clips."""
    from audio.alignment.laying import bare_variants
    from audio.alignment.sphinx import Aligner

    jobs = []
    for clip, text in clips():
        samples = np.clip(np.round(clip.samples * 32768.0), -32768, 32767).astype(np.int16)
        jobs.append((samples, [bare_variants(word) for word in pronounce_text(text).words]))
    alone = [Aligner().lay(*job) for job in jobs]

    used = Aligner()
    forward = [used.lay(*job) for job in jobs]
    backward = [used.lay(*job) for job in reversed(jobs)][::-1]

    assert forward == alone
    assert backward == alone


def test_readings_come_out_the_same_in_any_order() -> None:
    """As told in JSON. Sums of the same numbers may differ in the sixteenth digit with the place
    of an array in memory, so the bits inside may not be compared."""
    lines = clips()[::2]

    forward = [to_json(read_voice(clip, text=text)) for clip, text in lines]
    backward = [to_json(read_voice(clip, text=text)) for clip, text in reversed(lines)]

    assert forward == backward[::-1]


@pytest.mark.parametrize("text", [None, SAID["clerk_01.flac"]])
def test_two_processes_print_the_same_bytes(text: str | None) -> None:
    """With other hash seeds, and with one thread or several."""
    command = [
        sys.executable,
        "-m",
        "planner",
        "read",
        str(VOICES / "clerk_01.flac"),
        "--json",
        "-",
    ]
    if text:
        command += ["--say", text]
    printed = {
        subprocess.run(
            command, capture_output=True, check=True, timeout=120,
            env={**os.environ, "PYTHONPATH": str(ROOT), "LINEBEAT_STORE": "",
                 "PYTHONHASHSEED": seed, "OMP_NUM_THREADS": threads, "NUMBA_NUM_THREADS": threads},
        ).stdout
        for seed, threads in (("1", "1"), ("2", "2"))
    }  # fmt: skip

    assert len(printed) == 1
