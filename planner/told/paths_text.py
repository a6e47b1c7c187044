"""A path review as tables for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.paths.compare import Changes
from planner.paths.findings import Finding, overlap
from planner.paths.lags import Lag
from planner.paths.review import Move, PathReview

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

STATES = {"answered": "answered", "changed": "changed there", "untouched": "untouched"}
SHOWN_MAX = 200  # rows of a table; JSON has them all
MOVES_LEGEND = (
    "Moves. size: in the tracks' own unit; straightness: 1 is a straight line; bulge: height of "
    "the arc over the straight way; peak/mean: of the speed; settle: frames from the extreme to "
    "rest"
)
LAGS_LEGEND = (
    "Lags. by frames: how much later the second moves; alike: how alike the two movements are"
)
LAGS_LIKE = 0.9  # likeness from which a lag is shown in the summary


def print_review(
    review: PathReview, changes: Changes | None = None, *, moves: bool = False,
    worst: int | None = None,
) -> None:  # fmt: skip
    """Findings, with `moves` every move and lag, then what changed, on standard output.

    worst : so many findings, the surest first; they are grouped by the move they are about.
    """
    from planner.told.shown_console import console

    out = console()
    for remark in review.remarks:
        out.print(f"note: {remark}")
    if review.chunk is not None:
        _print_chunk(out, review)
    if review.findings:
        out.print(_findings_table(review.findings, worst or SHOWN_MAX))
    else:
        out.print("nothing found")
    for finding, why in review.meant:
        out.print(f"meant: {finding.kind}, {', '.join(finding.parts)}, frames "
                  f"{_span(finding.frames)}: {why}")  # fmt: skip
    if moves and review.moves:
        out.print(MOVES_LEGEND)
        out.print(_moves_table(review.moves))
    if moves and review.lags:
        out.print(LAGS_LEGEND)
        out.print(_lags_table(review.lags))
    if changes is not None:
        _print_changes(out, changes)
    out.print(summary(review) + ("" if moves or not review.moves else " (--moves lists them)"))


def summary(review: PathReview) -> str:
    """One line: how many findings, how many certain."""
    certain = sum(finding.certain for finding in review.findings)
    open_ones = len(review.findings) - certain
    moves = "1 move" if len(review.moves) == 1 else f"{len(review.moves)} moves"
    found = "1 finding" if certain == 1 else f"{certain} findings"
    return (
        f"{moves} on frames {review.frames[0]}-{review.frames[1]}: "
        f"{found} for certain, {open_ones} to look at"
    )


def _table(*columns: str, wide: str = "") -> Table:
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for name in columns:
        table.add_column(name, overflow="fold", ratio=1 if name == wide else None)
    return table


def _span(frames: tuple[int, int]) -> str:
    return f"{frames[0]}" if frames[0] == frames[1] else f"{frames[0]}-{frames[1]}"


def grouped(findings: Sequence[Finding]) -> list[list[tuple[int, Finding]]]:
    """Findings by move, numbered from 1 in the order given: each group led by its surest.

    A finding joins a group if it shares a part and half of its frames with the group's first.
    """
    groups: list[list[tuple[int, Finding]]] = []
    for number, finding in enumerate(findings, start=1):
        for group in groups:
            first = group[0][1]
            length = min(f.frames[1] - f.frames[0] + 1 for f in (first, finding))
            near = 2 * overlap(first.frames, finding.frames) >= length
            if near and first.who == finding.who and set(first.parts) & set(finding.parts):
                group.append((number, finding))
                break
        else:
            groups.append([(number, finding)])
    return groups


def _findings_table(findings: tuple[Finding, ...], most: int) -> Table:
    table = _table("no.", "frames", "kind", "sure", "what was measured", wide="what was measured")
    shown = 0
    for group in grouped(findings):
        for place, (number, finding) in enumerate(group):
            if shown == most:
                break
            shown += 1
            table.add_row(
                f"{number}", _span(finding.frames), ("+ " if place else "") + finding.kind,
                f"{finding.certainty:.0%}", finding.text,
            )  # fmt: skip
    if len(findings) > shown:
        table.add_row("...", "", "", "", f"{len(findings) - shown} more; --worst N shows more, "
                      "JSON has them all")  # fmt: skip
    return table


def _moves_table(moves: tuple[Move, ...]) -> Table:
    table = _table("frames", "track", "size", "straightness", "bulge", "peak/mean", "settle")
    main = [move for move in moves if move.settle_of is None]
    for move in main[:SHOWN_MAX]:
        table.add_row(
            _span(move.frames), move.track, f"{move.size:.1f}", f"{move.straightness:.3f}",
            f"{move.bulge:.3f}", f"{move.peak_over_mean_speed:.2f}", f"{move.settle_frames:.1f}",
        )  # fmt: skip
    if len(main) > SHOWN_MAX:
        table.add_row("...", f"{len(main) - SHOWN_MAX} more in the JSON", *[""] * 5)
    return table


def _lags_table(lags: tuple[Lag, ...]) -> Table:
    table = _table("frames", "leads", "follows", "by frames", "alike")
    alike = [lag for lag in lags if lag.likeness >= LAGS_LIKE]
    for lag in alike[:SHOWN_MAX]:
        table.add_row(
            _span(lag.frames), lag.leader, lag.follower, f"{lag.lag_frames:.1f}",
            f"{lag.likeness:.0%}",
        )  # fmt: skip
    if len(alike) > SHOWN_MAX:
        table.add_row("...", f"{len(alike) - SHOWN_MAX} more in the JSON", *[""] * 3)
    return table


def _print_chunk(out: Console, review: PathReview) -> None:
    chunk = review.chunk or {}
    parts = ", ".join(chunk.get("parts", ())) or "nothing"
    out.print(f"frames {_span(review.frames)}: what moves is {parts}")
    for move in chunk.get("runs_over", ()):
        first, last = move["frames"]
        out.print(f"  {move['track']} runs over it: {first}-{last}")


def _print_changes(out: Console, changes: Changes) -> None:
    for title, findings in (
        ("gone", changes.gone), ("new", changes.new), ("still there", changes.kept),
    ):  # fmt: skip
        out.print(f"{title}: {len(findings)}")
        for finding in findings[:SHOWN_MAX]:
            out.print(f"  {_span(finding.frames)} {finding.kind}: {', '.join(finding.parts)}")
    for told in changes.notes:
        why = f" ({'; '.join(told.because)})" if told.because else ""
        out.print(f"note {told.number} on {_span(told.note.frames)}, {STATES[told.state]}: "
                  f"{told.note.text}{why}")  # fmt: skip
    if changes.left_out:
        out.print(f"only in one version: {', '.join(changes.left_out)}")
    for moved in changes.moved[:SHOWN_MAX]:
        out.print(
            f"moved {_span(moved.frames)}: {moved.track}, most by {moved.most:.1f} "
            f"on {moved.at_frame}"
        )
