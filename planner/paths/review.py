"""PathReview: moves, lags and findings of motion tracks. The way in is `review_paths`.

    review = review_paths(tracks, clock=scene.clock, scene=scene, words=spans, who="clerk")

Pure: takes values, returns values, opens nothing. Steps: which point is which part (`parts`), one
figure a character, signals of each track (`signals`), its moves (`moves`), then the checks. Cost
grows with tracks and with frames, not with their squares.

What it does not do: judge. A finding is a remark that a choice can overrule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from planner.frames import Clock
from planner.paths.arcs import arc_findings
from planner.paths.chains import chain_findings
from planner.paths.drawings import Drawings, even_step
from planner.paths.figure import Figure, Track, extent_of
from planner.paths.findings import (
    BeatSpan,
    Finding,
    WordSpan,
    merge_rigid,
    overlap,
    tidy,
    tie,
)
from planner.paths.holds import hold_findings
from planner.paths.lags import Lag, find_lags
from planner.paths.measured import measure_tracks
from planner.paths.moves import find_moves, peak_speed_of
from planner.paths.parts import Point, point_of
from planner.paths.ranges import runs
from planner.paths.settles import settle_findings
from planner.paths.shakes import shake_findings
from planner.paths.signals import BoolArray, grain_of
from planner.paths.spacing import spacing_findings
from planner.paths.tracks import Tracks
from planner.paths.twins import twin_findings
from planner.scene import Planted, Scene, TrackOf

FEWEST_FRAMES = 8  # under this nothing can be said of a movement
MINIMUM_JERK_SPACING = 1.875  # peak over mean speed, Flash & Hogan 1985


@dataclass(frozen=True, slots=True)
class Move:
    """A move of one point. Frames are the scene's, inclusive; sizes in the file's unit.

    `settle_of` is the first frame of the move whose settle this is, or None.
    """

    track: str
    who: str
    part: str
    frames: tuple[int, int]
    size: float
    straightness: float
    bulge: float
    peak_over_mean_speed: float
    settle_frames: float
    overshoot: float
    settle_of: int | None = None

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a move."""
        return {
            "track": self.track, "frames": list(self.frames),
            "straightness": tidy(self.straightness), "bulge": tidy(self.bulge),
            "peak_over_mean_speed": tidy(self.peak_over_mean_speed),
            "settle_frames": round(self.settle_frames, 1), "who": self.who or None,
            "part": self.part, "size": tidy(self.size), "overshoot": tidy(self.overshoot),
            "settle_of": self.settle_of,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class PathReview:
    """All that was measured. `ok` is False where a finding is certain."""

    moves: tuple[Move, ...]
    lags: tuple[Lag, ...]
    findings: tuple[Finding, ...]
    remarks: tuple[str, ...] = ()
    frames: tuple[int, int] = (0, 0)
    tracks: tuple[str, ...] = ()
    chunk: Mapping[str, Any] | None = None
    meant: tuple[tuple[Finding, str], ...] = ()

    @property
    def ok(self) -> bool:
        """True if nothing is found wanting for certain."""
        return not any(finding.certain for finding in self.findings)

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a path review."""
        data: dict[str, Any] = {
            "linebeat": 1, "ok": self.ok, "frames": list(self.frames),
            "moves": [move.to_json() for move in self.moves],
            "lags": [lag.to_json() for lag in self.lags],
            "findings": [finding.to_json() for finding in self.findings],
            "meant": [{**finding.to_json(), "why": why} for finding, why in self.meant],
            "warnings": list(self.remarks),
        }  # fmt: skip
        if self.chunk is not None:
            data["chunk"] = {key: _plain(value) for key, value in self.chunk.items()}
        return data


def _plain(value: object) -> object:
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    return value


def review_paths(
    tracks: Tracks, *, clock: Clock, scene: Scene | None = None,
    words: Sequence[WordSpan] = (), beats: Sequence[BeatSpan] = (), who: str | None = None,
    track_of: Mapping[str, TrackOf] | None = None, planted: Sequence[Planted] | None = None,
) -> PathReview:  # fmt: skip
    """Moves, lags and findings of tracks.

    words, beats : what is spoken and played on which frames, to tie findings to; who : only this
    character's tracks; track_of, planted : instead of the scene's. A track of which nothing is
    known but a name counts as `who`'s, or as the only character's.
    """
    given = track_of if track_of is not None else (scene.tracks if scene else {})
    standing = planted if planted is not None else (scene.planted if scene else ())
    characters = scene.characters if scene else ()
    points = [point_of(n, characters=characters, given=given, who=who or "") for n in tracks.names]
    remarks = list(tracks.remarks)
    chosen = [i for i, p in enumerate(points) if who is None or p.who in (who, "")]
    tracks, points = tracks.only(tuple(chosen)), [points[i] for i in chosen]
    if tracks.count < FEWEST_FRAMES or not chosen:
        remarks.append(_nothing(tracks, who))
        return PathReview((), (), (), tuple(remarks), (tracks.first_frame, tracks.last_frame))
    moves: list[Move] = []
    lags: list[Lag] = []
    findings: list[Finding] = []
    for figure in figures(tracks, points, clock, standing, remarks, several=len(characters) > 1):
        moves.extend(_moves(figure))
        figure_lags, blocks = find_lags(figure)
        lags.extend(figure_lags)
        findings.extend(merge_rigid([*blocks, *_checks(figure)]))
    findings = [tie(finding, words, beats) for finding in findings]
    return PathReview(
        tuple(sorted(moves, key=lambda m: (m.frames, m.track))), tuple(lags),
        tuple(sorted(findings, key=lambda f: (-f.certainty, f.frames, f.kind))), tuple(remarks),
        (tracks.first_frame, tracks.last_frame), tracks.names,
    )  # fmt: skip


def _nothing(tracks: Tracks, who: str | None) -> str:
    if not tracks.names:
        return f"no track belongs to {who}" if who else "no tracks"
    return f"{tracks.count} frames are too few to measure movement (at least {FEWEST_FRAMES})"


def _checks(figure: Figure) -> Iterator[Finding]:
    yield from arc_findings(figure)
    yield from settle_findings(figure)
    yield from spacing_findings(figure)
    yield from twin_findings(figure)
    yield from hold_findings(figure)
    yield from shake_findings(figure)
    yield from chain_findings(figure)


def figures(
    tracks: Tracks, points: Sequence[Point], clock: Clock, planted: Sequence[Planted],
    remarks: list[str], *, several: bool = False,
) -> list[Figure]:  # fmt: skip
    """One figure a character, measured. Tracks without any position are told and left out.

    several : the scene has several characters, so that a track of nobody's may be anybody's; what
    is planted is somebody's, and is not held against it.
    """
    rate = float(clock.rate.frames_per_s)
    step = even_step(rate)
    grain = grain_of(tracks.points)
    made = []
    for who in dict.fromkeys(point.who for point in points):
        mine = [i for i, point in enumerate(points) if point.who == who]
        empty = [i for i in mine if not _recorded(tracks, i)]
        remarks.extend(f"{tracks.names[i]} has too few positions to measure" for i in empty)
        mine = [i for i in mine if i not in empty]
        if not mine:
            continue
        measured = measure_tracks([tracks.points[i] for i in mine], step=step, grain=grain)
        signals = [m.even for m in measured]
        speeds = np.array([peak_speed_of(signal) for signal in signals])
        usual = float(np.median(speeds))
        found = [find_moves(s, frames_per_s=rate / step, figure_speed=usual) for s in signals]
        remarks.extend(_exposure_remarks([m.exposed for m in measured], rate))
        remarks.extend(_lost_remarks(tracks, mine, [lost for _, lost in found], step))
        made.append(Figure(
            who,
            tuple(Track(tracks.names[i], points[i], m.even, m.drawn, m.exposed.at, table, lost)
                  for i, m, (table, lost) in zip(mine, measured, found, strict=True)),
            extent_of(signals, [table for table, _ in found]), rate / step, tracks.first_frame,
            tracks.flat,
            tuple((p.part, *p.frames) for p in planted
                  if p.who == who or not (who or several)),
            step, tracks.last_frame,
        ))  # fmt: skip
    return made


def _exposure_remarks(exposed: Sequence[Drawings], rate: float) -> Iterator[str]:
    """What was seen of held drawings."""
    held = [drawings.step for drawings in exposed if drawings.step != 1]
    if not held:
        return
    words = {2: "twos", 3: "threes", 4: "fours", 0: "ones and twos mixed"}
    told = " and ".join(words[step] for step in sorted(set(held), reverse=True))
    which = "" if len(held) == len(exposed) else f" ({len(held)} of {len(exposed)} points)"
    yield f"drawings are held on {told}{which}: measured on the drawings, not on the frames"


def _lost_remarks(
    tracks: Tracks, mine: list[int], lost: list[BoolArray], step: int
) -> Iterator[str]:
    for index, mask in zip(mine, lost, strict=True):
        for first, last in zip(*runs(mask), strict=True):
            frames = f"{tracks.first_frame + step * first}-{tracks.first_frame + step * last}"
            yield f"{tracks.names[index]} moves into a gap on frames {frames}: not measured"


def _recorded(tracks: Tracks, index: int) -> bool:
    recorded = np.isfinite(tracks.points[index]).all(axis=1)
    return int(recorded.sum()) >= FEWEST_FRAMES


def _moves(figure: Figure) -> Iterator[Move]:
    for track in figure.tracks:
        table = track.moves
        for k in range(len(table)):
            settle_of = int(table.settles[k])
            yield Move(
                track.name, figure.who, track.point.part, figure.move_frames(track, k),
                float(table.size[k]), float(min(table.straightness[k], 1.0)),
                float(table.bulge[k]), float(table.spacing[k]),
                figure.step * float(table.settle[k]),
                float(table.overshoot[k]),
                figure.move_frames(track, settle_of)[0] if settle_of >= 0 else None,
            )  # fmt: skip


def only_frames(review: PathReview, frames: tuple[int, int]) -> PathReview:
    """What lies in a chunk of frames, and what else its moves touch.

    `chunk` tells the parts that move in it, those whose moves run in or out of it and until when.
    """
    inside = [move for move in review.moves if overlap(move.frames, frames) > 0]
    beyond = [
        {"part": move.part, "track": move.track, "frames": list(move.frames)}
        for move in inside
        if move.frames[0] < frames[0] or move.frames[1] > frames[1]
    ]
    chunk = {
        "frames": frames,
        "parts": tuple(dict.fromkeys(move.part for move in inside)),
        "runs_over": tuple(beyond),
    }
    return replace(
        review, moves=tuple(inside),
        lags=tuple(lag for lag in review.lags if overlap(lag.frames, frames) > 0),
        findings=tuple(f for f in review.findings if overlap(f.frames, frames) > 0),
        frames=frames, chunk=MappingProxyType(chunk),
    )  # fmt: skip


def without_meant(review: PathReview, why: Callable[[Finding], str]) -> PathReview:
    """The review with what is meant set apart. why : the reason a finding was accepted, or ""."""
    accepted = tuple((f, why(f)) for f in review.findings if why(f))
    left = tuple(f for f in review.findings if not why(f))
    return replace(review, findings=left, meant=(*review.meant, *accepted))


def only_kinds(review: PathReview, kinds: Sequence[str]) -> PathReview:
    """The findings of some kinds alone."""
    return replace(review, findings=tuple(f for f in review.findings if f.kind in kinds))
