"""What a sound file claims costs neither memory nor time: both are bounded by its bytes."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from audio.clip import load_clip
from audio.errors import ClipError
from audio.sound import gather as module
from audio.sound.gather import gather

MEASURED = """
import sys
from audio.clip import load_clip
from audio.errors import LinebeatError
import soundfile, soxr
def peak():
    status = open("/proc/self/status").read()
    return int(status.split("VmHWM:")[1].split()[0]) * 1024
before = peak()
try:
    said = load_clip(sys.argv[1]).duration_s
except LinebeatError as error:
    said = error.line()
print(peak() - before, said, sep="|")
"""


def measured(path: Path) -> tuple[int, str]:
    """Memory a clip takes beyond what the libraries take, in bytes, and what came of it."""
    ran = subprocess.run([sys.executable, "-c", MEASURED, str(path)], capture_output=True,
                         text=True, check=True, timeout=120)  # fmt: skip
    memory, _, said = ran.stdout.strip().partition("|")
    return int(memory), said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
@pytest.mark.parametrize(("channels", "frames"), [(1024, 2), (1024, 50), (255, 200)])
def test_many_channels_cost_no_memory(tmp_path: Path, channels: int, frames: int) -> None:
    path = tmp_path / "a.wav"
    noise = np.random.default_rng(1).normal(0, 0.1, (frames, channels))
    soundfile.write(path, noise, 48_000, subtype="PCM_U8")

    memory, said = measured(path)

    assert memory < 50e6
    assert f"{channels} channels" in said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
def test_hours_of_packed_silence_are_refused_in_little_memory(tmp_path: Path) -> None:
    path = tmp_path / "a.flac"
    with soundfile.SoundFile(path, "w", 48_000, 8, subtype="PCM_16") as file:
        for _ in range(10):  # five minutes of eight channels, in some ten kilobytes
            file.write(np.zeros((48_000 * 30, 8), dtype=np.int16))
    assert path.stat().st_size < 2_000_000

    memory, said = measured(path)

    assert memory < 150e6
    assert "more sound than its size" in said or "silent" in said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
def test_minutes_of_six_channels_cost_what_their_mix_costs(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    noise = np.random.default_rng(1).integers(-3000, 3000, (48_000 * 20, 6)).astype(np.int16)
    with soundfile.SoundFile(path, "w", 48_000, 6) as file:
        for _ in range(9):  # three minutes: 11.5 MB at 16 kHz
            file.write(noise)

    memory, said = measured(path)

    assert float(said) == pytest.approx(180.0, abs=0.01)
    assert memory < 80e6


@pytest.mark.parametrize("rate_hz", [1, 5, 10, 3999])
def test_a_rate_under_speech_is_refused(tmp_path: Path, rate_hz: int) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, 0.3 * np.sin(np.arange(4000)), rate_hz)
    with pytest.raises(ClipError, match="hold no speech"):
        load_clip(path)


def test_more_sound_than_bytes_can_hold_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    blocks = [np.zeros((1000, 2), dtype=np.float32)] * 3
    assert gather(blocks, 16_000, "a.wav", most=6000, longest_s=9.0).seen == 3000
    with pytest.raises(ClipError, match="more sound than its size"):
        gather(blocks, 16_000, "a.wav", most=5999, longest_s=9.0)
    monkeypatch.setattr(module, "SAMPLES_FREE", 0)
    assert module.samples_max(10) == 2000


def test_mixing_before_resampling_is_mixing_after_it() -> None:
    """Resampling is linear: the mean of two resampled channels, taken here, is the same."""
    import soxr

    two = np.random.default_rng(2).normal(0, 0.1, (48_000, 2)).astype(np.float32)
    blocks = [two[:20_000], two[20_000:20_001], two[20_001:]]

    mono = gather(blocks, 48_000, "a.wav", most=10**9, longest_s=9.0).mono

    after = soxr.resample(two, 48_000, 16_000, quality="HQ").mean(axis=1)
    assert len(mono) == len(after)
    np.testing.assert_allclose(mono, after, atol=2e-6)


def test_silence_between_voices_keeps_its_length() -> None:
    voice = np.full((100, 1), 0.5, dtype=np.float32)
    still = np.zeros((7, 1), dtype=np.float32)
    blocks = [still, voice, still, still, voice, still]

    mono = gather(blocks, 16_000, "a.wav", most=10**9, longest_s=9.0).mono

    np.testing.assert_array_equal(mono, np.concatenate(blocks)[:, 0])
