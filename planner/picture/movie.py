"""A movie as pictures with exact numbers and times, forwards and backwards, by PyAV.

The index comes from the packets alone (no decoding): a picture's number is its place among the
presentation times, its time is exact, whatever the time base and whether the rate varies. Where
packets carry no times (raw streams) the pictures are decoded once to count them.

Only a few pictures are held at a time: forwards one, backwards a chunk of at most CHUNK_BYTES. No
other file and no address is opened, whatever the file names (a playlist does).

This is the one module of `planner.picture` that touches files. It needs the extra
`picture-tracks`. It does not read sound (`audio.sound.clip_video` does).
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from audio.errors import MovieError
from audio.reading import FloatArray, frozen_array

if TYPE_CHECKING:
    from av.container import InputContainer

Picture = NDArray[np.uint8]  # (height, width) grey, or (height, width, 3) blue green red

CHUNK_BYTES = 80_000_000  # of grey pictures held while going backwards
LARGEST_PIXELS = 40_000_000  # a picture beyond 8K is no playblast
SMALLEST_SIDE = 32  # pixels
LUMA_FIRST = ("yuv420p", "yuv422p", "yuv444p", "yuvj420p", "yuvj422p", "yuvj444p", "nv12", "gray")
NEEDED = "pip install 'linebeat[picture-tracks]'"


@dataclass(frozen=True, slots=True, eq=False)
class Movie:
    """What is known of a movie without looking at it.

    times_s : when each picture comes on screen, from the first one on, rising; width, height :
    pixels, as the movie is shown (a turned one turned); stamps : the same times in the stream's
    own unit, or mere numbers where it has no times (`counted`). remarks : what to be told.
    """

    file: str
    width: int
    height: int
    times_s: FloatArray
    stamps: NDArray[np.int64] = field(repr=False)
    quarter_turns: int = 0
    counted: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Number of pictures."""
        return len(self.times_s)

    @property
    def rate(self) -> float:
        """Pictures a second, from the middle length of a picture; 0 for a single picture."""
        steps = np.diff(self.times_s)
        return float(1.0 / np.median(steps)) if len(steps) else 0.0

    @property
    def even(self) -> bool:
        """True if every picture stands equally long (within half a picture)."""
        if self.count < 3:
            return True
        step = (self.times_s[-1] - self.times_s[0]) / (self.count - 1)
        ideal = np.arange(self.count) * step
        return bool(np.max(np.abs(self.times_s - self.times_s[0] - ideal)) < 0.5 * step)

    def forward(self, first: int, last: int) -> Iterator[tuple[int, Picture]]:
        """Grey pictures from number `first` to `last` (from 0, inclusive), with their numbers.

        A picture that cannot be decoded is left out. Raises MovieError if none can.
        """
        return self._pictures(first, last, colour=False)

    def backward(self, last: int, first: int) -> Iterator[tuple[int, Picture]]:
        """The same from `last` down to `first`, decoded chunk by chunk."""
        room = max(4, CHUNK_BYTES // (self.width * self.height))
        while last >= first:
            begin = max(first, last - room + 1)
            yield from reversed(list(self._pictures(begin, last, colour=False)))
            last = begin - 1

    def at(self, numbers: Iterable[int], *, colour: bool = False) -> Iterator[tuple[int, Picture]]:
        """Single pictures, in rising order, each once."""
        wanted = sorted({n for n in numbers if 0 <= n < self.count})
        while wanted:
            # Pictures that lie near one another are met on one way through the file.
            together = [n for n in wanted if n - wanted[0] < 400]
            chosen = set(together)
            yield from self._pictures(together[0], together[-1], colour=colour, only=chosen)
            wanted = wanted[len(together) :]

    def _pictures(
        self, first: int, last: int, *, colour: bool, only: set[int] | None = None
    ) -> Iterator[tuple[int, Picture]]:
        first, last = max(first, 0), min(last, self.count - 1)
        with _opened(self.file) as container:
            stream = _video_stream(container, self.file)
            if first > 0 and not self.counted:
                with contextlib.suppress(_ffmpeg_error()):
                    container.seek(int(self.stamps[first]), stream=stream, backward=True)
            before = -1
            for number, frame in self._numbered(_decoded(container, self.file)):
                if number < first or number <= before:
                    continue
                if number > last:
                    return
                before = number
                if only is None or number in only:
                    yield number, self._picture(frame, number, colour)

    def _numbered(self, frames: Iterator[Any]) -> Iterator[tuple[int, Any]]:
        """Frames with their numbers: by their times, or counted where they have none."""
        if self.counted:
            yield from enumerate(frames)
            return
        for frame in frames:
            number = int(np.searchsorted(self.stamps, frame.pts)) if frame.pts is not None else -1
            if 0 <= number < self.count and self.stamps[number] == frame.pts:
                yield number, frame

    def _picture(self, frame: Any, number: int, colour: bool) -> Picture:
        sizes = (self.height, self.width)
        picture = _colour(frame) if colour else _grey(frame)
        if self.quarter_turns:
            picture = np.ascontiguousarray(np.rot90(picture, self.quarter_turns))
        if picture.shape[:2] != sizes:
            raise MovieError(
                f"picture {number + 1} is {picture.shape[1]} x {picture.shape[0]}, the first "
                f"{self.width} x {self.height}", where=self.file, mend="render it in one size",
            )  # fmt: skip
        return picture


def open_movie(path: str | Path) -> Movie:
    """The index of a movie, one decoded picture proving that there is something to see.

    Raises MovieError for what is missing, empty, broken, without pictures or too large, or where
    the extra is not installed.
    """
    where = str(path)
    _check_file(Path(path), where)
    with _opened(where) as container:
        stream = _video_stream(container, where)
        size = stream.width * stream.height
        if size > LARGEST_PIXELS:
            raise MovieError(f"is {stream.width} x {stream.height} pixels", where=where,
                             mend="render it at 8K or less")  # fmt: skip
        aspect = stream.sample_aspect_ratio
        base = stream.time_base
        stamps = _packet_stamps(container, stream)
    decoded = _first_frame(where)
    counted = stamps is None or base is None
    if stamps is None or base is None:
        stamps = _counted(where)
    if not len(stamps):
        raise MovieError("holds no pictures", where=where, mend="render it again")
    seconds = stamps * (1.0 / _declared_rate(where) if counted else float(base))
    turns = round((getattr(decoded, "rotation", 0) or 0) / 90) % 4
    width, height = decoded.width, decoded.height
    if turns % 2:
        width, height = height, width
    if min(width, height) < SMALLEST_SIDE:
        raise MovieError(f"is {width} x {height} pixels: too small to follow anything",
                         where=where, mend="render it larger")  # fmt: skip
    remarks = []
    if aspect and aspect != 1:
        remarks.append(f"its pixels are not square ({aspect}): positions are in stored pixels")
    if turns:
        remarks.append("it is stored turned: positions are in the picture as shown")
    return Movie(where, width, height, frozen_array(seconds - seconds[0]), stamps, turns,
                 counted, tuple(remarks))  # fmt: skip


def is_movie(path: str | Path) -> bool:
    """True if a file begins like a movie, or has a movie's ending."""
    from audio.regular_file import open_regular
    from planner.files.file_kind import HEAD_BYTES, kind_of

    file = Path(path)
    if file.suffix.lower() in MOVIE_ENDINGS:
        return True
    try:
        with open_regular(file) as stream:
            return kind_of(stream.read(HEAD_BYTES)) == "a video"
    except OSError:
        return False


MOVIE_ENDINGS = (".mp4", ".mov", ".m4v", ".mkv", ".webm", ".avi", ".mxf", ".mpg", ".mpeg", ".ogv")


def _check_file(file: Path, where: str) -> None:
    if file.is_dir():
        raise MovieError("is a folder", where=where, mend="name a movie in it")
    if not file.is_file():
        raise MovieError("no such movie", where=where, mend="check the name")
    if not file.stat().st_size:
        raise MovieError("is empty", where=where, mend="render it again")


def _ffmpeg_error() -> type[Exception]:
    import av

    error: type[Exception] = av.FFmpegError
    return error


@contextlib.contextmanager
def _opened(where: str) -> Iterator[InputContainer]:
    try:
        import av
        import cv2  # noqa: F401 - missed here rather than in the middle
    except ImportError:
        raise MovieError("to look into a movie PyAV and OpenCV are needed", where=where,
                         mend=NEEDED) from None  # fmt: skip
    av.logging.set_level(None)
    try:
        container = av.open(where, options={"protocol_whitelist": "file"}, metadata_errors="ignore")
    except (av.FFmpegError, OSError, ValueError):
        mend = "render it again, say as H.264 in .mp4"
        raise MovieError("is no movie that can be read", where=where, mend=mend) from None
    with container:
        yield container


def _video_stream(container: InputContainer, where: str) -> Any:
    from av.stream import Disposition

    for stream in container.streams.video:
        if not stream.disposition & Disposition.attached_pic:
            return stream
    what = "holds sound but no pictures" if container.streams.audio else "holds no pictures"
    raise MovieError(what, where=where, mend="name the movie of the shot")


def _packet_stamps(container: InputContainer, stream: Any) -> NDArray[np.int64] | None:
    """Presentation times of all pictures, sorted; None if a packet has none."""
    import av

    stamps: list[int] = []
    with contextlib.suppress(av.FFmpegError):  # what breaks off is read as far as it goes
        for packet in container.demux(stream):
            if packet.size == 0 or packet.is_discard:
                continue
            if packet.pts is None:
                return None
            stamps.append(packet.pts)
    return np.unique(np.array(stamps, dtype=np.int64))


def _counted(where: str) -> NDArray[np.int64]:
    """Numbers of the pictures of a stream without times."""
    with _opened(where) as container:
        return np.arange(sum(1 for _ in _decoded(container, where)), dtype=np.int64)


def _declared_rate(where: str) -> float:
    with _opened(where) as container:
        stream = _video_stream(container, where)
        return float(stream.average_rate or stream.guessed_rate or 24)


def _first_frame(where: str) -> Any:
    with _opened(where) as container:
        for frame in _decoded(container, where):
            return frame
    raise MovieError("holds no picture that can be decoded", where=where, mend="render it again")


def _decoded(container: InputContainer, where: str) -> Iterator[Any]:
    """All frames that can be decoded; a broken packet is passed over."""
    import av

    stream = _video_stream(container, where)
    stream.thread_type = "AUTO"
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets, None)
            if packet is None:
                return
            yield from packet.decode()
        except (av.InvalidDataError, ValueError):
            continue
        except av.FFmpegError:
            return


def _grey(frame: Any) -> Picture:
    """The picture's luma; the plane itself where it is stored so."""
    if frame.format.name in LUMA_FIRST:
        plane = frame.planes[0]
        rows = np.frombuffer(plane, np.uint8, count=plane.line_size * frame.height)
        return np.ascontiguousarray(rows.reshape(frame.height, -1)[:, : frame.width])
    return np.ascontiguousarray(frame.to_ndarray(format="gray"))


def _colour(frame: Any) -> Picture:
    return np.ascontiguousarray(frame.to_ndarray(format="bgr24"))
