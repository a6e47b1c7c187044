"""The command line itself: help as lines, what is not replaced, what a wrong file is called."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.file_kind import kind_of
from planner.wording import quoted


def test_without_a_command_the_help_stands_line_by_line_on_standard_error(linebeat) -> None:
    ran = linebeat()

    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines()[0] == "Usage: linebeat [OPTIONS] COMMAND [ARGS]..."
    assert any(row.startswith("  plan ") for row in ran.err.splitlines())


@pytest.mark.parametrize("asked", [("note", "--help"), ("note", "add", "--help")])
def test_the_help_of_notes_says_where_the_rest_is(linebeat, asked) -> None:
    ran = linebeat(*asked)

    assert ran.out.splitlines()[0] == "Usage: linebeat note SCENE add|list|done|open ..."
    assert "linebeat note SCENE add --help" in ran.out


def test_json_of_ours_is_written_anew_and_another_file_is_not(
    linebeat, demo_scenes: Path, tmp_path: Path
) -> None:
    target = tmp_path / "plan.json"
    kitchen = demo_scenes / "night_kitchen"

    codes = [linebeat("plan", kitchen, "--json", target).code for _ in range(2)]
    target.write_text('{"mine": 1}')
    refused = linebeat("plan", kitchen, "--json", target)

    assert (codes, refused.code) == ([0, 0], 2)
    assert "plan.json: is there already, and linebeat did not write it" in refused.err
    assert target.read_text() == '{"mine": 1}'


def test_a_sound_given_for_a_scene_is_called_a_sound(linebeat, demo_scenes: Path) -> None:
    sound = demo_scenes / "lost_umbrella" / "clerk_01.flac"

    ran = linebeat("plan", sound)

    assert ran.code == 2
    assert f"{sound}: is a sound, no scene file; make a scene of it with linebeat start" in ran.err


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"RIFF\x24\0\0\0WAVE", "a sound"), (b"RIFF\x24\0\0\0WEBP", "a picture"),
        (b"\x89PNG\r\n\x1a\n", "a picture"), (b"\0\0\0\x18ftypmp42", "a video"),
        (b"frame,who,part", None), (b"linebeat: 1\n", None), (b"", None),
    ],
)  # fmt: skip
def test_files_are_known_by_their_first_bytes(head: bytes, kind: str | None) -> None:
    assert kind_of(head) == kind


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("The third?", '"The third?"'),
        ("\u201cThe third?\u201d", '"The third?"'),
        ('"The third?"', '"The third?"'),
        ('"No," he said. "Yes."', '""No," he said. "Yes.""'),
        ('"', '"""'),
    ],
)
def test_quotes_around_a_say_are_not_doubled(text: str, shown: str) -> None:
    assert quoted(text) == shown
