"""`linebeat track MOVIE`: points followed in the picture, into a table that `paths` reads."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from audio.errors import UsageError
from planner.commands._shared import say, scene_path

if TYPE_CHECKING:
    from planner.picture.pins import Pin
    from planner.scene import Scene

_PIN = re.compile(r"[^-=][^=]*=.*")


class PinCommand(click.Command):
    """A command whose `--at FRAME NAME=X,Y ...` takes as many points as follow it."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        return super().parse_args(ctx, _joined_pins(args))


def _joined_pins(args: list[str]) -> list[str]:
    """Every point after --at FRAME as an --at of its own: `--at "1001 nose=812,340"`."""
    out: list[str] = []
    rest = list(args)
    while rest:
        word = rest.pop(0)
        if word != "--at" or not rest:
            out.append(word)
            continue
        frame = rest.pop(0)
        points: list[str] = []
        while rest and _PIN.fullmatch(rest[0]):
            points.append(rest.pop(0))
        for point in points or [""]:
            out += ["--at", f"{frame} {point}".strip()]
    return out


@click.command("track", cls=PinCommand)
@click.argument("movie")
@click.option("--at", multiple=True, metavar="FRAME NAME=X,Y ...",
              help="Where points are on a frame, in pixels; may stand several times.")  # fmt: skip
@click.option("--points", metavar="FILE", help="Points from a file, or an earlier track file.")
@click.option("--pick", metavar="PAGE.html", help="Write a page to pick points on.")
@click.option("--show", metavar="FILE", help="Draw the paths over the movie (.mp4, or one .png).")
@click.option("--scene", metavar="SCENE", help="The scene whose frames the movie shows.")
@click.option("--starts", type=int, metavar="N", help="Frame number of the movie's first picture.")
@click.option("--frames", metavar="A-B", help="Follow on these frames alone.")
@click.option("-o", "--output", metavar="TRACKS.csv", help='Where to write; "-" prints.')
@click.option("--force", is_flag=True, help="Replace files that are there.")
def command(
    movie: str, at: tuple[str, ...], points: str | None, pick: str | None, show: str | None,
    scene: str | None, starts: int | None, frames: str | None, output: str | None, force: bool,
) -> int:  # fmt: skip
    """Follow points in MOVIE (a playblast, a render, a line test).

    Name points with --at, in a file (--points: frame,name,x,y), or on a page (--pick). With an
    earlier track file as --points its points are looked for near where they were.
    """
    from planner.commands._picture import (
        check_show,
        drawn,
        follow_job,
        make_job,
        movie_on_frames,
        page_to_pick,
    )
    from planner.files.targets import check_target, write_target

    _check_asked(at, points, pick, output or show)
    if show:
        check_show(show)
    for target in filter(None, (pick, output, show)):
        check_target(target, force=force)
    pins = [*(_pins_of(at)), *(_read(points) if points else ())]
    shown, mapped = movie_on_frames(movie, _scene(scene), starts=starts, frames=_range(frames))
    if pick:
        read = (("scene", scene), ("starts", starts), ("frames", frames))
        told = "".join(f" --{key} {value}" for key, value in read if value is not None)
        write_target(pick, page_to_pick(shown, mapped, pins, told), force=force)
        say(f"wrote {pick}: open it in a browser")
        return 0
    job = make_job(shown, mapped, pins)
    result = follow_job(job)
    if output == "-":
        click.echo(result.text, nl=False)
    elif output:
        write_target(output, result.text, force=force)
        say(f"wrote {output}")
    if show:
        write_target(show, drawn(show, job, result), force=force)
        say(f"drew {show}")
    for line in result.told:
        say(line)
    return 0


def _check_asked(at: tuple[str, ...], points: str | None, pick: str | None, output: str | None
                 ) -> None:  # fmt: skip
    if not (at or points or pick):
        raise UsageError("no points are named", mend="add --at FRAME NAME=X,Y, --points FILE, or "
                         "--pick page.html to point at them")  # fmt: skip
    if pick and output:
        raise UsageError("--pick only writes the page", mend="leave -o for when points are picked")
    if not output and not pick:
        raise UsageError("nowhere to write to", mend="add -o tracks.csv")


def _scene(path: str | None) -> Scene | None:
    if path is None:
        return None
    from planner.scene_file import read_scene

    return read_scene(scene_path(path))


def _read(path: str) -> tuple[Pin, ...]:
    from planner.commands._picture import read_pins

    return read_pins(path)


def _range(text: str | None) -> tuple[int, int] | None:
    if text is None:
        return None
    from planner.commands.paths import frame_range

    return frame_range(text, "--frames", "1001-1050")


def _pins_of(at: tuple[str, ...]) -> list[Pin]:
    from planner.picture.pins import checked_pin

    pins = []
    for entry in at:
        frame, _, point = entry.partition(" ")
        name, equals, place = point.partition("=")
        x, comma, y = place.partition(",")
        if not (equals and comma):
            raise UsageError(f'--at "{entry}" names no point', mend="write --at 1001 nose=812,340")
        pins.append(checked_pin(frame, name.strip(), x.strip(), y.strip(), where="--at"))
    return pins
