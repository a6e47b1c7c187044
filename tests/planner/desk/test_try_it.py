"""The README's "Try it", key by key, and what it says stands in the file afterwards."""

from __future__ import annotations

import re
from pathlib import Path

import yaml
from desk_keys import press

from planner.desk.choices import PoseAt, SuggestionOf, Words
from planner.desk.dialogs.page import Page
from planner.desk.run import open_app

README = Path(__file__).parents[3] / "README.md"
NAMED = ("down", "1", "9", "t", "a", ".", ">", "m", "tab", "down", ".", ",", "]", "enter", "m",
         "tab", ".", "]", "s", "beats:", "decisions:", "poses:", "z")  # fmt: skip


def test_the_paragraph_names_the_keys_this_test_strikes() -> None:
    text = README.read_text(encoding="utf-8")
    paragraph = text[text.index("Try it: in the script") :].split("\n\n")[0]

    assert tuple(re.findall(r"`([^`]+)`", paragraph)) == NAMED


async def test_try_it(demo: Path) -> None:
    before = yaml.safe_load(demo.read_text(encoding="utf-8"))
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "down", "1", rounds=2)
        tagged = app.desk.favourites[0]
        assert app.desk.scene.beats[2].intent == tagged
        await press(pilot, "down", "t", *"proud", "enter", rounds=2)
        assert app.desk.scene.beats[3].intent == "proud"
        await press(pilot, "full_stop", ">")
        assert app.desk.choice == Words(2, 3, 4)
        await press(pilot, "m", "tab", "tab", "down", rounds=2)
        assert isinstance(app.desk.choice, SuggestionOf)
        chosen = app.desk.choice.id
        frames = app.desk.index.by_id[chosen].frames
        await press(pilot, "]", "]", rounds=2)
        moved = app.desk.index.by_id[chosen].frames
        assert moved[0] == frames[0] + 2
        await press(pilot, "enter")
        assert isinstance(app.screen, Page)
        await press(pilot, "escape", "m", "tab", "full_stop")
        assert isinstance(app.desk.choice, PoseAt)
        pose = app.desk.scene.poses[app.desk.choice.index]
        await press(pilot, "]", rounds=2)
        assert app.desk.verdicts.poses[app.desk.choice.index] is not None
        await press(pilot, "s")

    after = yaml.safe_load(demo.read_text(encoding="utf-8"))
    assert after["beats"][2]["intent"] == tagged and after["beats"][3]["intent"] == "proud"
    assert after["decisions"][0]["by"] == 2 and after["decisions"][0]["of"] == chosen
    frames_now = {(p["who"], p["name"]): p["frame"] for p in after["poses"]}
    assert frames_now[pose.who, pose.name] == pose.frame + 1
    assert len(after["poses"]) == len(before["poses"])
