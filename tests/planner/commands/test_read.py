"""`linebeat read`: the contract's JSON for any clip, one line for anything that is no clip."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

SAID = "That is the third umbrella this week."


@pytest.fixture(scope="session")
def clip(demo_scenes: Path) -> Path:
    """The demo's first line."""
    return demo_scenes / "lost_umbrella" / "clerk_01.flac"


def test_json_with_text_has_every_word(linebeat: Callable[..., Any], clip: Path) -> None:
    ran = linebeat("read", clip, "--say", SAID, "--json", "-")

    data = json.loads(ran.out)
    assert ran.code == 0
    assert [w["text"] for w in data["words"]] == SAID.rstrip(".").split()
    assert [s["text"] for s in data["syllables"][3:7]] == ["third", "um", "brel", "la"]


def test_json_without_text_has_syllables_and_no_words(
    linebeat: Callable[..., Any], clip: Path
) -> None:
    ran = linebeat("read", clip, "--json", "-")

    data = json.loads(ran.out)
    assert data["words"] == []
    assert len(data["syllables"]) >= 7
    assert {s["text"] for s in data["syllables"]} == {None}
    assert {s["word"] for s in data["syllables"]} == {None}


def test_a_second_reading_is_the_same_to_the_byte(linebeat: Callable[..., Any], clip: Path) -> None:
    first = linebeat("read", clip, "--say", SAID, "--json", "-").out
    linebeat("read", "--forget")
    fresh = linebeat("read", clip, "--say", SAID, "--json", "-").out
    stored = linebeat("read", clip, "--say", SAID, "--json", "-").out

    assert first == fresh == stored


def test_json_goes_to_a_file(linebeat: Callable[..., Any], clip: Path, tmp_path: Path) -> None:
    ran = linebeat("read", clip, "--json", tmp_path / "out.json")

    assert ran.code == 0
    assert ran.out == ""
    assert json.loads((tmp_path / "out.json").read_text())["linebeat"] == 1


def test_the_table_marks_the_leaned_on_word(linebeat: Callable[..., Any], clip: Path) -> None:
    ran = linebeat("read", clip, "--say", SAID)

    assert "THIRD" in ran.out
    assert "umBRELLA" not in ran.out


def test_a_text_file_is_read(linebeat: Callable[..., Any], clip: Path, tmp_path: Path) -> None:
    (tmp_path / "said.txt").write_text(SAID, encoding="utf-8-sig")

    ran = linebeat("read", clip, "--say-file", tmp_path / "said.txt", "--json", "-")

    assert len(json.loads(ran.out)["words"]) == 7


def _silence(path: Path) -> Path:
    soundfile.write(path, np.zeros(16000), 16000)
    return path


@pytest.mark.parametrize(
    ("make", "tells"),
    [
        (lambda p: p / "none.wav", "none.wav"),
        (lambda p: p, ""),
        (lambda p: ((p / "e.wav").write_bytes(b"") and None) or p / "e.wav", "empty"),
        (lambda p: (p / "t.wav").write_text("no sound") and p / "t.wav", "t.wav"),
        (lambda p: _silence(p / "s.wav"), "silent"),
    ],
    ids=["missing", "a folder", "empty", "text", "silence"],
)
def test_what_is_no_speech_gets_one_line_and_exit_2(
    linebeat: Callable[..., Any], tmp_path: Path, make: Callable[[Path], Path], tells: str
) -> None:
    target = tmp_path / "out.json"
    ran = linebeat("read", make(tmp_path), "--json", target)

    assert ran.code == 2
    assert ran.out == ""
    assert len(ran.err.strip().splitlines()) == 1
    assert tells in ran.err
    assert ";" in ran.err, "says how to mend it"
    assert not target.exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("read",),
        ("read", "a.wav", "--say", "x", "--say-file", "y"),
        ("read", "a.wav", "--sounds-like", "Tobin"),
        ("read", "a.wav", "--json", "no/such/folder/x.json"),
        ("reed", "a.wav"),
        ("read", "a.wav", "--sya", "x"),
    ],
)
def test_a_wrong_call_gets_one_line_and_exit_2(
    linebeat: Callable[..., Any], arguments: tuple[str, ...]
) -> None:
    ran = linebeat(*arguments)

    assert ran.code == 2
    assert ran.out == ""
    assert len(ran.err.strip().splitlines()) == 1


def test_figures_are_cut_into_syllables_and_columns_are_explained(
    linebeat: Callable[..., Any], clip: Path
) -> None:
    ran = linebeat("read", clip, "--say", "That is the third umbrella this 42.")

    phrase = next(row for row in ran.out.splitlines() if row.startswith("That"))
    assert phrase.split()[-1].casefold() == "for-ty-two"
    assert "dictionary: the word alone, unheard" in ran.out
