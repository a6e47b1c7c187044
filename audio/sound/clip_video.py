"""The sound of a film file, by PyAV where the extra `video` is installed.

Gives the same stream of blocks as a sound file does. The picture is never decoded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.errors import ClipError
from audio.sound.gather import check_channels


def read_video_sound(
    file: Path, where: str, *, is_film: bool = True
) -> tuple[int, Iterator[NDArray[np.float32]]]:
    """Rate in Hz and blocks of shape (n, channels) of the first sound track.

    is_film : whether messages speak of a film, or of a sound that is coded as films' are.
    Raises ClipError where the extra is missing, the file is broken or it has no sound.
    """
    try:
        import av  # noqa: F401
    except ImportError as problem:
        said = "sound inside a film file" if is_film else "AAC sound"
        raise ClipError(
            f"{said} needs the extra `video`",
            where=where,
            mend='run: pip install "linebeat[video]", or export the sound as WAV',
        ) from problem
    frames = _frames(file, where)
    first = next(frames, None)
    if first is None:
        raise ClipError("the film file has no sound track", where=where, mend="name a sound file")
    return int(first.sample_rate), _blocks(chain([first], frames), where)


def _frames(file: Path, where: str) -> Iterator[Any]:
    """Decoded frames of the first sound track, none where there is no such track."""
    import av

    broken = (av.FFmpegError, OSError, ValueError, TypeError, OverflowError)
    try:
        container = av.open(str(file))
    except broken as problem:
        raise ClipError(
            "not a film file that can be read", where=where, mend="export the sound as WAV"
        ) from problem
    with container:
        if not container.streams.audio:
            return
        try:
            yield from container.decode(container.streams.audio[0])
        except broken as problem:
            raise _breaks_off(where) from problem


def _blocks(frames: Iterable[Any], where: str) -> Iterator[NDArray[np.float32]]:
    """Frames as floats, all of the rate and the channels of the first. Raises ClipError."""
    import av

    resampler = None
    told: tuple[int, int] | None = None
    for frame in frames:
        channels = len(frame.layout.channels)
        check_channels(channels, where)
        here = (int(frame.sample_rate), channels)
        if len(frame.planes) != (channels if frame.format.is_planar else 1):
            raise _breaks_off(where)  # its samples would lie outside what was decoded
        if resampler is None:
            resampler, told = av.AudioResampler("fltp", frame.layout, frame.sample_rate), here
        if here != told:
            raise ClipError(
                "the film file's sound changes its rate or its channels on the way", where=where,
                mend="export the sound as WAV",
            )  # fmt: skip
        try:
            parts = resampler.resample(frame)
        except (av.FFmpegError, ValueError) as problem:
            raise _breaks_off(where) from problem
        for part in parts:
            yield np.ascontiguousarray(part.to_ndarray().T, dtype=np.float32)


def _breaks_off(where: str) -> ClipError:
    return ClipError(
        "the film file's sound breaks off", where=where, mend="export the sound as WAV"
    )
