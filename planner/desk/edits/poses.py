"""Key poses: add, move, name, remove, load. Pure functions from Desk to Desk.

The verdict beside each pose comes with the next plan (`state.with_plan`), a moment after the move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.desk.choices import PoseAt
from planner.desk.edits.beats import speaker_at
from planner.desk.state import Desk, edit, say
from planner.scene import PARTS, KeyPose


def add_pose(desk: Desk, text: str) -> Desk:
    """A pose at the cursor. `text`: the part, then a name ("head chin down")."""
    part, name = split_part(text)
    if not part:
        return say(desk, f"begin with a part: {', '.join(PARTS)}")
    who = desk.who or speaker_at(desk, desk.cursor) or desk.scene.characters[0]
    pose = KeyPose(desk.cursor, who, part, name)
    poses = desk.scene.poses
    at = sum(1 for p in poses if p.frame <= pose.frame)
    did = f"pose of {who}'s {part} on {pose.frame}"
    made = edit(desk, did, choice=PoseAt(at), poses=(*poses[:at], pose, *poses[at:]))
    return replace(made, panel="poses")


def split_part(text: str) -> tuple[str, str]:
    """The part a text begins with, and the rest; an empty part if it begins with none."""
    plain = " ".join(text.split())
    for part in sorted(PARTS, key=len, reverse=True):
        if plain.lower() == part or plain.lower().startswith(part + " "):
            return part, plain[len(part) :].strip()
    return "", plain


def move_pose(desk: Desk, by: int) -> Desk:
    """The chosen pose by so many frames."""
    if not isinstance(desk.choice, PoseAt):
        return say(desk, "choose a pose first")
    index = desk.choice.index
    pose = desk.scene.poses[index]
    low, high = desk.laid.shot
    frame = min(max(pose.frame + by, low), high)
    if frame == pose.frame:
        return say(desk, "the shot ends here")
    poses = _put(desk.scene.poses, index, replace(pose, frame=frame))
    moved = edit(desk, f"{pose.name or pose.part} on {frame}", poses=poses)
    return replace(moved, cursor=frame)


def name_pose(desk: Desk, name: str) -> Desk:
    """Another name for the chosen pose."""
    if not isinstance(desk.choice, PoseAt):
        return say(desk, "choose a pose first")
    index = desk.choice.index
    new = replace(desk.scene.poses[index], name=" ".join(name.split()))
    return edit(desk, f"named {new.name}", poses=_put(desk.scene.poses, index, new))


def remove_pose(desk: Desk) -> Desk:
    """Take the chosen pose away."""
    if not isinstance(desk.choice, PoseAt):
        return say(desk, "choose a pose first")
    index = desk.choice.index
    poses = desk.scene.poses
    gone = edit(desk, f"pose removed: {poses[index].name or poses[index].part}",
                poses=poses[:index] + poses[index + 1 :])  # fmt: skip
    return replace(gone, choice=None)


def load_poses(desk: Desk, poses: Sequence[KeyPose], origin: str) -> Desk:
    """The poses of a file in place of those of the scene."""
    ordered = tuple(sorted(poses, key=lambda p: p.frame))
    loaded = edit(desk, f"{len(ordered)} poses from {origin}", poses=ordered)
    return replace(loaded, choice=PoseAt(0) if ordered else None)


def _put(poses: tuple[KeyPose, ...], index: int, new: KeyPose) -> tuple[KeyPose, ...]:
    return (*poses[:index], new, *poses[index + 1 :])
