"""Small sound files for tests that need some to be read: pieces of the bundled scene's voices."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

VOICES = Path(__file__).resolve().parents[2] / "demo_scenes" / "lost_umbrella"
FIRST_S = 0.25  # where the talk has begun in every one of them


def write_clip(path: Path, *, length_s: float = 0.6, voice: str = "clerk_01") -> Path:
    """A piece of a voice as a file, said again where it is too short; the folder is made."""
    path.parent.mkdir(parents=True, exist_ok=True)
    samples, rate_hz = soundfile.read(VOICES / f"{voice}.flac")
    first, size = round(FIRST_S * rate_hz), round(length_s * rate_hz)
    while len(samples) < first + size:
        samples = np.concatenate((samples, samples))
    soundfile.write(path, samples[first : first + size], rate_hz)
    return path


def write_scene(path: Path, sounds: list[str], *, more: str = "", say: str = "") -> Path:
    """A scene of one line a sound, each beginning 24 frames after the one before."""
    path.parent.mkdir(parents=True, exist_ok=True)
    rows = ["linebeat: 1", "rate: 24", "first_frame: 1001", "characters: [clerk]", "lines:"]
    for number, sound in enumerate(sounds):
        said = f", say: {say}" if say else ""
        rows.append(f"  - {{who: clerk, sound: {sound}, at: {1001 + 24 * number}{said}}}")
    path.write_text("\n".join(rows) + "\n" + more, encoding="utf-8")
    return path
