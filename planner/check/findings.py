"""What a lead would point at in key poses: each finding measured, with what is usual beside it.

Conventions: frames are the scene's own, inclusive. Key poses are whole frames, so they are exact;
the error of a measure is one exposure step for what lies between poses, plus what the voice's
reading may be off (40 ms, near the demo's hand-checked words) where a word is involved. `certain`
is beyond the usual range by more than that. What is usual is common practice, as lengths at 24
turned to the scene's rate; what a listener can know of a word, see `check_sound`.
Key poses do not show what moves between them, so a hold is certain only when it is very long and
spoken through. A choice can overrule any finding, and every text says so by being a measure.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from planner.check.holds import empty_holds
from planner.check.played import Played
from planner.check.result import Finding, PoseVerdict
from planner.check.tolerance import OWN_TIME_PARTS, REACH_MS, frames_at
from planner.frames import FrameRate
from planner.scene import Scene
from planner.shot import Shot
from planner.shot.cue_times import CueTime
from planner.shot.stresses import SpokenStress

READING_ERROR_MS = 40  # words of the demo against their synthesiser's own times
OFFSET_24 = (1, 6)  # frames at 24 between leader and follower, common practice
SETTLE_24 = (6, 14)  # frames at 24 from the extreme to rest, common practice
PREPARES_24 = 12  # frames at 24; a pose nearer to the next accent may be its preparation
BEFORE_CUE_MS = 500  # a free pose this long before the word may be meant as its answer
AFTER_CUE_MS = 1000  # and this long after it could be understood

_TORSO = ("head", "shoulders", "chest", "hips")


def find_problems(
    shot: Shot,
    judged: Sequence[PoseVerdict],
    stresses: Sequence[SpokenStress],
    played: Played,
    *,
    who: str | None = None,
) -> tuple[Finding, ...]:
    """All findings, in order of frames."""
    found: list[Finding] = []
    scene = shot.scene
    for name in scene.characters:
        if who not in (None, name):
            continue
        own = [p for p in judged if p.pose.who == name]
        speech = shot.spoken_by(name)
        cues = [c for c in shot.cues if c.cue.who == name]
        early = early_reactions(scene, own, cues)
        found += all_on_one_frame(scene.rate, own, played)
        found += rushed_settles(scene, own, played)
        found += empty_holds(scene, own, [s for s in stresses if s.who == name], speech)
        found += early
        answered = {f.frames[0] for f in early}
        rest = [p for p in own if p.pose.frame not in answered]
        found += unmotivated(scene, rest, [s.frame for s in stresses if s.who == name], speech)
    return tuple(sorted(found, key=lambda f: (f.frames, f.who, f.kind, f.parts)))


def segment(part: str) -> str:
    """What moves as one link of the body: both hands are one kind of link."""
    return part if part in _TORSO else part.rsplit(maxsplit=1)[-1]


def all_on_one_frame(rate: FrameRate, own: Sequence[PoseVerdict], played: Played) -> list[Finding]:
    """Every part that moves around a frame has its pose on that very frame."""
    bodies = [p.pose for p in own if p.pose.part not in OWN_TIME_PARTS | {"whole", "brows"}]
    low, high = (frames_at(rate, n) for n in OFFSET_24)
    at: dict[int, list[str]] = {}
    for pose in bodies:
        at.setdefault(pose.frame, []).append(pose.part)
    found = []
    for frame, parts in sorted(at.items()):
        links = {segment(p) for p in parts}
        around = [at.get(frame + d, ()) for d in range(-high, high + 1) if d]
        apart = {segment(p) for row in around for p in row} - links
        who = own[0].pose.who
        if len(links) < 2 or apart or played.together(who, frame):
            continue
        found.append(
            Finding(
                "all-on-one-frame", who, (frame, frame), tuple(parts),
                {"spread_frames": 0}, {"spread_frames": [max(low, 1), high]}, True,
                f"{_listed(parts)} hit on the same frame; one part usually leads and the others "
                f"follow {_span(max(low, 1), high)} later",
            )
        )  # fmt: skip
    return found


def rushed_settles(scene: Scene, own: Sequence[PoseVerdict], played: Played) -> list[Finding]:
    """After an accent the part is at rest too soon: its last pose before the next move."""
    found = []
    rows: dict[str, list[PoseVerdict]] = {}
    for p in own:
        rows.setdefault(p.pose.part, []).append(p)
    for part, row in rows.items():
        if part in OWN_TIME_PARTS:
            continue
        for i, hit in enumerate(row):
            if hit.stress:
                found += _rushed(scene, row, i, played)
    return found


def _rushed(scene: Scene, row: Sequence[PoseVerdict], at: int, played: Played) -> list[Finding]:
    """The settle after the pose at `at` of a part's row, if it is too short."""
    hit = row[at].pose
    ratio = played.settle_ratio(hit.who, hit.frame)
    low, high = (scene.rate.frames_of_ms(1000 / 24 * n * ratio) for n in SETTLE_24)
    rest, after = hit.frame, None
    for k in range(at + 1, len(row)):
        p = row[k]
        if p.stress or p.pose.frame - rest > high:
            after = p
            break
        rest = p.pose.frame
    took = rest - hit.frame
    prepares = frames_at(scene.rate, PREPARES_24)
    if took == 0 or took >= low:
        return []
    if after is not None and after.stress and after.pose.frame - rest <= prepares:
        return []  # that pose may as well prepare the next accent
    return [
        Finding(
            "rushed-settle", hit.who, (hit.frame, rest), (hit.part,),
            {"settle_frames": took}, {"settle_frames": [low, high]},
            low - took > scene.clock.step,
            f"{hit.part} is at rest {_frames(took)} after its accent; a settle usually takes "
            f"{_span(low, high)}",
        )
    ]  # fmt: skip


def early_reactions(
    scene: Scene, own: Sequence[PoseVerdict], cues: Sequence[CueTime]
) -> list[Finding]:
    """The first free pose around a cue comes before its word could be understood."""
    before, after = (scene.rate.frames_of_ms(ms) for ms in (BEFORE_CUE_MS, AFTER_CUE_MS))
    error = scene.rate.frames_of_ms(READING_ERROR_MS)
    found = []
    for cue in cues:
        near = [
            p for p in own
            if p.verdict == "free" and p.pose.part not in OWN_TIME_PARTS
            and cue.word_frame - before <= p.pose.frame <= cue.earliest + after
            and p.reason in ("", "follows")
        ]  # fmt: skip
        if not near or near[0].pose.frame >= cue.earliest:
            continue
        frame = near[0].pose.frame
        parts = tuple(p.pose.part for p in near if p.pose.frame < cue.earliest)
        last = max(p.pose.frame for p in near if p.pose.frame < cue.earliest)
        after_ms, least_ms = (
            _ms(scene, frame - cue.word_frame),
            _ms(scene, cue.earliest - cue.word_frame),
        )
        found.append(
            Finding(
                "early-reaction", cue.cue.who, (frame, last), parts,
                {"after_word_ms": after_ms}, {"after_word_ms": [least_ms, None]},
                cue.earliest - frame > error,
                f'{_listed(parts)} answers "{cue.word}" {_frames(cue.earliest - frame)} before '
                f"it can be understood (frame {cue.earliest}); it reads as an interruption",
            )
        )  # fmt: skip
    return found


def unmotivated(
    scene: Scene,
    own: Sequence[PoseVerdict],
    stress_frames: Sequence[int],
    speech: Sequence[tuple[int, int]],
) -> list[Finding]:
    """Poses without a stress or any other reason; parts that move together are one finding."""
    odd = [p.pose for p in own if p.verdict == "free" and not p.reason]
    groups: list[list[int]] = [[i] for i in range(min(1, len(odd)))]
    for i, (a, b) in enumerate(pairwise(odd), start=1):
        if b.frame - a.frame <= frames_at(scene.rate, OFFSET_24[1]):
            groups[-1].append(i)
        else:
            groups.append([i])
    reach = scene.rate.frames_of_ms(REACH_MS)
    error = scene.rate.frames_of_ms(READING_ERROR_MS)
    by_frame = sorted(stress_frames)
    found = []
    for group in groups:
        poses = [odd[i] for i in group]
        first, last = poses[0].frame, poses[-1].frame
        at = bisect_left(by_frame, first)
        away = min((abs(first - f) for f in by_frame[max(0, at - 1) : at + 1]), default=None)
        spoken = any(a <= first <= b for a, b in speech)
        parts = tuple(dict.fromkeys(p.part for p in poses))
        far = f"{_frames(away)} from the nearest stress" if away is not None else "no own stress"
        where = "" if spoken else "; the voice is silent here, so a cue or a beat would explain it"
        found.append(
            Finding(
                "unmotivated-pose", poses[0].who, (first, last), parts,
                {"to_stress_frames": away}, {"to_stress_frames": [0, reach]},
                spoken and away is not None and away - reach > error,
                f"{_listed(parts)} moves for no reason the sound or the scene gives "
                f"({far}){where}",
            )
        )  # fmt: skip
    return found


def _ms(scene: Scene, frames: int) -> int:
    return round(1000 * scene.rate.start_s(frames))


def _frames(count: int) -> str:
    return "1 frame" if count == 1 else f"{count} frames"


def _span(low: int, high: int) -> str:
    return _frames(low) if low == high else f"{low}-{high} frames"


def _listed(parts: Sequence[str]) -> str:
    names = list(dict.fromkeys(parts))
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
