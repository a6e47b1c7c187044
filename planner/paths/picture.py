"""Pictures of a path review: the arc of a point with frame ticks, two parts with their lag, ...

One panel a finding, up to PANELS_MAX; without findings, the largest moves. A panel shows what the
eye checks for that kind: the path of a move with a tick a frame (spacing), two speeds one above the
other (lag), the place over time (holds), the limb frame by frame (foreshortening). Needs matplotlib
(the extra "picture"). The ending of the file picks SVG or PNG.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from audio.errors import OutputError, UsageError
from audio.reading import FloatArray
from planner.paths.findings import Finding
from planner.paths.lags import JOINED, Lag
from planner.paths.review import Move, PathReview
from planner.paths.tracks import Tracks

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Sheet

PANELS_MAX = 15
AROUND = 8  # frames shown beside what was found
COLUMNS = 3
INK, FAINT, MARK, OTHER = "#1f2933", "#a9b4bf", "#b3261e", "#1565a8"
PATH_KINDS = ("straight-path", "same-way-back", "one-axis", "arc-break", "rushed-settle", "pop")
PAIR_KINDS = ("locked-parts", "opposed-on-one-frame", "fingers-stop-with-hand")
PAIRS = tuple(pair for joined in JOINED for pair in (joined, joined[::-1]))
LIMB_KINDS = ("foreshortened", "dead-wrist")


def draw_review(path: str, tracks: Tracks, review: PathReview) -> None:
    """Write the picture of a review.

    Raises UsageError for an unknown ending or without matplotlib, OutputError if it cannot be
    written.
    """
    ending = Path(path).suffix.lower()
    if ending not in (".svg", ".png"):
        raise UsageError(f'no picture ends in "{ending}"', where=path, mend="use .svg or .png")
    try:
        from matplotlib.figure import Figure as Sheet
    except ImportError:
        raise UsageError(
            "pictures need matplotlib", mend="pip install 'linebeat[picture]'"
        ) from None
    chosen = _chosen(review)
    rows = max(1, -(-len(chosen) // COLUMNS))
    sheet = Sheet(figsize=(4.6 * COLUMNS, 3.7 * rows), layout="constrained")
    for number, item in enumerate(chosen):
        axes = sheet.add_subplot(rows, COLUMNS, number + 1)
        draw_panel(axes, tracks, item)
    if not chosen:
        sheet.text(0.5, 0.5, "nothing moves", ha="center", color=INK)
    _save(sheet, path, ending)


def _chosen(review: PathReview) -> Sequence[Finding | Move | Lag]:
    if review.findings:
        ranked = sorted(review.findings, key=lambda f: (not f.certain, f.frames))
        kinds: set[str] = set()
        for finding in list(ranked):  # one of every kind before a second of any
            if finding.kind not in kinds:
                kinds.add(finding.kind)
                ranked.remove(finding)
                ranked.insert(len(kinds) - 1, finding)
        return sorted(ranked[:PANELS_MAX], key=lambda f: f.frames)
    main = [move for move in review.moves if move.settle_of is None]
    largest: list[Move | Lag] = list(sorted(main, key=lambda m: -m.size)[:6])
    alike = sorted(review.lags, key=lambda lag: (lag.parts not in PAIRS, -lag.likeness))[:3]
    return sorted([*largest, *alike], key=lambda item: item.frames)


def _save(sheet: Sheet, path: str, ending: str) -> None:
    import matplotlib

    from planner.files.safe_write import safe_write

    buffer = io.BytesIO()
    with matplotlib.rc_context({"svg.hashsalt": "linebeat", "svg.fonttype": "none"}):
        sheet.savefig(buffer, format=ending[1:], dpi=110, metadata=_no_date(ending))
    if not buffer.getvalue():
        raise OutputError("the picture is empty", where=path)
    safe_write(Path(path), buffer.getvalue())


def _no_date(ending: str) -> dict[str, Any]:
    """The same picture twice is the same file."""
    return {"Date": None} if ending == ".svg" else {"Software": None}


def draw_panel(axes: Axes, tracks: Tracks, item: Finding | Move | Lag) -> None:
    """One finding, or one move."""
    first, last = item.frames
    if isinstance(item, Move):
        _path(axes, tracks, item.track, first, last)
        axes.set_title(f"{item.track}  {first}-{last}", fontsize=9, color=INK, loc="left")
        return
    if isinstance(item, Lag):
        _speeds(axes, tracks, (item.leader, item.follower), item.frames, item.lag_frames)
        axes.set_title(f"lag  {first}-{last}", fontsize=9, color=INK, loc="left")
        return
    span = f"{first}" if first == last else f"{first}-{last}"
    sure = "" if item.certain else " (perhaps)"
    axes.set_title(f"{item.kind}{sure}  {span}", fontsize=9, color=INK, loc="left")
    if item.kind in PAIR_KINDS and len(item.tracks) >= 2:
        lag = next((v for k, v in item.measured.items() if k.endswith("_frames")), 0.0)
        _speeds(axes, tracks, item.tracks[:2], item.frames, float(lag))
    elif item.kind in LIMB_KINDS and len(item.tracks) >= 3:
        _limb(axes, tracks, item)
    elif item.kind in PATH_KINDS:
        _path(axes, tracks, item.tracks[0], first, last)
    else:
        _over_time(axes, tracks, item)


def _cut(tracks: Tracks, name: str, first: int, last: int) -> tuple[FloatArray, FloatArray]:
    """Frames and positions of a track from first to last, as far as they exist."""
    low = max(first, tracks.first_frame)
    high = min(last, tracks.last_frame)
    points = tracks.points[tracks.names.index(name)]
    cut = points[low - tracks.first_frame : high - tracks.first_frame + 1]
    return np.arange(low, high + 1, dtype=np.float64), cut


def _path(axes: Axes, tracks: Tracks, name: str, first: int, last: int) -> None:
    """The path with a tick a frame; what lies around it is faint; the chord is dashed."""
    _, around = _cut(tracks, name, first - AROUND, last + AROUND)
    frames, inside = _cut(tracks, name, first, last)
    if len(inside) < 2:
        frames, inside = _cut(tracks, name, first - 5, last + 5)
    axes.plot(around[:, 0], around[:, 1], "-", color=FAINT, lw=1.0)
    axes.plot(inside[:, 0], inside[:, 1], "-", color=INK, lw=1.4)
    axes.plot(inside[:, 0], inside[:, 1], "o", color=INK, ms=3.0)
    axes.plot(inside[[0, -1], 0], inside[[0, -1], 1], "--", color=OTHER, lw=0.9)
    if first == last:
        _, at = _cut(tracks, name, first, last)
        axes.plot(at[:, 0], at[:, 1], "o", color=MARK, ms=6.0)
    for k in sorted({0, len(frames) // 2, len(frames) - 1}):
        axes.annotate(f"{frames[k]:.0f}", (inside[k, 0], inside[k, 1]), fontsize=7, color=INK,
                      xytext=(4, 4), textcoords="offset points")  # fmt: skip
    _as_picture(axes, tracks)
    axes.set_xlabel(name, fontsize=8, color=INK)


def _as_picture(axes: Axes, tracks: Tracks) -> None:
    axes.set_aspect("equal", adjustable="datalim")
    axes.margins(0.12)
    if tracks.flat and not axes.yaxis_inverted():
        axes.invert_yaxis()
    axes.tick_params(labelsize=7, colors=INK)


def _speeds(
    axes: Axes, tracks: Tracks, names: Sequence[str], span: tuple[int, int], lag: float
) -> None:
    """Two speeds, each against its own greatest, so that a lag is seen as a shift."""
    first, last = span[0] - AROUND, span[1] + AROUND
    for name, color in zip(names, (INK, OTHER), strict=True):
        frames, points = _cut(tracks, name, first, last)
        speed = np.linalg.norm(np.gradient(points, axis=0), axis=1)
        axes.plot(frames, speed / max(float(np.nanmax(speed)), 1e-12), color=color, lw=1.5,
                  label=name)  # fmt: skip
    axes.axvspan(span[0] - 0.5, span[1] + 0.5, color=MARK, alpha=0.10, lw=0)
    axes.text(0.02, 0.94, f"{max(lag, 0.0):.1f} frames apart", transform=axes.transAxes, fontsize=8,
              color=INK, va="top")  # fmt: skip
    axes.set_ylim(0.0, 1.25)
    axes.legend(fontsize=7, frameon=False, loc="upper right")
    axes.set_ylabel("speed, of its greatest", fontsize=8, color=INK)
    _time_axis(axes)


def _time_axis(axes: Axes) -> None:
    from matplotlib.ticker import MaxNLocator

    axes.xaxis.set_major_locator(MaxNLocator(integer=True, nbins=6))
    axes.set_xlabel("frame", fontsize=8, color=INK)
    axes.tick_params(labelsize=7, colors=INK)


def _limb(axes: Axes, tracks: Tracks, finding: Finding) -> None:
    """The limb as sticks, every few frames, dark where it was found."""
    names = finding.tracks[:3]
    if finding.kind == "dead-wrist":
        names = (finding.tracks[1], finding.tracks[0], finding.tracks[2])
    first, last = finding.frames[0] - 2 * AROUND, finding.frames[1] + 2 * AROUND
    cuts = [_cut(tracks, name, first, last) for name in names]
    every = max(1, len(cuts[0][0]) // 14)
    for k in range(0, len(cuts[0][0]), every):
        frame = cuts[0][0][k]
        found = finding.frames[0] <= frame <= finding.frames[1]
        stick = np.array([points[k] for _, points in cuts])
        axes.plot(stick[:, 0], stick[:, 1], "o-", color=MARK if found else FAINT,
                  lw=1.6 if found else 0.9, ms=2.5)  # fmt: skip
    _as_picture(axes, tracks)
    axes.set_xlabel(" - ".join(names), fontsize=8, color=INK)


def _over_time(axes: Axes, tracks: Tracks, finding: Finding) -> None:
    """Where the point stands over time, against where it stood at first; each coordinate a line."""
    name = finding.tracks[0]
    frames, points = _cut(tracks, name, finding.frames[0] - AROUND, finding.frames[1] + AROUND)
    inside = (frames >= finding.frames[0]) & (frames <= finding.frames[1])
    start = points[inside][0]
    for axis, color in zip(range(points.shape[1]), (INK, OTHER, FAINT), strict=False):
        axes.plot(frames, points[:, axis] - start[axis], "o-", color=color, lw=1.2, ms=2.5,
                  label=f"{name}.{'xyz'[axis]}")  # fmt: skip
    axes.axvspan(finding.frames[0] - 0.5, finding.frames[1] + 0.5, color=MARK, alpha=0.10, lw=0)
    spread = np.nanmax(np.abs(points[inside] - start)) if inside.any() else 1.0
    whole = tracks.points[tracks.names.index(name)]
    least = 0.003 * float(np.nanmax(np.nanmax(whole, axis=0) - np.nanmin(whole, axis=0)))
    reach = max(1.6 * float(spread), least, 1e-9)
    axes.set_ylim(-reach, reach)
    if tracks.flat:
        axes.invert_yaxis()
    axes.legend(fontsize=7, frameon=False, loc="best")
    axes.set_ylabel("from its place, " + tracks.unit, fontsize=8, color=INK)
    _time_axis(axes)
