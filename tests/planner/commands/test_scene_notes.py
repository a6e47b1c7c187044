"""What is odd about a scene is told once, by every command that reads its lines, with its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import soundfile

WRONG = "My grandmother bakes wonderful chocolate cakes on Sundays."
SCENE = """\
linebeat: 1
rate: 24
first_frame: 1001
characters: [clerk, visitor]
lines:
  - who: clerk
    at: 1001
    sound: a.flac
    say: That is the third umbrella this week.
"""


@pytest.fixture
def folder(demo_scenes: Path, tmp_path: Path) -> Path:
    """A scene of one line, its sound beside it."""
    shutil.copy(demo_scenes / "lost_umbrella" / "clerk_01.flac", tmp_path / "a.flac")
    (tmp_path / "scene.yaml").write_text(SCENE)
    return tmp_path


def rewrite(folder: Path, old: str, new: str) -> None:
    """Change the scene's text; the old one must be in it."""
    text = (folder / "scene.yaml").read_text()
    assert old in text
    (folder / "scene.yaml").write_text(text.replace(old, new))


def notes_of(err: str) -> list[str]:
    """The notes on standard error."""
    return [row for row in err.splitlines() if row.startswith("note: ")]


@pytest.mark.parametrize("command", ["plan", "check", "passes"])
def test_a_text_that_does_not_fit_is_told_once_with_its_place(linebeat, folder, command) -> None:
    rewrite(folder, "That is the third umbrella this week.", WRONG)

    ran = linebeat(command, folder)

    fits = [n for n in notes_of(ran.err) if "does not fit the sound" in n]
    assert len(fits) == 1
    assert fits[0].startswith(f"note: {folder}/scene.yaml:6: line 1: the text does not fit")
    assert "does not fit" not in ran.out


def test_start_hears_whether_the_words_fit(linebeat, folder) -> None:
    ran = linebeat("start", folder / "a.flac", "--say", WRONG, "-o", folder / "new.yaml")

    assert ran.code == 0
    assert f"note: {folder}/a.flac: the text does not fit the sound" in ran.err


def test_a_sound_cut_short_is_told_once_for_all_lines_that_share_it(linebeat, folder) -> None:
    samples, rate_hz = soundfile.read(folder / "a.flac")
    soundfile.write(folder / "cut.wav", samples, rate_hz)
    data = (folder / "cut.wav").read_bytes()
    (folder / "cut.wav").write_bytes(data[: len(data) * 2 // 3])
    rewrite(folder, "a.flac", "cut.wav")
    with (folder / "scene.yaml").open("a") as file:
        file.write("  - {who: visitor, at: 1101, sound: cut.wav}\n")

    ran = linebeat("plan", folder)

    cut = [n for n in notes_of(ran.err) if "ends before its header says" in n]
    assert len(cut) == 1
    assert "scene.yaml:6: lines 1, 2: the file ends before" in cut[0]


@pytest.mark.parametrize(
    ("name", "told"),
    [("vistor", 'did you mean "visitor"?'), ("sally", "use one of these (known: clerk, visitor)")],
)
def test_a_beat_toward_nobody_is_refused_with_whom_it_may_mean(linebeat, folder, name, told):
    with (folder / "scene.yaml").open("a") as file:
        file.write(f"beats:\n  - {{line: 1, words: 1-4, intent: proud, toward: {name}}}\n")

    ran = linebeat("plan", folder)

    assert ran.code == 2
    assert f"scene.yaml:11: beat 1 is toward {name}, who is not in the scene; {told}" in ran.err


def test_a_thing_with_a_side_may_be_turned_to(linebeat, folder) -> None:
    with (folder / "scene.yaml").open("a") as file:
        file.write(
            "stage: {clerk: left, the shelf: right}\n"
            "beats:\n  - {line: 1, words: 1-4, intent: teasing, toward: the shelf}\n"
        )

    ran = linebeat("plan", folder)

    assert ran.code == 0
    assert "toward the shelf (right)" in " ".join(ran.out.split())


def test_two_lines_of_one_speaker_at_once_are_noted(linebeat, folder) -> None:
    with (folder / "scene.yaml").open("a") as file:
        file.write("  - {who: clerk, at: 1021, sound: a.flac}\n")

    ran = linebeat("plan", folder)

    assert [n for n in notes_of(ran.err) if "clerk says lines 1 and 2 at once on frames" in n]


@pytest.mark.parametrize(
    ("section", "told"),
    [
        ("beats:\n  - {line: 1, intent: proud, toward: clerk}\n",
         "beat 1 is toward clerk, who plays it"),
        ("cues:\n  - {who: clerk, hears: 1/4, intent: surprised}\n",
         "cue 1: clerk hears line 1, which is clerk's own"),
    ],
)  # fmt: skip
def test_a_character_is_not_its_own_partner(linebeat, folder, section, told) -> None:
    with (folder / "scene.yaml").open("a") as file:
        file.write(section)

    ran = linebeat("plan", folder)

    assert (ran.code, ran.out) == (2, "")
    assert f"scene.yaml:11: {told}; " in ran.err


def test_check_notes_a_pose_outside_the_shot(linebeat, folder) -> None:
    with (folder / "scene.yaml").open("a") as file:
        file.write("shot: 1001-1060\nposes:\n  - {frame: 2001, who: clerk, part: head}\n")

    ran = linebeat("check", folder)

    assert "scene.yaml:12: pose 1: frame 2001 lies outside the shot (1001-1060)" in ran.err


# Errors about sounds ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "the file is empty"),
        (b"just some words, no sound\n" * 9, "not a sound file that can be read"),
        (b"\x89PNG\r\n\x1a\n" + bytes(200), "not a sound file that can be read"),
    ],
)
def test_a_sound_that_cannot_be_read_is_told_at_its_line_of_the_scene(
    linebeat, folder, content, told
) -> None:
    (folder / "a.flac").write_bytes(content)

    ran = linebeat("plan", folder)

    assert ran.code == 2
    assert f'scene.yaml:8: line 1: the sound "a.flac": {told}' in ran.err
    assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize(
    ("name", "mend"),
    [
        ("A.FLAC", 'did you mean "a.flac"?'),
        ("a.flak", 'did you mean "a.flac"?'),
        ("week.wav", 'put it in the scene\'s folder ("{folder}")'),
    ],
)
def test_a_missing_sound_points_at_its_own_line_and_says_where_it_belongs(
    linebeat, folder, monkeypatch, name, mend
) -> None:
    rewrite(folder, "a.flac", name)
    monkeypatch.chdir(folder)

    ran = linebeat("plan", "scene.yaml")

    assert ran.code == 2
    assert f'scene.yaml:8: line 1: no sound file "{name}"' in ran.err
    assert mend.format(folder=folder.name) in ran.err
