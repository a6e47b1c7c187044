"""Stretches in which a character has no key pose at all: a hold that may go dead.

Conventions: frames are the scene's own, inclusive; a hold runs from one pose to the next of any
part, or to the end of the character's last line. Usual is common practice: about two seconds while
the character speaks, four while it listens, unless something small (a breath, a blink, a hold that
keeps easing) lives in it. Key poses do not show that, so a hold is certain only when the character
speaks through four seconds of it, stresses and all.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from itertools import accumulate, pairwise

from planner.check.findings import Seen, finding
from planner.check.result import Finding
from planner.scene import Scene
from planner.shot.stresses import SpokenStress

SPEAKING_S = 2.0  # common practice
LISTENING_S = 4.0  # common practice
UNSEEN_S = 2.0  # what may live between two key poses unseen: the error of this measure
SPOKEN_SHARE = 2 / 3  # of the hold, for it to count as spoken through


@finding("empty-hold", order=30)
def empty_holds(seen: Seen, found: Sequence[Finding]) -> list[Finding]:
    """The stretches without a pose that are longer than usual."""
    scene, speech = seen.scene, seen.speech
    marks = sorted({p.pose.frame for p in seen.poses})
    if marks and speech and speech[-1][1] > marks[-1]:
        marks.append(speech[-1][1])
    here = []
    inside_of, voiced_of = _by_frame(seen.stresses), _spoken_before(speech)
    for start, end in pairwise(marks):
        if end - start <= scene.rate.frames(SPEAKING_S):  # short for a speaker and a listener
            continue
        voiced = voiced_of(end) - voiced_of(start)
        speaking = voiced >= SPOKEN_SHARE * (end - start)
        usual = scene.rate.frames(SPEAKING_S if speaking else LISTENING_S)
        if end - start > usual:
            inside = inside_of(start, end)
            here.append(_hold(scene, seen.who, (start, end), usual, speaking, inside))
    return here


def _spoken_before(speech: Sequence[tuple[int, int]]) -> Callable[[int], int]:
    """Frames of `speech` before a frame: sums kept, so that a hold costs no walk over all lines.

    Overlapping stretches count each, as they would one by one.
    """
    starts, ends = sorted(a for a, _ in speech), sorted(b for _, b in speech)
    sums_a, sums_b = [0, *accumulate(starts)], [0, *accumulate(ends)]

    def before(frame: int) -> int:
        # min(frame, end) - min(frame, start), summed
        begun, done = bisect_left(starts, frame), bisect_left(ends, frame)
        return (sums_b[done] + frame * (begun - done)) - sums_a[begun]

    return before


def _by_frame(
    stresses: Sequence[SpokenStress],
) -> Callable[[int, int], Sequence[SpokenStress]]:
    """The stresses strictly between two frames, in the order they came."""
    order = sorted(range(len(stresses)), key=lambda k: stresses[k].frame)
    frames = [stresses[k].frame for k in order]

    def between(start: int, end: int) -> Sequence[SpokenStress]:
        found = order[bisect_right(frames, start) : bisect_left(frames, end)]
        return [stresses[k] for k in sorted(found)]

    return between


def _hold(
    scene: Scene,
    who: str,
    frames: tuple[int, int],
    usual: int,
    speaking: bool,
    inside: Sequence[SpokenStress],
) -> Finding:
    held = frames[1] - frames[0]
    seconds = scene.rate.start_s(held)
    doing = "speaks" if speaking else "listens"
    words = ", ".join(s.word for s in inside[:3]) + (", ..." if len(inside) > 3 else "")
    through = f", through {words}" if speaking and inside else ""
    return Finding(
        "empty-hold", who, frames, (),
        {"hold_frames": held}, {"hold_frames": [0, usual]},
        speaking and bool(inside) and held - usual > scene.rate.frames(UNSEEN_S),
        f"nothing new for {held} frames ({seconds:.1f} s) while {who} {doing}{through}; "
        "a breath, a blink or a hold that keeps easing would keep it alive",
    )  # fmt: skip
