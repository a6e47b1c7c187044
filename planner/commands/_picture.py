"""What the commands that look into a movie share: the movie on the scene's frames, its points."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from audio.errors import MovieError, TableError, UsageError
from planner.commands._shared import say, working

if TYPE_CHECKING:
    from audio.reading import FloatArray
    from planner.export.path_overlay import Paths
    from planner.paths.findings import Finding
    from planner.paths.tracks import Tracks
    from planner.picture.follow_points import Followed
    from planner.picture.frame_map import FrameMap
    from planner.picture.movie import Movie, Picture
    from planner.picture.pins import Pin
    from planner.scene import Scene

FRAMES_MAX = 20_000  # followed at a time: fourteen minutes at 24
POINT_BYTES_MAX = 50_000_000  # of a file of points


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A movie, which of its pictures are which frames, and the pins to follow from."""

    movie: Movie
    frames: FrameMap
    names: tuple[str, ...]
    pins: tuple[Pin, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """Points on frames: places (points, frames, 2), confidence, the file's text, lines to tell."""

    names: tuple[str, ...]
    first_frame: int
    places: FloatArray
    confidence: FloatArray
    text: str
    told: tuple[str, ...]


def movie_on_frames(
    path: str, scene: Scene | None, *, starts: int | None, frames: tuple[int, int] | None
) -> tuple[Movie, FrameMap]:
    """A movie and its frames; what was assumed is told.

    Raises MovieError, UsageError where the frames do not meet it.
    """
    from planner.picture.movie import open_movie

    movie = open_movie(path)
    mapped = _mapped(movie, scene, starts)
    wanted = frames or (_shot_with_handles(scene) if scene else None)
    if wanted:
        if wanted[1] < mapped.first_frame or wanted[0] > mapped.last_frame:
            raise UsageError(f"frames {wanted[0]}-{wanted[1]} are not in the movie", where=path,
                             mend=f"it shows frames {mapped.first_frame}-{mapped.last_frame}; "
                             "--starts N says otherwise")  # fmt: skip
        mapped = mapped.only(*wanted)
    if len(mapped.pictures) > FRAMES_MAX:
        raise MovieError(f"is {len(mapped.pictures):,} frames long", where=path,
                         mend="name a part of it: --frames A-B")  # fmt: skip
    for remark in (*movie.remarks, *mapped.remarks):
        say(f"note: {remark}")
    return movie, mapped


def _mapped(movie: Movie, scene: Scene | None, starts: int | None) -> FrameMap:
    from planner.picture.frame_map import map_frames, one_to_one

    if scene is None:
        return one_to_one(movie.count, 1 if starts is None else starts)
    rate = float(scene.rate.frames_per_s)
    shot, handles = scene.shot, scene.handles
    if shot is None:
        first = scene.clock.first_frame if starts is None else starts
        return map_frames(movie.times_s, rate=rate, first_frame=first)
    length = shot[1] - shot[0] + 1
    mapped = map_frames(movie.times_s, rate=rate, first_frame=shot[0], frames=length)
    got = len(mapped.pictures)
    first = shot[0]
    if handles and abs(got - length - 2 * handles) <= 1:
        first = shot[0] - handles
    if starts is not None:
        first = starts
    elif abs(got - length) > 1 and first == shot[0]:
        say(f"note: the movie has {got} frames, the shot {length}: its first is taken for frame "
            f"{first}; --starts N says otherwise")  # fmt: skip
    return map_frames(movie.times_s, rate=rate, first_frame=first, frames=length)


def _shot_with_handles(scene: Scene) -> tuple[int, int] | None:
    return (scene.shot[0] - scene.handles, scene.shot[1] + scene.handles) if scene.shot else None


def read_pins(path: str) -> tuple[Pin, ...]:
    """The pins of a file: one of points, or of tracks with its pins.

    Raises TableError.
    """
    from audio.regular_file import open_regular
    from planner.files.file_kind import HEAD_BYTES, kind_of
    from planner.picture.pins import parse_pins

    if Path(path).is_dir():
        raise TableError("is a folder", where=path, mend="name a file of points in it")
    try:
        with open_regular(Path(path)) as stream:
            raw = stream.read(POINT_BYTES_MAX + 1)
    except FileNotFoundError:
        raise TableError("no such file", where=path, mend="check the name") from None
    kind = kind_of(raw[:HEAD_BYTES])
    if kind:
        raise TableError(f"is {kind}, no file of points", where=path, mend="name a CSV")
    if len(raw) > POINT_BYTES_MAX:
        raise TableError("is too large for a file of points", where=path, mend="name another")
    try:
        return parse_pins(raw.decode("utf-8-sig"), file=path)
    except UnicodeDecodeError:
        raise TableError("is no text in UTF-8", where=path, mend="save it as UTF-8") from None


def make_job(movie: Movie, frames: FrameMap, pins: Sequence[Pin]) -> Job:
    """The pins laid on the movie: looked for where they have a look, told where they are missing.

    Raises UsageError for pins off the frames or the picture, and if none is left.
    """
    from planner.picture.again import find_again

    for pin in pins:
        if pin.look is None:
            _check_pin(movie, frames, pin)
    on_frames = [pin for pin in pins if frames.picture_of(pin.frame) is not None]
    for pin in pins:
        if pin not in on_frames:
            say(f"note: {pin.name} on frame {pin.frame} is not in this movie")
    with working("looking for the points"):
        found = find_again(on_frames, _pictures(movie, frames, on_frames))
    names = tuple(dict.fromkeys(pin.name for pin in pins))
    for pin in found.moved:
        say(f"note: {pin.name} on frame {pin.frame} was found at {pin.x:.1f},{pin.y:.1f}")
    for pin in found.missing:
        say(f"{pin.name} was not found on frame {pin.frame}: it needs a new pin there")
    if not found.pins:
        raise UsageError("none of the points was found in this movie", where=movie.file,
                         mend="pin them anew: --pick page.html")  # fmt: skip
    kept = tuple(n for n in names if any(pin.name == n for pin in found.pins))
    return Job(movie, frames, kept, found.pins)


def _check_pin(movie: Movie, frames: FrameMap, pin: Pin) -> None:
    where = f"{pin.name} on frame {pin.frame}"
    if frames.picture_of(pin.frame) is None:
        raise UsageError("that frame is not in the movie", where=where,
                         mend=f"it shows frames {frames.first_frame}-{frames.last_frame}; "
                         "--starts N says otherwise")  # fmt: skip
    if not (0 <= pin.x < movie.width and 0 <= pin.y < movie.height):
        raise UsageError(f"{pin.x:g},{pin.y:g} is outside the picture", where=where,
                         mend=f"it is {movie.width} x {movie.height} pixels")  # fmt: skip


def _pictures(
    movie: Movie, frames: FrameMap, pins: Sequence[Pin]
) -> Callable[[int], Picture | None]:
    """The pictures of pins' frames, asked for in rising order; one is held at a time."""
    wanted = {n for pin in pins if (n := frames.picture_of(pin.frame)) is not None and
              pin.look is not None}  # fmt: skip
    coming: Iterator[tuple[int, Picture]] = movie.at(wanted)
    held: list[tuple[int, Picture]] = []

    def picture_of(frame: int) -> Picture | None:
        number = frames.picture_of(frame)
        while not held or (number is not None and held[0][0] < number):
            following = next(coming, None)
            if following is None:
                return None
            held[:] = [following]
        return held[0][1] if held[0][0] == number else None

    return picture_of


def follow_job(job: Job) -> Result:
    """Follow the points. Raises MovieError if no picture can be decoded."""
    from planner.picture.follow_points import follow_points
    from planner.picture.track_text import seen_on_frames, told_points, tracks_text

    numbers = job.frames.pictures[job.frames.pictures >= 0]
    order = {name: index for index, name in enumerate(job.names)}
    pins: dict[int, dict[int, tuple[float, float]]] = {}
    for pin in job.pins:
        number = job.frames.picture_of(pin.frame)
        if number is not None:
            pins.setdefault(number, {})[order[pin.name]] = (pin.x, pin.y)
    with working(f"following {len(order)} points") as tell:
        followed = follow_points(
            job.movie, pins, len(order), first=int(numbers[0]), last=int(numbers[-1]),
            tell=lambda done, of: tell(f"following {len(order)} points: {done} of {of} pictures"),
        )  # fmt: skip
    places, confidence, why = seen_on_frames(followed.seen, job.frames)
    first = job.frames.first_frame
    text = tracks_text(job.names, first, places, confidence, remarks=_remarks(job, followed))
    told = [*told_points(job.names, first, confidence, why), *_told_more(job, followed)]
    return Result(job.names, first, places, confidence, text, tuple(told))


def _remarks(job: Job, followed: Followed) -> Iterator[str]:
    from planner.picture.pins import pin_remark

    yield f"followed in {Path(job.movie.file).name}, {job.movie.width} x {job.movie.height} pixels"
    for pin in job.pins:
        key = job.frames.picture_of(pin.frame), job.names.index(pin.name)
        patch = followed.looks.get(key) if key[0] is not None else None  # type: ignore[arg-type]
        if patch is not None:
            yield pin_remark(pin, patch)


def _told_more(job: Job, followed: Followed) -> Iterator[str]:
    frame_of = {int(n): job.frames.first_frame + i for i, n in enumerate(job.frames.pictures)}
    for cut in followed.cuts:
        if cut in frame_of:
            yield f"cut to another shot on frame {frame_of[cut]}: points need a pin after it"
    for number, point in followed.weak:
        yield (f"{job.names[point]} on frame {frame_of.get(number, number)} has little to hold on "
               "to; a corner or a spot is followed more surely")  # fmt: skip
    if followed.exposure.step > 1:
        yield f"drawn on {_COUNTED.get(followed.exposure.step, 'more')}: held pictures were joined"
    elif followed.exposure.held:
        yield f"{len(followed.exposure.held)} single pictures repeat the one before"


_COUNTED = {2: "twos", 3: "threes", 4: "fours"}


def page_to_pick(movie: Movie, frames: FrameMap, pins: Sequence[Pin], options: str = "") -> str:
    """The page on which points are picked, with those that are known already.

    options : how the movie was read, for the command that follows.
    """
    from planner.export.pick_page import frames_to_show, pick_page

    chosen = frames_to_show(frames.first_frame, frames.last_frame, [pin.frame for pin in pins])
    frame_of: dict[int, int] = {}
    for frame in chosen:
        number = frames.picture_of(frame)
        if number is not None:
            frame_of.setdefault(number, frame)
    with working("taking pictures"):
        shown = [(frame_of[n], picture) for n, picture in movie.at(frame_of, colour=True)]
    if not shown:
        raise MovieError("holds no picture that can be decoded", where=movie.file,
                         mend="render it again")  # fmt: skip
    stem = Path(movie.file).stem
    return pick_page(
        Path(movie.file).name, shown, width=movie.width, height=movie.height, pins=pins,
        save_as=f"{stem}_points.csv",
        then=f"linebeat track {Path(movie.file).name}{options} --points {stem}_points.csv -o "
        f"{stem}_tracks.csv",
    )  # fmt: skip


def follow_for_paths(
    scene: Scene, path: str, points: str, *, starts: int | None
) -> tuple[Tracks, Job, Result]:
    """Points of a file followed in a movie of the scene, as `paths` takes them."""
    from planner.paths.track_file import parse_csv

    pins = read_pins(points)
    movie, frames = movie_on_frames(path, scene, starts=starts, frames=None)
    job = make_job(movie, frames, pins)
    result = follow_job(job)
    for line in result.told:
        say(f"note: {line}")
    return parse_csv(result.text, file=path), job, result


def check_show(show: str, points: str | None = "") -> None:
    """Refuse a picture or movie that cannot be made. Raises UsageError."""
    if points is None:
        raise UsageError("--show draws over a movie", mend="name the movie, and its points with "
                         "--points")  # fmt: skip
    if Path(show).suffix.lower() not in (".mp4", ".png"):
        raise UsageError(f'nothing is drawn as "{Path(show).suffix}"', where=show,
                         mend="use .mp4 (the movie) or .png (one picture)")  # fmt: skip


def drawn(show: str, job: Job, result: Result, findings: Sequence[Finding] = (),
          frames: tuple[int, int] | None = None) -> bytes:  # fmt: skip
    """The paths over the movie: a movie or one picture, as the ending of `show` says.

    frames : these alone.
    """
    from planner.export.path_overlay import Paths, overlay_movie, png_bytes

    if frames is not None:
        job = replace(job, frames=job.frames.only(*frames))
    first = job.frames.first_frame
    cut = slice(first - result.first_frame, job.frames.last_frame - result.first_frame + 1)
    paths = Paths(result.names, first, result.places[:, cut], result.confidence[:, cut],
                  tuple(findings))  # fmt: skip
    if Path(show).suffix.lower() == ".png":
        return png_bytes(_still(job, paths))
    rate = Fraction(job.movie.rate or 24).limit_denominator(1001)
    with working("drawing"):
        return overlay_movie(_drawn_frames(job, paths), rate)


def _still(job: Job, paths: Paths) -> Picture:
    """The paths over the frame on which most points are seen, the latest such."""
    import numpy as np

    from planner.export.path_overlay import draw_still, rings_of

    seen = np.isfinite(paths.places[:, :, 0]).sum(axis=0)
    best = len(seen) - 1 - int(np.argmax(seen[::-1]))
    _, picture = next(job.movie.at([int(job.frames.pictures[best])], colour=True))
    return draw_still(picture, paths, rings_of(paths))


def _drawn_frames(job: Job, paths: Paths) -> Iterator[Picture]:
    """Every frame with its paths; one picture is held at a time."""
    from planner.export.path_overlay import draw_frame, rings_of

    rings = rings_of(paths)
    coming = job.movie.at((int(n) for n in job.frames.pictures if n >= 0), colour=True)
    held: tuple[int, Picture] | None = None
    for index, number in enumerate(job.frames.pictures):
        while held is None or held[0] < number:
            following = next(coming, None)
            if following is None:
                return
            held = following
        yield draw_frame(held[1], paths, job.frames.first_frame + index, rings)
