"""The sound of a film file, by PyAV where the extra `video` is installed.

Gives the same stream of blocks as a sound file does. The picture is never decoded.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audio.errors import ClipError


def read_video_sound(file: Path, where: str) -> tuple[int, Iterator[NDArray[np.float32]]]:
    """Rate in Hz and blocks of shape (n, channels) of the first sound track.

    Raises ClipError where the extra is missing, the file is broken or it has no sound.
    """
    try:
        import av
    except ImportError as problem:
        raise ClipError(
            "sound inside a film file needs the extra `video`",
            where=where,
            mend='run: pip install "linebeat[video]", or export the sound as WAV',
        ) from problem
    try:
        container = av.open(str(file))
    except (av.FFmpegError, OSError, ValueError) as problem:
        raise ClipError(
            "not a film file that can be read", where=where, mend="export the sound as WAV"
        ) from problem
    if not container.streams.audio:
        container.close()
        raise ClipError("the film file has no sound track", where=where, mend="name a sound file")
    rate_hz = int(container.streams.audio[0].rate)
    return rate_hz, _decode(container, where)


def _decode(container: object, where: str) -> Iterator[NDArray[np.float32]]:
    import av

    with container:  # type: ignore[attr-defined]
        track = container.streams.audio[0]  # type: ignore[attr-defined]
        resampler = av.AudioResampler(format="fltp", layout=track.layout, rate=track.rate)
        try:
            for frame in container.decode(track):  # type: ignore[attr-defined]
                for part in resampler.resample(frame):
                    yield np.ascontiguousarray(part.to_ndarray().T, dtype=np.float32)
        except av.FFmpegError as problem:
            raise ClipError(
                "the film file's sound breaks off", where=where, mend="export the sound as WAV"
            ) from problem
