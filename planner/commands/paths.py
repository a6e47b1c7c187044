"""`linebeat paths SCENE TRACKS`: arcs, lags, settles and holds of motion tracks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from audio.errors import LinebeatError, TableError, UsageError
from planner.cli import Exit
from planner.commands._shared import (
    check_json,
    say,
    scene_path,
    shot_of_scene,
    write_json,
)
from planner.scene import Scene
from planner.told.wording import nearest

if TYPE_CHECKING:
    from pathlib import Path

    from planner.commands._picture import Job, Result
    from planner.paths.compare import Changes
    from planner.paths.findings import BeatSpan, WordSpan
    from planner.paths.review import PathReview
    from planner.paths.tracks import Tracks
    from planner.shot import Shot

KNOWN_RATES = (12.0, 15.0, 24.0, 25.0, 30.0, 48.0, 50.0, 60.0)
RATE_LIKENESS = 0.004  # how near a ratio of lengths must come to a ratio of rates


@click.command("paths")
@click.argument("scene")
@click.argument("tracks", required=False)
@click.option("--points", metavar="FILE", help="TRACKS is a movie: follow the points of this file.")
@click.option("--show", metavar="FILE", help="Draw paths and findings over the movie (.mp4, .png).")
@click.option("--starts", type=int, metavar="N", help="Frame number of the movie's first picture.")
@click.option("--who", help="Only this character's points.")
@click.option("--against", metavar="OLD", help="An older version of the tracks.")
@click.option("--frames", metavar="A-B", help="Look at these frames alone.")
@click.option("--words", metavar="L:A-B", help="Look at these words of line L alone.")
@click.option("--beat", type=int, metavar="N", help="Look at this beat alone (from 1).")
@click.option("--picture", metavar="FILE", help="Draw what was found (.svg or .png).")
@click.option("--force", is_flag=True, help="Replace the picture if it is there.")
@click.option("--kind", "kinds", multiple=True, metavar="KIND", help="Only findings of this kind.")
@click.option("--worst", type=int, metavar="N", help="Only so many findings, the surest first.")
@click.option(
    "--note", "noted", multiple=True, type=int, metavar="NO", help="Make a note of finding NO."
)
@click.option("--meant", type=int, metavar="NO", help="Finding NO is meant; say --why.")
@click.option("--why", help="The reason for --meant.")
@click.option("--rate", metavar="R", help="Frames a second, where there is no scene (24).")
@click.option("--moves", is_flag=True, help="Print every move and lag, not only the findings.")
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
def command(
    scene: str, tracks: str | None, who: str | None, against: str | None, frames: str | None,
    words: str | None, beat: int | None, picture: str | None, force: bool, kinds: tuple[str, ...],
    worst: int | None, noted: tuple[int, ...], meant: int | None, why: str | None,
    rate: str | None, moves: bool, json_to: str | None, points: str | None, starts: int | None,
    show: str | None,
) -> int:  # fmt: skip
    """Arcs, lags, spacing and drift of the points in TRACKS (CSV or BVH, or a movie with --points).

    With tracks alone, and no scene, findings are not tied to words.

    Exit code 1 if something is found wanting for certain.
    """
    from planner.commands._picture import check_show
    from planner.files.targets import check_target
    from planner.lead.notes import placed_notes
    from planner.paths.compare import compare_reviews
    from planner.paths.review import only_frames, only_kinds, review_paths, without_meant
    from planner.scene_file import read_scene_and_text
    from planner.shot.meant import placed_meant, reason_for

    if json_to:
        check_json(json_to)
    for target in filter(None, (picture, show)):
        check_target(target, force=force)
    if show:
        check_show(show, points)
    check_kinds(kinds)
    if tracks is None:
        found = review_alone(scene, rate, _asked(frames))
        return _told(only_kinds(found, kinds) if kinds else found, None, json_to, moves, worst)
    path = scene_path(scene)
    loaded, old_text = read_scene_and_text(path)
    if who is not None and who not in loaded.characters:
        raise UsageError(f'no character "{who}" in {loaded.file}',
                         mend=nearest(who, loaded.characters))  # fmt: skip
    new, followed = _tracks(loaded, tracks, points=points, starts=starts)
    old = load_tracks(loaded, against) if against else None
    shot = _shot(loaded)
    accepted = placed_meant(shot)
    spoken, played = word_spans(shot), beat_spans(shot)
    chunk = chosen_frames(loaded, spoken, played, frames=frames, words_asked=words, beat=beat)

    check_on_tracks(new, chunk)

    def review(given: Tracks) -> PathReview:
        whole = review_paths(
            given, clock=loaded.clock, scene=loaded, words=spoken, beats=played, who=who
        )
        whole = without_meant(whole, lambda finding: reason_for(finding, accepted))
        return only_frames(whole, chunk) if chunk else whole

    found = review(new)
    if noted or meant is not None:
        return _decide(path, old_text, shot, found, noted, meant, why)
    if kinds:
        found = only_kinds(found, kinds)
    changes = None
    if old is not None:
        changes = compare_reviews(review(old), found, old_tracks=old, new_tracks=new,
                                  notes=placed_notes(shot), who=who)  # fmt: skip
    if picture:
        from planner.paths.picture import draw_review

        draw_review(picture, new, found)
        say(f"drew {picture}")
    if show and followed:
        _draw_over(show, followed, found, chunk, force=force)
    told = {"file": against, **changes.to_json()} if changes is not None else None
    return _told(found, changes, json_to, moves, worst, against=told)


def _told(
    found: PathReview, changes: Changes | None, json_to: str | None, moves: bool,
    worst: int | None, *, against: dict[str, object] | None = None,
) -> int:  # fmt: skip
    """Print, write, and say whether something is wanting."""
    from planner.told.paths_text import print_review

    if json_to:
        data = found.to_json()
        if against is not None:
            data["against"] = against
        write_json(data, json_to)
    if json_to != "-":
        print_review(found, changes, moves=moves, worst=worst)
    return int(Exit.DONE if found.ok else Exit.WANTING)


def _asked(frames: str | None) -> tuple[int, int] | None:
    return frame_range(frames, "--frames", "1-50") if frames else None


def check_kinds(kinds: tuple[str, ...]) -> None:
    """Refuse a kind of finding that does not exist. Raises UsageError."""
    from planner.paths.findings import KINDS

    for kind in kinds:
        if kind not in KINDS:
            raise UsageError(f'--kind "{kind}" is no kind of finding', mend=nearest(kind, KINDS))


def review_alone(tracks: str, rate: str | None, frames: tuple[int, int] | None) -> PathReview:
    """The review of a track file without a scene. Raises UsageError, TableError."""
    from planner.frames import Clock, FrameRate
    from planner.paths.review import only_frames, review_paths
    from planner.paths.track_file import read_tracks

    if not tracks.lower().endswith((".csv", ".bvh")):
        raise UsageError("no tracks are named", mend="linebeat paths SCENE TRACKS, or TRACKS alone")
    try:
        clock = Clock(FrameRate.parse(rate or "24"), 1)
    except ValueError as problem:
        raise UsageError(f"--rate: {problem}", mend="write one such as --rate 24") from None
    found = review_paths(read_tracks(tracks, rate=float(clock.rate.frames_per_s)), clock=clock)
    return only_frames(found, frames) if frames else found


def _decide(
    path: Path, old_text: str, shot: Shot, found: PathReview, noted: tuple[int, ...],
    meant: int | None, why: str | None,
) -> int:  # fmt: skip
    """Findings by their number made into notes, or accepted; saved in the scene."""
    from dataclasses import replace

    from planner.lead.notes import with_note
    from planner.scene_file import save_scene
    from planner.shot.meant import with_meant

    for number in (*noted, *([] if meant is None else [meant])):
        if not 1 <= number <= len(found.findings):
            raise UsageError(f"there is no finding {number}",
                             mend=f"they are numbered 1 to {len(found.findings)}")  # fmt: skip
    scene = shot.scene
    for number in noted:
        finding = found.findings[number - 1]
        text = f"{finding.kind}: {finding.text}"
        scene = with_note(replace(shot, scene=scene), text, frames=finding.frames,
                          who=finding.who or None)  # fmt: skip
        say(f"note {len(scene.notes)} on frames {finding.frames[0]}-{finding.frames[1]}")
    if meant is not None:
        finding = found.findings[meant - 1]
        scene = with_meant(scene, finding, why or "", shot=shot)
        say(f"{finding.kind} on frames {finding.frames[0]}-{finding.frames[1]} is meant")
    save_scene(path, old_text, scene, sections=("notes", "meant"))
    return int(Exit.DONE)


def _draw_over(show: str, followed: tuple[Job, Result], found: PathReview,
               frames: tuple[int, int] | None, *, force: bool) -> None:  # fmt: skip
    """Paths and findings over the movie they were followed in."""
    from planner.commands._picture import drawn
    from planner.files.targets import write_target

    write_target(show, drawn(show, *followed, found.findings, frames), force=force)
    say(f"drew {show}")


def _tracks(
    scene: Scene, given: str, *, points: str | None, starts: int | None
) -> tuple[Tracks, tuple[Job, Result] | None]:
    """The tracks asked for: of a file, or followed in a movie (then with what can be drawn)."""
    from planner.picture.movie import is_movie

    if points is not None:
        from planner.commands._picture import follow_for_paths

        tracks, job, result = follow_for_paths(scene, given, points, starts=starts)
        return tracks, (job, result)
    if is_movie(given):
        raise UsageError("is a movie, and no points are named", where=given,
                         mend="add --points points.csv (linebeat track --pick writes a page "
                         "to point at them)")  # fmt: skip
    if starts is not None:
        raise UsageError("--starts is for a movie", mend="leave it out")
    return load_tracks(scene, given), None


def load_tracks(scene: Scene, path: str) -> Tracks:
    """A track file, checked against the scene's shot.

    Raises TableError for a file that cannot be read or belongs to other frames.
    """
    from planner.paths.track_file import read_tracks

    first = scene.shot[0] if scene.shot else scene.clock.first_frame
    tracks = read_tracks(path, rate=float(scene.rate.frames_per_s), first_frame=first)
    if scene.shot is not None:
        check_shot(tracks, scene, scene.shot)
    return tracks


def check_shot(tracks: Tracks, scene: Scene, shot: tuple[int, int]) -> None:
    """Refuse tracks of other frames, or made at another rate.

    Raises TableError.
    """
    first, last = shot[0] - scene.handles, shot[1] + scene.handles
    if tracks.last_frame < first or tracks.first_frame > last:
        raise TableError(
            f"frames {tracks.first_frame}-{tracks.last_frame} lie outside the shot "
            f"({shot[0]}-{shot[1]})", where=tracks.file,
            mend="number the frames as the scene does",
        )  # fmt: skip
    length = shot[1] - shot[0] + 1
    over = tracks.last_frame - last
    rate = float(scene.rate.frames_per_s)
    if tracks.first_frame == shot[0] and over > 2:
        for other in KNOWN_RATES:
            if abs(tracks.count / length / (other / rate) - 1.0) < RATE_LIKENESS and other != rate:
                raise TableError(
                    f"{tracks.count} frames for a shot of {length}: made at {other:g} frames a "
                    f"second, where the scene has {scene.rate}?", where=tracks.file,
                    mend=f"write the tracks at {scene.rate}, or correct the scene's shot",
                )  # fmt: skip


def _shot(scene: Scene) -> Shot:
    """The scene's shot; without sounds where one cannot be read."""
    from planner.shot import shot_of

    try:
        return shot_of_scene(scene)
    except LinebeatError as error:
        say(f"note: findings are not tied to words: {error.line()}")
        return shot_of(scene, {})


def word_spans(shot: Shot) -> list[WordSpan]:
    """Every word of the shot on its frames."""
    from planner.paths.findings import WordSpan

    return [
        WordSpan(line.number, number, word.text, *frames)
        for line in shot.lines
        for number, (word, frames) in enumerate(
            zip(shot.heard[line.number].words, shot.words[line.number], strict=True), start=1
        )
    ]


def beat_spans(shot: Shot) -> list[BeatSpan]:
    """Every beat that has frames: its own, or its words'."""
    from planner.paths.findings import BeatSpan

    return [
        BeatSpan(number, beat.who, beat.intent, *frames)
        for number, beat in enumerate(shot.scene.beats)
        if (frames := shot.beat_frames(beat))
    ]


def chosen_frames(
    scene: Scene, words: list[WordSpan], beats: list[BeatSpan], *, frames: str | None,
    words_asked: str | None = None, beat: int | None = None,
) -> tuple[int, int] | None:  # fmt: skip
    """The chunk asked for by frames, words or beat; None if all is.

    Raises UsageError for a chunk that does not exist.
    """
    if sum(option is not None for option in (frames, words_asked, beat)) > 1:
        raise UsageError("--frames, --words and --beat say the same", mend="give one of them")
    if frames is not None:
        return frame_range(frames, "--frames", "1001-1050")
    if words_asked is not None:
        return _word_frames(scene, words, words_asked)
    if beat is not None:
        span = next((b for b in beats if b.beat == beat - 1), None)
        if span is None:
            raise UsageError(f"no beat {beat} with frames", mend=f"1 to {len(scene.beats)}")
        return span.first_frame, span.last_frame
    return None


def check_on_tracks(tracks: Tracks, frames: tuple[int, int] | None) -> None:
    """Refuse a chunk that the tracks do not reach. Raises UsageError."""
    if frames and (frames[1] < tracks.first_frame or frames[0] > tracks.last_frame):
        raise UsageError(f"frames {frames[0]}-{frames[1]} lie outside the tracks",
                         mend=f"they are {tracks.first_frame}-{tracks.last_frame}")  # fmt: skip


def frame_range(text: str, option: str, example: str) -> tuple[int, int]:
    """A range as people write it, 1001-1050. Raises UsageError."""
    match = re.fullmatch(r"\s*(-?\d{1,9})\s*(?:-\s*(-?\d{1,9}))?\s*", text)
    if not match:
        raise UsageError(f'{option} "{text}" is no range', mend=f"write it as {example}")
    first, last = int(match[1]), int(match[2] or match[1])
    if last < first:
        raise UsageError(f'{option} "{text}" runs backwards', mend=f"write it as {example}")
    return first, last


def _word_frames(scene: Scene, words: list[WordSpan], asked: str) -> tuple[int, int]:
    line_text, colon, range_text = asked.partition(":")
    numbers = [line.number for line in scene.lines if line_text in (line.id, str(line.number))]
    if not colon or not numbers:
        known = [str(line.number) for line in scene.lines] + [line.id for line in scene.lines]
        raise UsageError(f'--words "{asked}" names no line', mend=nearest(line_text, known))
    first, last = frame_range(range_text, "--words", "1:2-4")
    mine = [w for w in words if w.line == numbers[0] and first <= w.word <= last]
    if not words:
        raise UsageError("no word of the scene has frames", mend="choose by --frames instead")
    count = sum(w.line == numbers[0] for w in words)
    if not 1 <= first <= last <= count:
        has = "1 word" if count == 1 else f"{count} words"
        raise UsageError(f"line {line_text} has {has}, so no words {first}-{last}",
                         mend="count the words from 1")  # fmt: skip
    return mine[0].first_frame, mine[-1].last_frame
