"""Saving writes what changed and nothing else, and what is written reads back the same."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from scene_texts import EXAMPLE, SMALL

from audio.errors import OutputError, SceneError
from planner.scene import Beat, Cue, Decision, KeyPose, Note, Passes, Planted, Scene, TrackOf
from planner.scene.text.plain import scene_plain
from planner.scene.text.splice import spliced
from planner.scene_file import parse_scene, read_scene_and_text, save_scene, scene_to_text

LINES_TEXT = """\
linebeat: 1
rate: 24
characters: [clerk, visitor]   # two of them
lines:
  # the opening
  - who: clerk
    sound: a.wav      # take 4
    at: 1
    say: good night
"""


def diff(old: str, new: str) -> tuple[list[str], list[str]]:
    """Rows that went and rows that came."""
    import difflib

    rows = list(difflib.ndiff(old.splitlines(), new.splitlines()))
    return [r[2:] for r in rows if r[0] == "-"], [r[2:] for r in rows if r[0] == "+"]


def edited(text: str, **changes: object) -> str:
    """A text after a change of the scene in it."""
    return spliced(text, replace(parse_scene(text), **changes), file="scene.yaml")  # type: ignore[arg-type]


def test_an_unchanged_scene_is_not_written_anew() -> None:
    assert spliced(EXAMPLE, parse_scene(EXAMPLE), file="scene.yaml") is EXAMPLE


def test_one_changed_value_changes_one_place_and_keeps_its_remark() -> None:
    scene = parse_scene(EXAMPLE)
    beat = replace(scene.beats[0], strength=0.9)

    went, came = diff(EXAMPLE, edited(EXAMPLE, beats=(beat,)))

    assert went == ["    strength: 0.7             # 0..1"]
    assert came == ["    strength: 0.9             # 0..1"]


def test_a_new_entry_is_added_after_the_one_before_it() -> None:
    scene = parse_scene(EXAMPLE)
    added = Beat("amused", "clerk", line=1, words=(5, 7), note="No")

    went, came = diff(EXAMPLE, edited(EXAMPLE, beats=(*scene.beats, added)))

    assert went == []
    assert came == [
        "  - line: 1",
        "    words: 5-7",
        "    said: [umbrella, week]",
        "    intent: amused",
        '    note: "No"',
    ]


def test_a_removed_entry_takes_no_other_remark_with_it() -> None:
    scene = parse_scene(EXAMPLE)

    text = edited(EXAMPLE, decisions=scene.decisions[1:])

    assert diff(EXAMPLE, text)[0] == [
        "  - {of: accent/head/1/w4s1, word: third, do: move, by: -1}   # keep | move by"
    ]
    assert "# the user's own" in text


def test_remarks_between_entries_stay() -> None:
    scene = parse_scene(EXAMPLE)

    text = edited(EXAMPLE, beats=(), notes=(*scene.notes, Note((1, 2), "again")))

    assert "  # the first thought" in text
    assert "beats:                        # beats of one character may not overlap" in text


def test_a_section_that_was_not_there_comes_last() -> None:
    text = edited(SMALL + "# the end\n", notes=(Note((3, 4), "softer"),))

    assert text == SMALL + "# the end\nnotes:\n  - {frames: 3-4, text: softer, done: false}\n"


def test_a_section_comes_before_an_end_of_document_mark() -> None:
    text = edited(SMALL + "...\n", handles=8)

    assert text == SMALL + "handles: 8\n...\n"


def test_a_file_without_a_line_end_at_its_end_can_be_added_to() -> None:
    text = edited(SMALL.rstrip("\n"), handles=8)

    assert text == SMALL + "handles: 8\n"


def test_an_empty_section_keeps_its_remark_when_filled() -> None:
    text = edited(SMALL + "notes:   # none yet\nstep: 1\n", notes=(Note((3, 4), "softer"),))

    assert text == (
        SMALL + "notes:   # none yet\n  - {frames: 3-4, text: softer, done: false}\nstep: 1\n"
    )


def test_only_the_sections_named_are_saved() -> None:
    scene = replace(parse_scene(EXAMPLE), title="Another", notes=())

    text = spliced(EXAMPLE, scene, file="scene.yaml", sections=("notes",))

    assert "title: The Lost Umbrella" in text
    assert "soften this" not in text


def test_the_first_key_of_an_entry_can_go() -> None:
    text = LINES_TEXT + "beats:\n  - note: softly   # hm\n    line: 1\n    intent: amused\n"
    beat = replace(parse_scene(text).beats[0], note="")

    assert parse_scene(edited(text, beats=(beat,))).beats == (beat,)


def test_a_section_in_brackets_can_lose_an_entry() -> None:
    text = SMALL + "notes: [{frames: 1-2, text: a}, {frames: 3-4, text: b}]   # both\n"
    last = parse_scene(text).notes[1:]

    assert parse_scene(edited(text, notes=last)).notes == last


def test_a_scene_written_as_json_can_be_saved() -> None:
    """JSON is YAML; braces stay braces."""
    import json

    text = json.dumps({"linebeat": "1", "rate": "24", "characters": ["clerk"], "lines": [
        {"who": "clerk", "sound": "a.wav", "at": "1", "say": "good night"}]})  # fmt: skip

    changed = edited(text, notes=(Note((3, 4), "softer"),), title="Night")

    assert parse_scene(changed).notes == (Note((3, 4), "softer"),)
    assert changed.startswith("{") and changed.endswith("}")


@pytest.mark.parametrize("newline", ["\r\n", "\n"])
@pytest.mark.parametrize("mark", ["\ufeff", ""])
def test_line_ends_and_byte_order_mark_stay(tmp_path: Path, mark: str, newline: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_bytes((mark + EXAMPLE.replace("\n", newline)).encode())
    scene, text = read_scene_and_text(path)

    save_scene(path, text, replace(scene, title="Another", handles=3, beats=()))

    data = path.read_bytes().decode()
    assert data.startswith(mark + "# A scene")
    assert data.count("\n") == data.count(newline)
    assert parse_scene(data).handles == 3


def test_a_scene_that_contradicts_itself_is_not_saved(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(EXAMPLE)
    scene, text = read_scene_and_text(path)

    with pytest.raises(SceneError, match="beats 1 and 2 of clerk share word 1"):
        save_scene(path, text, replace(scene, beats=scene.beats * 2))
    assert path.read_text() == EXAMPLE
    assert list(tmp_path.iterdir()) == [path]


def test_the_version_before_stays_beside_and_the_mode_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(EXAMPLE)
    path.chmod(0o640)
    scene, text = read_scene_and_text(path)

    text = save_scene(path, text, replace(scene, title="Second"))
    text = save_scene(path, text, replace(scene, title="Third"))

    assert path.read_text() == text
    assert "title: Third" in text
    assert "title: Second" in (tmp_path / "scene.yaml~").read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["scene.yaml", "scene.yaml~"]


def test_saving_through_a_link_keeps_the_link(tmp_path: Path) -> None:
    real = tmp_path / "real.yaml"
    real.write_text(SMALL)
    link = tmp_path / "scene.yaml"
    link.symlink_to(real)
    scene, text = read_scene_and_text(link)

    save_scene(link, text, replace(scene, handles=8))

    assert link.is_symlink()
    assert "handles: 8" in real.read_text()


def test_a_file_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(SMALL)
    scene, text = read_scene_and_text(path)
    path.write_text(SMALL + "handles: 5\n")

    with pytest.raises(SceneError) as caught:
        save_scene(path, text, replace(scene, title="Mine"))

    assert caught.value.line() == (
        f"{path}: changed on disk since it was read; read it again before saving, so that nothing "
        "is lost"
    )
    assert path.read_text() == SMALL + "handles: 5\n"


def test_force_overwrites_and_keeps_the_others_version_beside(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(SMALL)
    scene, text = read_scene_and_text(path)
    path.write_text(SMALL + "handles: 5\n")

    save_scene(path, text, replace(scene, title="Mine"), force=True)

    assert "title: Mine" in path.read_text()
    assert (tmp_path / "scene.yaml~").read_text() == SMALL + "handles: 5\n"


def test_a_text_read_with_other_line_ends_still_counts_as_the_same(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_bytes(SMALL.replace("\n", "\r\n").encode())
    scene, _ = read_scene_and_text(path)

    save_scene(path, SMALL, replace(scene, handles=8))

    assert path.read_bytes().endswith(b"handles: 8\r\n")


def test_a_file_that_is_gone_is_said(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"

    with pytest.raises(SceneError, match="no such scene file"):
        save_scene(path, SMALL, replace(parse_scene(SMALL), handles=8))


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder_is_said_and_nothing_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(SMALL)
    scene, text = read_scene_and_text(path)
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(OutputError, match="could not be written"):
            save_scene(path, text, replace(scene, handles=8))
        assert path.read_text() == SMALL
    finally:
        tmp_path.chmod(0o700)


# Round trips --------------------------------------------------------------------------------------

TRAPS = ["No", "yes", "1:30", "=1+1", "null", "~", "", " ", " a ", "a: b", "a #b", "- a", "'", '"',
         "\\", "\\n", "a\nb", "\n", "\t", "{a}", "[a]", "a, b", "&a", "*a", "!a", "%a", "@a", "`a",
         "|", ">", "? a", "---", "...", "<<", "0x1F", "0o17", "1_000", "1e3", ".5", "+1", "1-4",
         "2001-01-01", "y", "off", "\u2028", "\x85", "\ufeff", "\u202e\u05d0\u05d1",
         "\u05e9\u05dc\u05d5\u05dd",
         "\U0001f469\u200d\U0001f680", "\x00", "\x1b[31m", "\x7f", "\uffff", "\U0010ffff", "a  b",
         "it's", "why?", "a ? b", "caf\u00e9 \u2013 na\u00efve", "x" * 3000]  # fmt: skip
TEXTS = st.one_of(st.sampled_from(TRAPS), st.text(max_size=30))


@given(text=TEXTS)
@settings(max_examples=300, deadline=None)
def test_any_text_reads_back_identically_here_and_in_pyyaml(text: str) -> None:
    """Checked against PyYAML's own safe loader, which types scalars: it must find the same text."""
    scene = replace(
        parse_scene(SMALL),
        title=text,
        notes=(Note((1, 2), text),),
        poses=(KeyPose(1, "clerk", "head", name=text),),
        beats=(Beat("amused", "clerk", line=1, note=text),),
    )

    written = spliced(SMALL, scene, file="scene.yaml")

    back = parse_scene(written)
    assert (back.title, back.notes[0].text, back.beats[0].note) == (text, text, text)
    raw = yaml.safe_load(written)
    assert raw.get("title", "") == text
    assert raw["notes"][0].get("text", "") == text
    assert raw["poses"][0].get("name", "") == text
    assert raw["beats"][0].get("note", "") == text


def test_half_a_character_is_refused() -> None:
    with pytest.raises(SceneError, match="half a character"):
        edited(SMALL, title="a\ud800b")


FRAMES = st.tuples(st.integers(-50, 5000), st.integers(0, 300)).map(lambda p: (p[0], p[0] + p[1]))
WHO = st.sampled_from(("clerk", "visitor"))
PARTS = st.sampled_from(("head", "left hand", "whole"))
SHARES = st.floats(0, 1)
NOTES = st.builds(Note, FRAMES, TEXTS, who=st.none() | WHO, by=TEXTS, done=st.booleans())
CUES = st.builds(Cue, st.just("visitor"), st.just(1), st.integers(1, 2), st.just("amused"), SHARES)
PLANTED = st.builds(Planted, WHO, PARTS, FRAMES)
POSES = st.builds(KeyPose, st.integers(-9, 9999), WHO, PARTS, TEXTS)
DECISIONS = st.builds(
    Decision,
    of=st.sampled_from(("accent/head/1/w4s1", "pose/whole/1/b1")),
    do=st.sampled_from(("keep", "drop", "lock")),
    word=st.none() | st.just("No"),
    step=st.none() | st.integers(1, 4),
)


@st.composite
def scenes(draw: st.DrawFn) -> Scene:
    """Scenes that differ in everything but their line."""
    beats = [
        Beat("amused", "visitor", frames=(100 * i, 100 * i + draw(st.integers(0, 99))),
             strength=draw(SHARES), note=draw(TEXTS))
        for i in range(draw(st.integers(0, 4)))
    ]  # fmt: skip
    limits: Mapping[str, tuple[int, int]] = draw(
        st.dictionaries(PARTS, st.tuples(st.integers(-9, 0), st.integers(0, 9)))
    )
    return replace(
        parse_scene(LINES_TEXT),
        title=draw(TEXTS),
        handles=draw(st.integers(0, 20)),
        beats=tuple(beats),
        cues=tuple(draw(st.lists(CUES, max_size=3))),
        planted=tuple(draw(st.lists(PLANTED, max_size=3))),
        decisions=tuple(draw(st.lists(DECISIONS, max_size=4))),
        poses=tuple(draw(st.lists(POSES, max_size=4))),
        notes=tuple(draw(st.lists(NOTES, max_size=4))),
        tolerance=MappingProxyType(limits),
        tracks=MappingProxyType({f"t{i}": TrackOf(draw(WHO), "head") for i in range(2)}),
        passes=Passes(done=MappingProxyType({draw(st.integers(1, 9)): ("body",)})),
    )


def unguarded(scene: Scene) -> Scene:
    """The scene without the words that guard its tags, which saving adds."""
    return replace(
        scene,
        beats=tuple(replace(beat, said=()) for beat in scene.beats),
        cues=tuple(replace(cue, said=()) for cue in scene.cues),
    )


@given(old=scenes(), new=scenes())
@settings(max_examples=150, deadline=None)
def test_any_scene_can_be_saved_over_any_other(old: Scene, new: Scene) -> None:
    """Every remark above a section is still there, whatever changed below it."""
    rows: list[str] = []
    for row in scene_to_text(old).splitlines():
        if not row.startswith(" "):
            rows.append(f"# about {row.partition(':')[0]}")
        rows.append(row)
    text = "\n".join(rows) + "\n"

    written = spliced(text, new, file="scene.yaml")

    assert scene_plain(unguarded(parse_scene(written))) == scene_plain(new)
    for row in rows:
        if row.startswith("# about"):
            assert row in written.splitlines()
