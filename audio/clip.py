"""Any sound file, as one voice clip: mono, float32, 16 kHz for analysis.

Method: libsndfile reads the file block by block (memory and time are bounded by the bytes that are
there, never by what a header claims), the channels are mixed unless they cancel each other, soxr
brings the mix to 16 kHz (`audio.sound.gather`), and the mean is taken off. What may spoil the
reading is said in `warnings`; what makes it impossible is a ClipError of one line.

It does not clean the sound: no noise reduction, no levelling, no gate.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audio.errors import ClipError
from audio.regular_file import check_regular, open_regular
from audio.sound.gather import (
    ANALYSIS_RATE_HZ,
    Gathered,
    Samples,
    check_channels,
    gather,
    samples_max,
)

__all__ = ["ANALYSIS_RATE_HZ", "VoiceClip", "clip_from_samples", "load_clip", "load_samples"]

BLOCK_SAMPLES = 1 << 18  # read at once, about 5 s of one channel at 48 kHz
SOUND_BYTES_MAX = 4_000_000_000  # an hour of six channels of 24 bits at 48 kHz has 3.1 GB
LONGEST_CLIP_S = 3600.0  # one hour; a longer recording is read in parts
SHORTEST_CLIP_S = 0.05  # less holds no syllable (Klatt 1976: 50 ms and up)
PART_SLACK_S = 0.02  # a part may end this much after the sound: times are typed rounded
LOWEST_RATE_HZ = 4000  # half of a telephone's: below it the second formant is gone
HIGHEST_RATE_HZ = 768_000  # above any sound card; a header that says more is broken
SILENT_PEAK_DB = -72.0  # under 3 bits of a 16-bit file: dither and hum, no voice
QUIET_PEAK_DB = -40.0  # a voice this low is read, but its noise may be read too
CLIPPED_SHARE = 1e-4  # of the samples, before it is worth a warning
AAC_SUFFIXES = frozenset({".m4a", ".aac"})  # sound alone, in a film file's coding
VIDEO_SUFFIXES = AAC_SUFFIXES | {".mp4", ".m4v", ".mov", ".mkv", ".webm", ".avi"}


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


@dataclass(frozen=True, slots=True)
class _Part:
    """What is wanted of a file: from and to when, how much at most, and at which rate."""

    start_s: float | None
    end_s: float | None
    most: int
    to_hz: int | None


def load_clip(
    path: str | Path, *, start_s: float | None = None, end_s: float | None = None
) -> VoiceClip:
    """Reads a sound file, or the part of it from `start_s` to `end_s` (seconds, half-open).

    Raises ClipError where nothing can be read: missing, empty, silent, not sound, broken, too long.
    """
    sound = _load(path, start_s, end_s, ANALYSIS_RATE_HZ)
    return _finish(sound, str(path), _digest(Path(path), start_s, end_s))


def load_samples(
    path: str | Path, *, start_s: float | None = None, end_s: float | None = None
) -> tuple[Samples, int]:
    """A sound file's one channel at its own rate, to be heard: shape (n,), and the rate in Hz.

    Raises ClipError as `load_clip` does, but for silence.
    """
    sound = _load(path, start_s, end_s, None)
    return sound.mono, sound.rate_hz


def _load(
    path: str | Path, start_s: float | None, end_s: float | None, to_hz: int | None
) -> Gathered:
    file, where = Path(path), str(path)
    size = _check_file(file, where)
    if start_s is not None or end_s is not None:
        _check_part(start_s, end_s, where)
    read = _read_film if file.suffix.lower() in VIDEO_SUFFIXES else _read_sound_file
    part = _Part(start_s, end_s, samples_max(size), to_hz)
    return _one_channel(lambda channel: read(file, where, part, channel))


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

    def read_channel(channel: int | None) -> Gathered:
        return gather([columns], rate_hz, where, most=columns.size, longest_s=LONGEST_CLIP_S,
                      channel=channel)  # fmt: skip

    return _finish(_one_channel(read_channel), file, digest)


def _one_channel(read_channel: Callable[[int | None], Gathered]) -> Gathered:
    """The mix of all channels, or the loudest one where the mix would lose the voice."""
    sound = read_channel(None)
    if sound.channels > 2:
        sound.warnings.append(f"{sound.channels} channels mixed to one")
    lost = sound.lost_voice()
    if lost is None:
        return sound
    told = f"mixing the channels would lose the voice: channel {lost + 1} is read"
    alone = read_channel(lost)
    alone.warnings = [*sound.warnings, told]
    return alone


def _check_file(file: Path, where: str) -> int:
    """The size of an ordinary file that may be read. Raises ClipError."""
    try:
        facts = check_regular(file)
        if facts.st_size == 0:
            raise ClipError("the file is empty", where=where, mend="export the sound again")
        if facts.st_size > SOUND_BYTES_MAX:
            raise ClipError(
                f"larger than {SOUND_BYTES_MAX // 1_000_000_000} GB, so no voice line",
                where=where, mend="cut it into lines",
            )  # fmt: skip
        with open_regular(file):
            pass
    except FileNotFoundError:
        raise ClipError(
            "no such file", where=where, mend="check the path and the spelling"
        ) from None
    except IsADirectoryError:
        raise ClipError("not a file", where=where, mend="name a sound file, not a folder") from None
    except (OSError, ValueError) as problem:
        raise ClipError(
            f"cannot be opened ({getattr(problem, 'strerror', None) or problem})",
            where=where,
            mend="check the path and its permissions",
        ) from problem
    return facts.st_size


def _check_part(start_s: float | None, end_s: float | None, where: str) -> None:
    start = 0.0 if start_s is None else start_s
    if not np.isfinite(start) or start < 0 or (end_s is not None and not end_s > start):
        raise ClipError(
            f"the part {start:g}s-{'' if end_s is None else f'{end_s:g}s'} is no stretch of time",
            where=where,
            mend="give a start at or after 0 s and an end after it",
        )


def _check_rate(rate_hz: int, where: str) -> None:
    if not 0 < rate_hz <= HIGHEST_RATE_HZ:
        raise ClipError(
            f"its header says {rate_hz} samples a second",
            where=where,
            mend="the file is broken; export the sound again",
        )
    if rate_hz < LOWEST_RATE_HZ:
        raise ClipError(
            f"{rate_hz} samples a second hold no speech", where=where,
            mend=f"export it at {LOWEST_RATE_HZ} or more, best at 16000 or 48000",
        )  # fmt: skip


def _read_film(file: Path, where: str, part: _Part, channel: int | None) -> Gathered:
    """The sound of a film file, or of a file coded as films' sound is."""
    from audio.sound.clip_video import read_video_sound

    rate_hz, blocks = read_video_sound(file, where, is_film=file.suffix.lower() not in AAC_SUFFIXES)
    _check_rate(rate_hz, where)
    cut = _cut(_with_channels_checked(blocks, where), rate_hz, part.start_s, part.end_s)
    return gather(cut, rate_hz, where, most=part.most, longest_s=LONGEST_CLIP_S, channel=channel,
                  to_hz=part.to_hz)  # fmt: skip


def _with_channels_checked(blocks: Iterable[Samples], where: str) -> Iterator[Samples]:
    """The blocks, all of as many channels as the first. Raises ClipError."""
    count = 0
    for block in blocks:
        check_channels(block.shape[1], where)
        if count and block.shape[1] != count:
            raise ClipError(
                f"changes from {count} to {block.shape[1]} channels on the way",
                where=where, mend="export the sound as WAV",
            )  # fmt: skip
        count = block.shape[1]
        yield block


def _read_sound_file(file: Path, where: str, part: _Part, channel: int | None) -> Gathered:
    """The sound of a file that libsndfile knows."""
    import soundfile

    try:
        with soundfile.SoundFile(as_name(file)) as source:
            rate_hz = int(source.samplerate)
            _check_rate(rate_hz, where)
            check_channels(int(source.channels), where)
            first, end_s = round((part.start_s or 0.0) * rate_hz), part.end_s
            _check_start(first, source.frames, rate_hz, where)
            wanted = None if end_s is None else max(1, round(end_s * rate_hz) - first)
            if first:
                source.seek(first)
            notes: list[str] = []
            sound = gather(_blocks(source, wanted, notes), rate_hz, where, most=part.most,
                           longest_s=LONGEST_CLIP_S, channel=channel, to_hz=part.to_hz)  # fmt: skip
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


def as_name(file: Path) -> str | bytes:
    """A path for libsndfile; where names are bytes, any bytes."""
    return str(file) if sys.platform == "win32" else os.fsencode(file)


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
    most = max(1, BLOCK_SAMPLES // source.channels)  # type: ignore[attr-defined]
    while left is None or left > 0:
        size = most if left is None else min(most, left)
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
    with open_regular(file) as handle:
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


def _finish(sound: Gathered, where: str, digest: str) -> VoiceClip:
    """Takes the mean off, checks the level and collects the warnings."""
    if sound.seen == 0 or len(sound.mono) < SHORTEST_CLIP_S * ANALYSIS_RATE_HZ:
        raise ClipError(
            f"holds {sound.seen / sound.rate_hz * 1000:.0f} ms of sound: too short for a voice"
            if sound.seen
            else "holds no sound",
            where=where,
            mend="export the sound again",
        )
    warnings = list(sound.warnings)
    mono = sound.mono
    if mono.any():  # an hour of nothing is not to be written to
        mono -= np.float32(mono.mean(dtype=np.float64))
    peak = float(max(mono.max(), -mono.min()))
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
        mono /= np.float32(peak)
    mono.flags.writeable = False
    return VoiceClip(where, mono, sound.rate_hz, digest, tuple(warnings))


def _digest(file: Path, start_s: float | None, end_s: float | None) -> str:
    """SHA-256 of the file's bytes, and of the part where one was taken."""
    with open_regular(file) as handle:
        total = hashlib.file_digest(handle, "sha256")
    if start_s is not None or end_s is not None:
        total.update(f"|{start_s or 0.0:.6f}|{'' if end_s is None else f'{end_s:.6f}'}".encode())
    return total.hexdigest()
