"""Sound files in, of every kind and in every state of repair."""

from __future__ import annotations

import struct
from pathlib import Path

import made_sounds as made
import numpy as np
import pytest
import soundfile

from audio.clip import ANALYSIS_RATE_HZ, clip_from_samples, load_clip
from audio.errors import ClipError


@pytest.fixture
def tone() -> np.ndarray:
    """One second of a vowel at -20 dB."""
    return made.level_db(made.voiced(140.0, 1.0, np.random.default_rng(0)), -20.0)


def written(path: Path, samples: np.ndarray, rate_hz: int = 16_000, **how: str) -> Path:
    soundfile.write(path, samples, rate_hz, **how)
    return path


@pytest.mark.parametrize(
    ("suffix", "subtype", "rate_hz"),
    [("wav", "PCM_16", 48_000), ("wav", "PCM_24", 96_000), ("wav", "FLOAT", 44_100),
     ("flac", "PCM_16", 22_050), ("ogg", "VORBIS", 44_100), ("aiff", "PCM_16", 32_000)],
)  # fmt: skip
def test_any_format_becomes_mono_at_the_analysis_rate(
    tmp_path: Path, suffix: str, subtype: str, rate_hz: int
) -> None:
    wave = 0.1 * np.sin(2 * np.pi * 200 * np.arange(rate_hz) / rate_hz)
    clip = load_clip(written(tmp_path / f"a.{suffix}", wave, rate_hz, subtype=subtype))
    assert clip.sample_rate_hz == rate_hz
    assert clip.samples.dtype == np.float32
    assert clip.duration_s == pytest.approx(1.0, abs=0.01)
    spectrum = np.abs(np.fft.rfft(clip.samples))
    assert spectrum.argmax() * ANALYSIS_RATE_HZ / len(clip.samples) == pytest.approx(200, abs=2)
    assert clip.warnings == ()


def test_samples_cannot_be_written_to(tone: np.ndarray) -> None:
    with pytest.raises(ValueError, match="read-only"):
        clip_from_samples(tone, 16_000).samples[0] = 1.0


def test_resampling_keeps_an_impulse_in_its_place(tmp_path: Path) -> None:
    wave = np.zeros(48_000 * 12)
    wave[48_000 * 11] = 0.9  # past a block's border
    clip = load_clip(written(tmp_path / "a.wav", wave, 48_000))
    assert int(np.abs(clip.samples).argmax()) == pytest.approx(11 * ANALYSIS_RATE_HZ, abs=1)


def test_a_part_is_the_same_sound_as_the_whole_there(tmp_path: Path, tone: np.ndarray) -> None:
    path = written(tmp_path / "a.wav", np.tile(tone, 3))
    whole, part = load_clip(path), load_clip(path, start_s=1.2, end_s=2.0)
    assert part.duration_s == pytest.approx(0.8, abs=1e-3)
    np.testing.assert_allclose(part.samples, whole.samples[19_200:32_000], atol=1e-3)
    assert part.sha256 != whole.sha256
    assert load_clip(path).sha256 == whole.sha256


@pytest.mark.parametrize(("start_s", "end_s"), [(5.0, None), (2.0, 1.0), (-1.0, None)])
def test_a_part_that_is_not_there_is_refused(
    tmp_path: Path, tone: np.ndarray, start_s: float, end_s: float | None
) -> None:
    path = written(tmp_path / "a.wav", tone)
    with pytest.raises(ClipError):
        load_clip(path, start_s=start_s, end_s=end_s)


def test_channels_that_cancel_are_not_mixed_away(tone: np.ndarray) -> None:
    clip = clip_from_samples(np.stack([tone, -0.9 * tone], axis=1), 16_000)
    assert np.corrcoef(clip.samples, tone)[0, 1] > 0.99
    assert "channel 1" in clip.warnings[0]


def test_a_voice_in_one_of_six_channels_keeps_its_level(tone: np.ndarray) -> None:
    channels = np.zeros((len(tone), 6))
    channels[:, 2] = tone
    clip = clip_from_samples(channels, 16_000)
    assert np.sqrt(np.mean(clip.samples**2)) == pytest.approx(0.1, rel=0.05)
    assert any("6 channels" in w for w in clip.warnings)


@pytest.mark.parametrize(
    ("change", "word"),
    [(lambda x: np.clip(x * 30, -1, 1), "clipped"), (lambda x: x * 0.01, "quiet")],
)
def test_what_may_spoil_the_reading_is_said(tone: np.ndarray, change, word: str) -> None:
    assert word in " ".join(clip_from_samples(change(tone), 16_000).warnings)


def test_a_low_sample_rate_is_said(tone: np.ndarray) -> None:
    assert "8000 Hz" in clip_from_samples(tone[::2], 8_000).warnings[0]


def test_a_cut_off_file_is_read_as_far_as_it_goes(tmp_path: Path, tone: np.ndarray) -> None:
    path = written(tmp_path / "a.wav", tone)
    path.write_bytes(path.read_bytes()[:20_000])
    clip = load_clip(path)
    assert 0.5 < clip.duration_s < 0.65
    assert any("ends before" in w for w in clip.warnings)


def bad_files(folder: Path, tone: np.ndarray) -> dict[str, Path]:
    """A file of each kind that cannot be read."""
    (folder / "empty.wav").write_bytes(b"")
    (folder / "text.wav").write_text("not a sound\n")
    (folder / "noise.bin").write_bytes(bytes(range(256)) * 40)
    (folder / "headerless.raw").write_bytes(bytes(1000))
    written(folder / "zeros.wav", np.zeros(16_000))
    written(folder / "dither.wav", np.random.default_rng(0).integers(-1, 2, 16_000) / 32768)
    written(folder / "short.wav", tone[:160])
    bad = tone.copy()
    bad[100] = np.nan
    written(folder / "nan.wav", bad, subtype="FLOAT")
    written(folder / "none.wav", np.zeros(0))
    names = "empty.wav text.wav noise.bin headerless.raw zeros.wav dither.wav short.wav nan.wav"
    return {n: folder / n for n in [*names.split(), "none.wav", "missing.wav", "."]}


def test_what_cannot_be_read_is_one_clear_line(tmp_path: Path, tone: np.ndarray) -> None:
    for name, path in bad_files(tmp_path, tone).items():
        with pytest.raises(ClipError) as caught:
            load_clip(path)
        line = str(caught.value)
        assert line.startswith(str(path)), name
        assert "\n" not in line
        assert "; " in line  # how to mend it
        assert caught.value.exit_code == 2


def test_a_header_is_not_believed_about_its_length(tmp_path: Path, tone: np.ndarray) -> None:
    """A data chunk that claims 2^31 samples costs no more memory than the bytes that are there."""
    path = written(tmp_path / "a.wav", tone)
    data = bytearray(path.read_bytes())
    at = data.index(b"data")
    data[at + 4 : at + 8] = struct.pack("<I", 0xFFFFFFF0)
    data[4:8] = struct.pack("<I", 0xFFFFFFF0)
    path.write_bytes(bytes(data))
    clip = load_clip(path)
    assert clip.duration_s == pytest.approx(1.0, abs=0.01)


def test_longer_than_an_hour_is_read_in_parts(monkeypatch: pytest.MonkeyPatch, tone) -> None:
    monkeypatch.setattr("audio.clip.LONGEST_CLIP_S", 0.5)
    with pytest.raises(ClipError, match="in parts"):
        clip_from_samples(tone, 16_000)


def test_integers_are_scaled_by_their_own_range(tone: np.ndarray) -> None:
    whole = clip_from_samples(np.round(tone * 32767).astype(np.int16), 16_000)
    np.testing.assert_allclose(whole.samples, tone - tone.mean(), atol=1e-3)


def test_a_part_that_runs_past_the_sound_is_said(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, 0.3 * np.sin(np.arange(16_000) / 20), 16_000)

    assert load_clip(path, start_s=0.2, end_s=1.0).warnings == ()
    assert load_clip(path, start_s=0.2, end_s=3.0).warnings == (
        "the part ends at 3 s, the sound at 1.00 s: read as far as it goes",
    )
    whole = path.read_bytes()
    path.write_bytes(whole[:20_000])
    assert "ends before its header says" in load_clip(path, start_s=0.2, end_s=1.0).warnings[0]
