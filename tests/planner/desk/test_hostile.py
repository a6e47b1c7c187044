"""A scene of somebody else's cannot steer the desk's terminal: read from the bytes it is sent."""

from __future__ import annotations

import os
import select
import time
from pathlib import Path

import pytest
from rich.segment import Segment
from terminals import Terminal, terminal
from textual.color import Color

from planner.desk.shown_filter import ShownFilter
from planner.desk.views.cells import plain

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX")
STEALS = r"\x1b]52;c;UVVPVEU=\a\x1b]0;stolen\a\x9b6n\u202e"  # clipboard, title, a report, reversed
FORBIDDEN = (b"]52;c;UVVP\x1b", b"\x1b]52;", b"\x1b]0;stolen", b"\xc2\x9b", "\u202e".encode())
SCENE = f"""linebeat: 1
title: "title {STEALS}"
rate: 24
first_frame: 1001
characters: [clerk]
lines:
  - {{who: clerk, sound: clerk_01.flac, at: 1001, say: "That is the third umbrella this week."}}
beats:
  - {{line: 1, words: 1-4, intent: mine, note: "note {STEALS}"}}
intents:
  mine: {{based_on: proud, reason: "reason {STEALS}"}}
poses:
  - {{frame: 1015, who: clerk, part: head, name: "pose {STEALS}"}}
notes:
  - {{frames: 1001-1010, by: "by {STEALS}", text: "text {STEALS}"}}
"""


def raw(desk: Terminal, keys: str, seconds: float = 0.5) -> bytes:
    """What the desk writes after these keys."""
    os.write(desk._handle, keys.encode())
    got, end_s = b"", time.monotonic() + seconds
    while time.monotonic() < end_s:
        if select.select([desk._handle], [], [], 0.1)[0]:
            got += os.read(desk._handle, 65536)
            end_s = max(end_s, time.monotonic() + 0.25)
    return got


def test_no_key_of_the_desk_shows_what_would_steer_the_terminal(
    tmp_path: Path, demo_scenes: Path
) -> None:
    folder = tmp_path / "scene"
    folder.mkdir()
    sound = demo_scenes / "lost_umbrella" / "clerk_01.flac"
    (folder / "clerk_01.flac").write_bytes(sound.read_bytes())
    (folder / "scene.yaml").write_text(SCENE)

    with terminal(folder / "scene.yaml", tmp_path) as desk:
        desk.wait(r"Mend")
        seen = raw(desk, "..") + raw(desk, "tmine") + raw(desk, "\x1b")  # intents and reasons
        seen += raw(desk, "r") + raw(desk, "\x1b") + raw(desk, "\r") + raw(desk, "\x1b")
        seen += raw(desk, "mm\t") + raw(desk, "r") + raw(desk, "\x1b")  # a pose's name
        seen += raw(desk, "\t.\r") + raw(desk, "\x1b") + raw(desk, "r") + raw(desk, "\x1b")

    assert b"reason" in seen and b"pose" in seen
    assert [f for f in FORBIDDEN if f in seen] == []
    assert rb"\x1b]52" in seen  # it is shown, not hidden


def test_the_last_gate_lets_no_command_through() -> None:
    text = "a\x1b]52;c;x\x07b\u202e\x9b"
    passed = ShownFilter().apply([Segment(text), Segment("", None, [(1,)])], Color(0, 0, 0))

    assert [s.text for s in passed] == ["a]52;c;xb", ""]
    assert passed[1].control


def test_a_row_shows_what_a_text_holds() -> None:
    assert plain("a\x1bb\u202e\nc") == r"a\x1bb\u202e c"
