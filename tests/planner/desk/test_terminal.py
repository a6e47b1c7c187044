"""The desk in a real terminal (a pseudo-terminal of the standard library), driven by keys."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from desk_keys import DOINGS
from terminals import terminal

from planner.desk.choice import current_row
from planner.desk.on_disk import Keeper
from planner.desk.run import open_app
from planner.scene_file import read_scene_and_text

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX")
LOST_AT_MOST_S = 5.0


def steps_to_an_accent(scene: Path) -> tuple[int, str]:
    """How often `down` leads from the first row of the plan to one that begins with an accent."""
    desk = open_app(str(scene)).desk
    desk = replace(desk, cursor=desk.laid.lines[0].words[3].frames[0])
    for name in ("move", "panel", "panel"):
        desk = DOINGS[name](desk)
    for steps in range(30):
        row = current_row(desk)
        chosen = desk.index.by_id[desk.choice.id]  # type: ignore[union-attr]
        if row is not None and chosen.kind == "accent":
            return steps, chosen.id
        desk = DOINGS["down"](desk)
    raise AssertionError("the demo has no accent")


def test_a_session_from_start_to_saved_file(demo: Path, tmp_path: Path) -> None:
    """Tag a phrase, move an accent by two frames, see a pose judged, save, find it in the YAML."""
    tagged = demo.with_name("tagged.yaml")  # the plan as it will be once the phrase is tagged
    tagged.write_text(demo.read_text().replace("intent: teasing", "intent: proud", 1))
    steps, accent = steps_to_an_accent(tagged)
    before = yaml.safe_load(demo.read_text())
    with terminal(demo, tmp_path) as desk:
        desk.wait(r"Mend")
        desk.press("\x1b[H.,>>>", r"That is the third")
        desk.press("tproud", r"proud")
        desk.press("\r", r"not saved: 1 change")
        desk.press("m\t\t", r"rule: ")
        desk.press("\x1b[B" * steps, r"accent") if steps else None
        desk.press("]]", r"not saved: 3 changes")
        desk.press("ma", r"A key pose on")
        desk.press("head chin down\r", r"chin down, \d+: (lands|early|late|free)")
        desk.press("s", r"saved")
        desk.press("q", r".*")
        assert desk.leave() == 0

    after = yaml.safe_load(demo.read_text())
    assert after["beats"][0]["intent"] == "proud" and after["beats"][0]["words"] == "1-4"
    moved = [d for d in after["decisions"] if d["do"] == "move" and d["of"] == accent]
    assert len(moved) == 1
    earlier = [d for d in before.get("decisions", []) if d["of"] == accent and d["do"] == "move"]
    assert moved[0]["by"] - sum(d["by"] for d in earlier) == 2
    assert after["poses"][-1]["name"] == "chin down" or any(
        pose.get("name") == "chin down" for pose in after["poses"]
    )
    assert demo.read_text().startswith("# A clerk and a visitor")


def test_a_session_in_one_write_and_a_paste(demo: Path, tmp_path: Path) -> None:
    """Every key reaches what the one before it opened; a bracketed paste is text or nothing."""
    paste = "\x1b[200~quit zzz\rss\x1b[201~"
    with terminal(demo, tmp_path) as desk:
        desk.wait(r"Mend")
        desk.write(f"{paste}.>>>tproud\rSSn{paste}!\rs", r"saved ")
        desk.press("q", r".*")
        assert desk.leave() == 0

    after = yaml.safe_load(demo.read_text())
    assert [after["beats"][0][key] for key in ("intent", "strength", "words")] == [
        "proud", 0.9, "1-4",
    ]  # fmt: skip
    assert after["notes"][-1]["text"] == "quit zzz ss!"


def test_killed_in_mid_edit_it_loses_at_most_five_seconds(demo: Path, tmp_path: Path) -> None:
    with terminal(demo, tmp_path) as desk:
        desk.wait(r"Mend")
        desk.press(".S", r"not saved: 1 change")
        edited_s = time.monotonic()
        kept = demo.with_name("scene.yaml.unsaved")
        while not kept.exists() and time.monotonic() < edited_s + LOST_AT_MOST_S:
            desk._read(0.05)
        os.kill(desk.process.pid, signal.SIGKILL)
        desk.process.wait()

    scene, text = read_scene_and_text(demo)
    unsaved = Keeper(demo, text).unsaved()
    assert unsaved is not None and unsaved.fits
    assert unsaved.scene.beats[0].strength == pytest.approx(scene.beats[0].strength + 0.1)


def test_without_a_terminal_it_says_so_in_one_line(demo: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "planner", "desk", str(demo)],
        capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False,
        cwd=Path(__file__).resolve().parents[3],
    )  # fmt: skip

    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == (
        "linebeat: the desk needs a terminal; run it in one, or use linebeat plan\n"
    )
