"""Notes: added, marked, and kept on their words when the timing changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audio.errors import UsageError
from planner.lead.notes import (
    WordsOf,
    placed,
    placed_notes,
    read_frames,
    read_words,
    with_done,
    with_note,
)
from planner.scene import Note
from planner.shot import shot_of

Maker = Callable[..., Any]


def test_a_note_on_words_moves_with_them(voice: Maker, scene_of: Maker) -> None:
    """The line begins 10 frames later: so does the note."""
    scene, readings = scene_of(voice([(1.0, "strong"), (2.0, "light")]))
    noted = with_note(shot_of(scene, readings), "soften this", words=WordsOf(1, 2, 2))
    before = noted.notes[0].frames

    line = replace(noted.lines[0], at_s=10 / 24)
    after = placed_notes(shot_of(replace(noted, lines=(line,)), readings))[0].frames

    assert before == (1047, 1052)  # 1.95 s to 2.15 s
    assert after == (before[0] + 10, before[1] + 10)


def test_a_note_on_words_follows_a_new_reading(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))
    noted = with_note(shot_of(scene, readings), "later", words=WordsOf(1, 1, 1))

    moved = placed(shot_of(noted, {1: voice([(1.5, "strong")])}), noted.notes[0])

    assert moved.frames[0] == noted.notes[0].frames[0] + 12


def test_a_note_whose_words_are_gone_stays_where_it_was(voice: Maker, scene_of: Maker) -> None:
    scene, _ = scene_of(voice([(1.0, "strong")]))
    note = Note((1040, 1050), "here", line=1, words=(3, 4))

    assert placed(shot_of(scene, {1: voice([(1.0, "strong")])}), note).frames == (1040, 1050)
    assert placed(shot_of(scene, {}), note).frames == (1040, 1050)


def test_a_note_on_words_is_about_their_speaker(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]), who=["ada", "bo"])

    assert with_note(shot_of(scene, readings), "x", words=WordsOf(1, 1, 1)).notes[0].who == "ada"
    assert with_note(shot_of(scene, {}), "x", frames=(1, 2)).notes[0].who is None


def test_done_and_open_again(voice: Maker, scene_of: Maker) -> None:
    scene, _ = scene_of(voice([]))
    scene = with_note(shot_of(scene, {}), "one", frames=(1, 2))
    scene = with_note(shot_of(scene, {}), "two", frames=(3, 4))

    done = with_done(scene, [2])
    again = with_done(done, [2], done=False)

    assert [n.done for n in done.notes] == [False, True]
    assert again.notes == scene.notes


@pytest.mark.parametrize(
    ("text", "frames"), [("1011", (1011, 1011)), ("1011-1016", (1011, 1016)), (" 5 - 9 ", (5, 9))]
)
def test_frames_as_typed(text: str, frames: tuple[int, int]) -> None:
    assert read_frames(text) == frames


@pytest.mark.parametrize("text", ["", "a-b", "1.5", "9-5", "1-2-3", "12345678"])
def test_frames_that_are_none(text: str) -> None:
    with pytest.raises(UsageError, match="--frames"):
        read_frames(text)


def test_words_as_typed(voice: Maker, scene_of: Maker) -> None:
    scene, _ = scene_of(voice([]))
    named = replace(scene, lines=(replace(scene.lines[0], id="third"),))

    assert read_words("1:3-4", named) == WordsOf(1, 3, 4)
    assert read_words("third:2", named) == WordsOf(1, 2, 2)


@pytest.mark.parametrize(
    ("text", "says"),
    [("3-4", "names no words"), ("2:1", 'no line "2"'), ("1:4-3", "ends before"), ("1:0", "ends")],
)
def test_words_that_are_none(voice: Maker, scene_of: Maker, text: str, says: str) -> None:
    scene, _ = scene_of(voice([]))

    with pytest.raises(UsageError, match=says):
        read_words(text, scene)


def test_a_note_needs_a_text_and_a_place(voice: Maker, scene_of: Maker) -> None:
    scene, readings = scene_of(voice([(1.0, "strong")]))

    with pytest.raises(UsageError, match="where is the note"):
        with_note(shot_of(scene, readings), "x")
    with pytest.raises(UsageError, match="needs words"):
        with_note(shot_of(scene, readings), "  \n ", frames=(1, 2))
    with pytest.raises(UsageError, match="line 1 has 1 words, so no words 2-3"):
        with_note(shot_of(scene, readings), "x", words=WordsOf(1, 2, 3))
    with pytest.raises(UsageError, match="there is no note 1"):
        with_done(scene, [1])


# The command, on a scene file of its own --------------------------------------------------------

SCENE = """\
# kept as written
linebeat: 1
rate: 24
first_frame: 1001
characters: [clerk]   # one
lines:
  - {who: clerk, sound: a.wav, at: 1001, say: Sign here}
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE, encoding="utf-8")
    return path


def test_the_command_adds_lists_and_marks(linebeat: Maker, file: Path) -> None:
    added = linebeat("note", file, "add", "soften", "this", "--frames", "1011-1016", "--by", "lead")
    linebeat("note", file, "add", "-", "and wait", "--frames", "1020", "--who", "clerk")
    marked = linebeat("note", file, "done", "1")
    listed = linebeat("note", file, "list")
    everything = linebeat("note", file, "list", "--all")
    reopened = linebeat("note", file, "open", "1")

    assert (added.code, added.out) == (0, "")
    assert "note 1 on frames 1011-1016" in added.err
    assert marked.code == reopened.code == 0
    assert "soften this" not in listed.out
    assert "and wait" in listed.out
    assert "soften this" in everything.out
    assert file.read_text(encoding="utf-8").startswith(SCENE)


def test_the_list_as_json_is_alone_on_standard_output(linebeat: Maker, file: Path) -> None:
    import json

    linebeat("note", file, "add", "soften", "--frames", "1011")

    ran = linebeat("note", file, "list", "--json", "-")

    assert json.loads(ran.out)["notes"] == [
        {"note": 1, "frames": [1011, 1011], "who": None, "by": "", "text": "soften",
         "done": False, "line": None, "words": None}
    ]  # fmt: skip


@pytest.mark.parametrize(
    "arguments",
    [
        ("add", "x"),
        ("add", "x", "--frames", "a"),
        ("add", "x", "--frames", "1", "--words", "1:1"),
        ("add", "x", "--frames", "1", "--who", "nobody"),
        ("done", "7"),
        ("done", "one"),
        ("nonsense",),
        (),
    ],
)
def test_every_mistake_is_one_line_and_changes_nothing(
    linebeat: Maker, file: Path, arguments: tuple[str, ...]
) -> None:
    ran = linebeat("note", file, *arguments)

    assert ran.code == 2
    assert len(ran.err.strip().splitlines()) == 1
    assert file.read_text(encoding="utf-8") == SCENE


def test_a_note_outside_the_shot_is_refused(linebeat: Maker, file: Path) -> None:
    text = "".join(r for r in file.read_text().splitlines(True) if not r.startswith("shot:"))
    file.write_text(text + "shot: 1001-1100\n")
    before = file.read_bytes()

    ran = linebeat("note", file, "add", "soften", "--frames", "9000-9001")

    assert ran.code == 2
    assert "--frames 9000-9001 lie outside the shot; the shot is 1001-1100" in ran.err
    assert file.read_bytes() == before
