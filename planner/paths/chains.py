"""Limbs as chains of points: dead wrists, fingers that do not trail, foreshortening.

A chain is shoulder - elbow - wrist - fingertip; points may be missing. Dead wrist: the arm travels
and the angle between forearm and hand does not change; without a fingertip, the elbow travels and
the hand stays where it is. Fingers that stop with the hand: the last fifth of the hand's and of the
fingertip's way is done at the same time, where fingers usually trail by a frame or more (common
practice). Foreshortened: a bone shows less than half of the length it
shows elsewhere in the shot (60 degrees out of the picture), for a while; `bend` says whether the
elbow still stands off the line from shoulder to wrist.

What it does not do: know the camera. Points in space are judged along z and never for certain.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.paths.arcs import sure_of
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames
from planner.paths.ranges import runs
from planner.paths.signals import SMOOTH_NOISE

ANGLE_USUAL_DEG = 5.0  # a hand that answers turns by more than that
ANGLE_SURE_DEG = 1.0
ELBOW_TRAVELS = 0.2  # of the forearm's length
HAND_STAYS = 0.05  # of the elbow's travel
AFTER_FRAMES = 6.0  # at 24, looked at after a move
TRAIL_FRAMES = 6.0  # at 24, after the hand's move: fingers trail by a frame or more, no longer
TRAIL_USUAL = 0.05  # of the hand's turn is still to come when the hand has arrived
TRAIL_SURE = 0.016
TURN_SEEN_DEG = 12.0  # a hand that hardly turns has nothing that could trail
VISIBLE_USUAL = 0.5  # of the greatest length seen
VISIBLE_STAYS = 9.0  # frames at 24; a hand that crosses the body passes end on for fewer
VISIBLE_SURE = 0.33
VISIBLE_SHORTEST = 6.0  # frames at 24
BEND_READS = 0.1  # of the visible limb: the elbow's distance from the line shoulder - wrist


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """The points of one arm; any may be missing."""

    side: str
    shoulder: Track | None
    elbow: Track | None
    wrist: Track | None
    tip: Track | None


def find_chains(figure: Figure) -> list[Chain]:
    """The arms of a figure, one for each side that is named (or one without a side)."""
    chains = []
    for side in dict.fromkeys(t.point.side for t in figure.tracks if t.point.role):
        by_role: dict[str, Track] = {}
        for track in figure.tracks:
            if track.point.role and track.point.side == side:
                by_role.setdefault(track.point.role, track)
        chains.append(Chain(side, *(by_role.get(r) for r in ("shoulder", "elbow", "wrist", "tip"))))
    return chains


def chain_findings(figure: Figure) -> Iterator[Finding]:
    """All findings about limbs."""
    for chain in find_chains(figure):
        if chain.elbow and chain.wrist:
            yield from _dead_wrists(figure, chain, chain.elbow, chain.wrist)
        if chain.wrist and chain.tip:
            yield from _fingers(figure, chain.wrist, chain.tip)
        if chain.shoulder and chain.elbow and chain.wrist:
            yield from _foreshortened(figure, chain.shoulder, chain.elbow, chain.wrist)


def joint_angle_deg(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Angle at b by which the way a-b turns into b-c, degrees, shape (frames,).

    Signed and unwrapped in the picture; 0 to 180 in space.
    """
    one, two = b - a, c - b
    along = np.einsum("fd,fd->f", one, two)
    if a.shape[1] == 2:
        across = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        turn: FloatArray = np.unwrap(np.arctan2(across, along))
    else:
        turn = np.arctan2(np.linalg.norm(np.cross(one, two), axis=1), along)
    return np.degrees(turn)


def _dead_wrists(figure: Figure, chain: Chain, elbow: Track, wrist: Track) -> Iterator[Finding]:
    if chain.tip is None:
        yield from _hand_stays(figure, elbow, wrist)
        return
    points = [track.signal.smooth for track in (elbow, wrist, chain.tip)]
    angle = joint_angle_deg(*points)
    forearm = np.linalg.norm(points[1] - points[0], axis=1)
    hand = np.median(np.linalg.norm(points[2] - points[1], axis=1))
    after = round(AFTER_FRAMES * figure.per_trade_frame)
    moves = wrist.moves
    for move in figure.large_moves(wrist):
        first, last = int(moves.first[move]), int(moves.last[move])
        stop = int(moves.first[move + 1]) if move + 1 < len(moves) else len(angle) - 1
        inside = slice(first, max(last, min(last + after, stop)) + 1)
        travel = np.ptp(points[0][inside], axis=0)
        if np.linalg.norm(travel) < ELBOW_TRAVELS * forearm[first]:
            continue
        turned = float(np.ptp(angle[inside]))
        noise = max(wrist.signal.noise, chain.tip.signal.noise)
        error = float(np.degrees(3.0 * SMOOTH_NOISE * noise / max(float(hand), 1e-300)))
        if turned >= ANGLE_USUAL_DEG:
            continue
        frames = figure.move_frames(wrist, int(move))
        sure = turned + min(error, turned) < ANGLE_SURE_DEG and error < ANGLE_SURE_DEG
        sure = sure and sure_of(figure, wrist, float(moves.size[move]), float(last - first))
        yield Finding(
            "dead-wrist", figure.who, frames, (wrist.point.part,),
            frozen_map({"wrist_turns_deg": turned, "elbow_travels": float(np.linalg.norm(travel)),
                        "error": error}),
            frozen_map({"wrist_turns_deg": (ANGLE_USUAL_DEG, OPEN)}),
            sure,
            f"{wrist.name} is dead {on_frames(frames)}: the elbow travels "
            f"{np.linalg.norm(travel):.0f} {figure.unit} and the wrist turns by {turned:.1f} "
            f"degrees (give or take {error:.1f}), usual is {ANGLE_USUAL_DEG:.0f} or more; a stiff "
            "hand or one that holds something may be meant",
            (wrist.name, elbow.name, chain.tip.name), weight=float(moves.size[move]),
        )  # fmt: skip


def _hand_stays(figure: Figure, elbow: Track, wrist: Track) -> Iterator[Finding]:
    """Without a fingertip: the elbow travels and the hand does not move at all."""
    moves = elbow.moves
    after = round(AFTER_FRAMES * figure.per_trade_frame)
    for move in figure.large_moves(elbow):
        frames = figure.move_frames(elbow, int(move))
        if figure.is_planted(wrist.point.part, frames):
            continue
        inside = slice(int(moves.first[move]), int(moves.last[move]) + after + 1)
        answer = float(np.linalg.norm(np.ptp(wrist.signal.smooth[inside], axis=0)))
        share = answer / float(moves.size[move])
        error = 3.0 * SMOOTH_NOISE * wrist.signal.noise / float(moves.size[move])
        if share - error >= HAND_STAYS:
            continue
        yield Finding(
            "dead-wrist", figure.who, frames, (wrist.point.part,),
            frozen_map({"hand_answers": share, "elbow_travels": float(moves.size[move]),
                        "error": error}),
            frozen_map({"hand_answers": (HAND_STAYS, OPEN)}), (share < HAND_STAYS and error < share)
            or share + error < HAND_STAYS,
            f"{wrist.name} does not answer {on_frames(frames)}: {elbow.name} travels "
            f"{moves.size[move]:.0f} {figure.unit} and the hand {answer:.1f}, {share:.1%} of it "
            f"(usual: {HAND_STAYS:.0%} or more); a hand that rests on something may be meant, then "
            "call it planted",
            (wrist.name, elbow.name), weight=float(moves.size[move]),
        )  # fmt: skip


def _fingers(figure: Figure, wrist: Track, tip: Track) -> Iterator[Finding]:
    """Fingers that are at rest when the hand is: neither their place nor the hand's turn trails.

    The hand's turn is the direction from wrist to fingertip. How much of the turn of the whole move
    is still to come when the hand arrives says whether the fingers drag.
    """
    bone = tip.signal.smooth - wrist.signal.smooth
    length = float(np.median(np.linalg.norm(bone, axis=1)))
    after = max(2, round(TRAIL_FRAMES * figure.per_trade_frame))
    moves = wrist.moves
    for move in figure.large_moves(wrist):
        first, last = int(moves.first[move]), int(moves.last[move])
        stop = int(moves.first[move + 1]) if move + 1 < len(moves) else len(bone) - 1
        until = min(last + after, max(stop, last), len(bone) - 1)
        if until - last < after // 2 or first < 1:
            continue
        turned = turns_deg(bone[max(first - after, 0) : last + 1])
        trails = turns_deg(bone[last - 1 : until + 1])
        error = float(np.degrees(3.0 * SMOOTH_NOISE * (wrist.signal.noise + tip.signal.noise)
                                 / max(length, 1e-300)))  # fmt: skip
        if turned < TURN_SEEN_DEG or trails >= TRAIL_USUAL * turned:
            continue
        frames = figure.move_frames(wrist, int(move))
        sure = trails + error < TRAIL_SURE * turned and sure_of(
            figure, wrist, float(moves.size[move]), float(last - first)
        )
        yield Finding(
            "fingers-stop-with-hand", figure.who, frames, (tip.point.part, wrist.point.part),
            frozen_map({"trails": trails / turned, "turned_deg": turned, "error": error / turned}),
            frozen_map({"trails": (TRAIL_USUAL, OPEN)}), sure,
            f"{tip.name} stops with {wrist.name} {on_frames(frames)}: the hand turns by "
            f"{turned:.0f} degrees and by {trails:.1f} of them once it has arrived (give or take "
            f"{error:.1f}), usual is {TRAIL_USUAL:.0%} or more, since fingers trail; a firm grip "
            "or a pointing hand may be meant",
            (tip.name, wrist.name), weight=float(moves.size[move]),
        )  # fmt: skip


def turns_deg(bone: FloatArray) -> float:
    """The range of directions of a bone over some frames, degrees.

    bone : shape (frames, dims).
    """
    unit = bone / np.maximum(np.linalg.norm(bone, axis=1), 1e-300)[:, None]
    if bone.shape[1] == 2:
        return float(np.degrees(np.ptp(np.unwrap(np.arctan2(unit[:, 1], unit[:, 0])))))
    return float(np.degrees(np.arccos(np.clip(unit @ unit[0], -1.0, 1.0)).max()))


def _foreshortened(
    figure: Figure, shoulder: Track, elbow: Track, wrist: Track
) -> Iterator[Finding]:
    a, b, c = (t.signal.smooth for t in (shoulder, elbow, wrist))
    known = shoulder.signal.known & elbow.signal.known & wrist.signal.known
    upper, fore = visible_share(a, b), visible_share(b, c)
    least = np.minimum(upper, fore)
    noise = max(t.signal.noise for t in (shoulder, elbow, wrist))
    longest = min(
        float(np.linalg.norm(b - a, axis=1).max()), float(np.linalg.norm(c - b, axis=1).max())
    )
    error = 3.0 * noise / max(longest, 1e-300)
    for first, last in zip(*runs((least < VISIBLE_USUAL) & known), strict=True):
        if last - first + 1 < VISIBLE_SHORTEST * figure.per_trade_frame:
            continue
        at = int(first + np.argmin(least[first : last + 1]))
        bend = bend_of(a[at], b[at], c[at])
        frames = figure.frames(int(first), int(last))
        bone = "upper arm" if upper[at] < fore[at] else "forearm"
        reads = "still reads" if bend >= BEND_READS else "no longer reads"
        side = f"{wrist.point.side} arm".strip()
        yield Finding(
            "foreshortened", figure.who, frames, (side,),
            frozen_map({"visible": float(least[at]), "upper_arm": float(upper[at]),
                        "forearm": float(fore[at]), "bend": bend, "error": error}),
            frozen_map({"visible": (VISIBLE_USUAL, OPEN), "bend": (BEND_READS, OPEN)}),
            figure.flat and float(least[at]) + error < VISIBLE_SURE and bend < BEND_READS
            and last - first + 1 >= VISIBLE_STAYS * figure.per_trade_frame,
            f"the {side} is foreshortened {on_frames(frames)}: the {bone} shows {least[at]:.0%} of "
            f"its length (usual: {VISIBLE_USUAL:.0%} or more) and its bend {reads} ({bend:.0%} of "
            "the limb off the straight line); pointing at the viewer may be meant",
            (shoulder.name, elbow.name, wrist.name), weight=float(last - first),
        )  # fmt: skip


def visible_share(a: FloatArray, b: FloatArray) -> FloatArray:
    """Length of a bone in the picture over its true length, shape (frames,).

    In the picture the greatest length seen (its 98th hundredth) stands for the true one; in space
    the picture is what is seen along z.
    """
    bone = b - a
    seen: FloatArray = np.linalg.norm(bone[:, :2], axis=1)
    if bone.shape[1] == 3:
        true: FloatArray = np.linalg.norm(bone, axis=1)
        return seen / np.maximum(true, 1e-300)
    return seen / max(float(np.quantile(seen, 0.98)), 1e-300)


def bend_of(a: FloatArray, b: FloatArray, c: FloatArray) -> float:
    """How far the middle joint stands off the line between the ends, over the visible limb."""
    a, b, c = a[:2], b[:2], c[:2]
    limb = float(np.linalg.norm(b - a) + np.linalg.norm(c - b))
    line = c - a
    length = float(np.linalg.norm(line))
    if length < 1e-9 * max(limb, 1e-300):
        return float(np.linalg.norm(b - a) / max(limb, 1e-300))
    off = abs(line[0] * (b - a)[1] - line[1] * (b - a)[0]) / length
    return float(off / max(limb, 1e-300))
