"""Any keys in any order: the scene stays one that can be saved, and every view can be made."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest
from desk_keys import DOINGS

from planner.desk import actions as doing
from planner.desk import choice as choosing
from planner.desk import cursor as moving
from planner.desk.choices import SuggestionOf
from planner.desk.edits import beats as tagging
from planner.desk.edits import notes as noting
from planner.desk.edits import poses as posing
from planner.desk.state import Desk, open_desk, undo
from planner.desk.views import all_rows as pointing
from planner.desk.views.all_rows import make_views
from planner.desk.views.layout import frame_columns
from planner.scene.text.checks import check_scene

MOVES: dict[str, Callable[[Desk, random.Random], Desk]] = {
    "tag": lambda d, r: tagging.tag(d, r.choice(["proud", "tender", "teasing"])),
    "remark": lambda d, r: tagging.remark(d, "a remark"),
    "note": lambda d, r: noting.add_note(d, "a note"),
    "pose": lambda d, r: posing.add_pose(d, r.choice(["head up", "chest", "left hand on it"])),
    "go": lambda d, r: moving.go_to(d, r.randint(950, 1200)),
    "reword": lambda d, r: noting.reword(d, "other words"),
}
SHAPING = ("keep", "lock", "drop", "nudge_on", "nudge_back", "longer", "shorter")


def shape(desk: Desk, chance: random.Random) -> Desk:
    """Decide something about some suggestion."""
    ids = sorted(desk.index.by_id)
    chosen = choosing.choose(desk, SuggestionOf(chance.choice(ids))) if ids else desk
    return DOINGS[chance.choice(SHAPING)](chosen)


MOVES["shape"] = MOVES["shape again"] = MOVES["and again"] = shape
SIZES = ((80, 24), (240, 60), (40, 12), (14, 5))


def step(desk: Desk, planned: Callable[[Desk], Desk], chance: random.Random) -> Desk:
    """One key, or one press, drag and release of the mouse."""
    kind = chance.random()
    if kind < 0.7:
        desk = DOINGS[chance.choice(list(DOINGS))](desk)
    elif kind < 0.85:
        desk = MOVES[chance.choice(list(MOVES))](desk, chance)
    else:
        panel = chance.choice(["script", "ruler", "words", "beats", "plan", "poses", "problems"])
        for drag in (0, 1, 1, 2):
            at = (chance.randint(-2, 90), chance.randint(0, 12), drag)
            desk = pointing.point(desk, make_views(desk, 90, 30), panel, at)
    return planned(desk) if chance.random() < 0.8 else desk


@pytest.mark.parametrize("seed", range(12))
def test_any_keys_in_any_order(desk: Desk, planned: Callable[[Desk], Desk], seed: int) -> None:
    chance = random.Random(seed)
    for _ in range(250):
        desk = step(desk, planned, chance)
        assert desk.laid.shot[0] <= desk.cursor <= desk.laid.shot[1]
    check_scene(desk.scene)
    for columns, rows in SIZES:
        for way in ("mean", "move", "mend"):
            at = doing.to_way(desk, way)  # type: ignore[arg-type]
            make_views(moving.resized(at, frame_columns(columns, way)), columns, rows)
    while desk.past is not None:
        desk = undo(desk)
    assert not desk.changed


def test_a_scene_without_words_can_still_be_worked_on(desk: Desk) -> None:
    """No transcript: syllables are printed as "da", frames are picked instead of words."""
    mute = {
        number: replace(
            reading, words=(),
            syllables=tuple(replace(s, text=None, word=None) for s in reading.syllables),
            phrases=tuple(replace(p, words=None) for p in reading.phrases),
        )
        for number, reading in desk.shot.heard.items()
    }  # fmt: skip
    scene = replace(desk.scene, beats=())
    bare = moving.resized(open_desk(scene, mute, desk.plan), 80)
    for way in ("mean", "move", "mend"):
        for name in DOINGS:
            at = DOINGS[name](doing.to_way(bare, way))  # type: ignore[arg-type]
            make_views(at, 92, 30)
    rows = make_views(bare, 92, 30).rows["words"]
    assert "^da" in str(rows)

    tagged = tagging.tag(moving.pick_frames(bare, 1005, 1015), "proud")
    assert tagged.scene.beats[0].frames == (1005, 1015)
