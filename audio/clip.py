"""Any sound file, as one voice clip: mono, float32, 16 kHz for analysis.

Method: libsndfile reads the file block by block (memory is bounded by the sound that is there,
never by what a header claims), soxr brings every channel to 16 kHz, the channels are mixed unless
they cancel each other, and the mean is taken off. What may spoil the reading is said in `warnings`;
what makes it impossible is a ClipError of one line.

It does not clean the sound: no noise reduction, no levelling, no gate.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audio.errors import ClipError

Samples = NDArray[np.float32]

ANALYSIS_RATE_HZ = 16_000  # the acoustic model's rate; speech cues used here lie below 8 kHz
BLOCK_FRAMES = 1 << 18  # read at once, about 5 s at 48 kHz
LONGEST_CLIP_S = 3600.0  # one hour; a longer recording is read in parts
SHORTEST_CLIP_S = 0.05  # less holds no syllable (Klatt 1976: 50 ms and up)
PART_SLACK_S = 0.02  # a part may end this much after the sound: times are typed rounded
HIGHEST_RATE_HZ = 768_000  # above any sound card; a header that says more is broken
SILENT_PEAK_DB = -72.0  # under 3 bits of a 16-bit file: dither and hum, no voice
QUIET_PEAK_DB = -40.0  # a voice this low is read, but its noise may be read too
FULL_SCALE = 0.999  # of the largest sample value, to either side
CLIPPED_RUN = 3  # samples in a row at full scale: flat tops, not a single peak
CLIPPED_SHARE = 1e-4  # of the samples, before it is worth a warning
CANCEL_DB = -9.0  # mix against loudest channel: below it, channels cancel or most are empty
VIDEO_SUFFIXES = frozenset({".mp4", ".m4v", ".mov", ".mkv", ".webm", ".avi", ".m4a", ".aac"})


@dataclass(frozen=True, slots=True)
class VoiceClip:
    """A clip ready to be read.

    samples : shape (n,), float32, mono, at ANALYSIS_RATE_HZ, not writeable.
    sample_rate_hz : the file's own rate. sha256 : of the file's bytes and the part taken.
    """

    file: str
    samples: NDArray[np.float32]
    sample_rate_hz: int
    sha256: str
    warnings: tuple[str, ...] = ()

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / ANALYSIS_RATE_HZ


@dataclass(slots=True)
class _Sound:
    """What was read of a file: channels at 16 kHz, and what was noticed on the way."""

    rate_hz: int
    channels: Samples  # shape (n, channels)
    clipped: int = 0
    seen: int = 0
    warnings: list[str] = field(default_factory=list)


def load_clip(
    path: str | Path, *, start_s: float | None = None, end_s: float | None = None
) -> VoiceClip:
    """Reads a sound file, or the part of it from `start_s` to `end_s` (seconds, half-open).

    Raises ClipError where nothing can be read: missing, empty, silent, not sound, broken, too long.
    """
    file = Path(path)
    where = str(path)
    _check_file(file, where)
    if start_s is not None or end_s is not None:
        _check_part(start_s, end_s, where)
    if file.suffix.lower() in VIDEO_SUFFIXES:
        from audio.sound.clip_video import read_video_sound

        rate_hz, blocks = read_video_sound(file, where)
        sound = _gather(_cut(blocks, rate_hz, start_s, end_s), rate_hz, where)
    else:
        sound = _read_sound_file(file, where, start_s, end_s)
    digest = _digest(file, start_s, end_s)
    return _finish(sound, where, digest)


def clip_from_samples(samples: ArrayLike, rate_hz: int, file: str = "") -> VoiceClip:
    """A clip from samples in memory.

    samples : shape (n,) or (n, channels), floats in -1..1 or integers of 16 or 32 bits.
    Raises ClipError as `load_clip` does, ValueError for a wrong shape or rate.
    """
    array = np.asarray(samples)
    if array.ndim not in (1, 2) or rate_hz <= 0:
        raise ValueError("samples must have shape (n,) or (n, channels) and a rate above 0")
    if np.issubdtype(array.dtype, np.integer):
        array = array / float(np.iinfo(array.dtype).max)
    array = np.ascontiguousarray(array, dtype=np.float32)
    digest = hashlib.sha256(array.tobytes() + str(rate_hz).encode()).hexdigest()
    where = file or "sound in memory"
    columns = array[:, None] if array.ndim == 1 else array
    return _finish(_gather([columns], rate_hz, where), file, digest)


def _check_file(file: Path, where: str) -> None:
    try:
        if not file.exists():
            raise ClipError("no such file", where=where, mend="check the path and the spelling")
        if not file.is_file():
            raise ClipError("not a file", where=where, mend="name a sound file, not a folder")
        if file.stat().st_size == 0:
            raise ClipError("the file is empty", where=where, mend="export the sound again")
        with file.open("rb"):
            pass
    except (OSError, ValueError) as problem:
        raise ClipError(
            f"cannot be opened ({getattr(problem, 'strerror', None) or problem})",
            where=where,
            mend="check the path and its permissions",
        ) from problem


def _check_part(start_s: float | None, end_s: float | None, where: str) -> None:
    start = 0.0 if start_s is None else start_s
    if not np.isfinite(start) or start < 0 or (end_s is not None and not end_s > start):
        raise ClipError(
            f"the part {start:g}s-{'' if end_s is None else f'{end_s:g}s'} is no stretch of time",
            where=where,
            mend="give a start at or after 0 s and an end after it",
        )


def _read_sound_file(file: Path, where: str, start_s: float | None, end_s: float | None) -> _Sound:
    """The channels of a file that libsndfile knows."""
    import soundfile

    try:
        with soundfile.SoundFile(str(file)) as source:
            rate_hz = int(source.samplerate)
            if not 0 < rate_hz <= HIGHEST_RATE_HZ:
                raise ClipError(
                    f"its header says {rate_hz} samples a second",
                    where=where,
                    mend="the file is broken; export the sound again",
                )
            first = round((start_s or 0.0) * rate_hz)
            _check_start(first, source.frames, rate_hz, where)
            wanted = None if end_s is None else max(1, round(end_s * rate_hz) - first)
            if first:
                source.seek(first)
            notes: list[str] = []
            sound = _gather(_blocks(source, wanted, notes), rate_hz, where)
    except (soundfile.LibsndfileError, TypeError, OSError) as problem:
        raise ClipError(
            "not a sound file that can be read", where=where, mend="export it as WAV or FLAC"
        ) from problem
    short = wanted is not None and sound.seen < wanted - PART_SLACK_S * rate_hz
    if (wanted is None or short) and (notes or _cut_short(file)):
        sound.warnings.append("the file ends before its header says: read as far as it goes")
    elif short:
        end = f"the part ends at {end_s:g} s, the sound at {(first + sound.seen) / rate_hz:.2f} s"
        sound.warnings.append(f"{end}: read as far as it goes")
    return sound


def _check_start(first: int, frames: int, rate_hz: int, where: str) -> None:
    if first and first >= frames:
        raise ClipError(
            f"the part begins at {first / rate_hz:g} s, the sound ends at {frames / rate_hz:g} s",
            where=where,
            mend="begin inside the sound",
        )


def _blocks(source: object, wanted: int | None, notes: list[str]) -> Iterator[Samples]:
    """Blocks of shape (n, channels) until the part, the file or what is readable ends."""
    import soundfile

    left = wanted
    while left is None or left > 0:
        size = BLOCK_FRAMES if left is None else min(BLOCK_FRAMES, left)
        try:
            block = source.read(size, dtype="float32", always_2d=True)  # type: ignore[attr-defined]
        except soundfile.LibsndfileError:
            notes.append("broken")
            return
        if len(block) == 0:
            return
        left = None if left is None else left - len(block)
        yield block


def _cut_short(file: Path) -> bool:
    """A RIFF file that claims more bytes than it has (0 and all ones mean "not known")."""
    with file.open("rb") as handle:
        head = handle.read(8)
    if head[:4] != b"RIFF":
        return False
    claimed = int.from_bytes(head[4:8], "little")
    return claimed not in (0, 0xFFFFFFFF) and claimed + 8 > file.stat().st_size + 1


def _cut(
    blocks: Iterable[Samples], rate_hz: int, start_s: float | None, end_s: float | None
) -> Iterator[Samples]:
    """The part of a stream of blocks."""
    first = round((start_s or 0.0) * rate_hz)
    last = None if end_s is None else round(end_s * rate_hz)
    at = 0
    for block in blocks:
        low = max(0, first - at)
        high = len(block) if last is None else min(len(block), last - at)
        at += len(block)
        if low < high:
            yield block[low:high]
        if last is not None and at >= last:
            return


def _gather(blocks: Iterable[Samples], rate_hz: int, where: str) -> _Sound:
    """Brings a stream of blocks to 16 kHz, noticing flat tops and values that are no numbers."""
    import soxr

    stream: soxr.ResampleStream | None = None
    parts: list[Samples] = []
    sound = _Sound(rate_hz, np.zeros((0, 1), dtype=np.float32))
    for block in blocks:
        if not np.isfinite(block).all():
            raise ClipError(
                "holds values that are no numbers", where=where, mend="export the sound again"
            )
        sound.seen += len(block)
        if sound.seen > LONGEST_CLIP_S * rate_hz:
            raise ClipError(
                f"longer than {LONGEST_CLIP_S / 60:.0f} minutes",
                where=where,
                mend="read it in parts",
            )
        sound.clipped += _flat_tops(block)
        if rate_hz == ANALYSIS_RATE_HZ:
            parts.append(block)
            continue
        if stream is None:
            stream = soxr.ResampleStream(
                rate_hz, ANALYSIS_RATE_HZ, block.shape[1], dtype="float32", quality="HQ"
            )
        parts.append(_columns(stream.resample_chunk(block), block.shape[1]))
    if stream is not None:
        channels = parts[-1].shape[1]
        rest = stream.resample_chunk(np.zeros((0, channels), dtype=np.float32), last=True)
        parts.append(_columns(rest, channels))
    if parts:
        sound.channels = np.concatenate(parts)
    return sound


def _columns(samples: Samples, channels: int) -> Samples:
    return samples.reshape(-1, channels)


def _flat_tops(block: Samples) -> int:
    """Samples that stand in a run at full scale, all channels together."""
    full = np.abs(block) >= FULL_SCALE
    if not full.any():
        return 0
    run = full[2:] & full[1:-1] & full[:-2]
    return int(run.sum()) * (CLIPPED_RUN if run.any() else 1)


def _finish(sound: _Sound, where: str, digest: str) -> VoiceClip:
    """Mixes, checks the level and collects the warnings."""
    if sound.seen == 0 or len(sound.channels) < SHORTEST_CLIP_S * ANALYSIS_RATE_HZ:
        raise ClipError(
            f"holds {sound.seen / sound.rate_hz * 1000:.0f} ms of sound: too short for a voice"
            if sound.seen
            else "holds no sound",
            where=where,
            mend="export the sound again",
        )
    warnings = list(sound.warnings)
    mono = _mix(sound.channels, warnings)
    mono = mono - np.float32(mono.mean(dtype=np.float64))
    peak = float(np.abs(mono).max())
    peak_db = 20.0 * np.log10(max(peak, 1e-12))
    if peak_db < SILENT_PEAK_DB:
        raise ClipError("the sound is silent", where=where, mend="check the exported track")
    if peak_db < QUIET_PEAK_DB:
        warnings.append(f"very quiet (peak {peak_db:.0f} dB): what is noise may be read as voice")
    if sound.clipped > CLIPPED_SHARE * sound.seen:
        warnings.append("clipped: the loudest syllables are cut off, so their level says less")
    if sound.rate_hz < ANALYSIS_RATE_HZ:
        warnings.append(f"low sample rate ({sound.rate_hz} Hz): consonants are placed less exactly")
    if peak > 1.0:
        mono = mono / np.float32(peak)
    mono.flags.writeable = False
    return VoiceClip(where, mono, sound.rate_hz, digest, tuple(warnings))


def _mix(channels: Samples, warnings: list[str]) -> Samples:
    """One channel: the mean, or the loudest one where the mean would cancel the voice."""
    count = channels.shape[1]
    if count == 1:
        return np.ascontiguousarray(channels[:, 0], dtype=np.float32)
    if count > 2:
        warnings.append(f"{count} channels mixed to one")
    mixed: Samples = channels.mean(axis=1, dtype=np.float32)
    power = np.square(channels, dtype=np.float32).mean(axis=0, dtype=np.float64)
    loudest = int(power.argmax())
    left = float(np.square(mixed).mean(dtype=np.float64))
    if left >= power[loudest] * 10.0 ** (CANCEL_DB / 10.0):
        return mixed
    warnings.append(f"mixing the channels would lose the voice: channel {loudest + 1} is read")
    return np.ascontiguousarray(channels[:, loudest], dtype=np.float32)


def _digest(file: Path, start_s: float | None, end_s: float | None) -> str:
    """SHA-256 of the file's bytes, and of the part where one was taken."""
    with file.open("rb") as handle:
        total = hashlib.file_digest(handle, "sha256")
    if start_s is not None or end_s is not None:
        total.update(f"|{start_s or 0.0:.6f}|{'' if end_s is None else f'{end_s:.6f}'}".encode())
    return total.hexdigest()
