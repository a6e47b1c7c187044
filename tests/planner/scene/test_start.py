"""A scene made from clips can be planned at once and says what to do next."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.frames import FrameRate
from planner.scene.start import TURN_GAP_MS, StartClip, scene_from_clips, start_text
from planner.scene_file import parse_scene, read_scene

RATE_24 = FrameRate.parse("24")


@pytest.fixture
def clips(tmp_path: Path) -> list[Path]:
    """Two clips of 1.0 and 1.5 seconds."""
    paths = []
    for name, length_s in (("a.wav", 1.0), ("b.wav", 1.5)):
        t_s = np.arange(int(16_000 * length_s)) / 16_000
        soundfile.write(tmp_path / name, 0.3 * np.sin(2 * np.pi * 150 * t_s), 16_000)
        paths.append(tmp_path / name)
    return paths


@pytest.mark.parametrize("text", ["12", "23.976", "24", "25", "29.97df", "60"])
@given(lengths_s=st.lists(st.floats(0.1, 30), min_size=1, max_size=6))
@settings(max_examples=50, deadline=None)
def test_lines_follow_each_other_by_a_turns_gap_on_whole_frames(
    text: str, lengths_s: list[float]
) -> None:
    """The gap is at least 200 ms and less than a frame more."""
    rate = FrameRate.parse(text)
    scene = scene_from_clips([StartClip("a.wav", s) for s in lengths_s], rate=rate)
    frame_s = 1 / float(rate.frames_per_s)

    assert scene.lines[0].at_s == 0.0
    for length_s, line, after in zip(lengths_s, scene.lines, scene.lines[1:], strict=False):
        gap_s = after.at_s - (line.at_s + length_s)
        assert TURN_GAP_MS / 1000 - 1e-4 * frame_s <= gap_s + 1e-9
        assert gap_s < TURN_GAP_MS / 1000 + frame_s
        assert scene.clock.scene_s(scene.clock.frame_at(after.at_s)) == after.at_s


def test_names_take_turns() -> None:
    clips = [StartClip(f"{n}.wav", 1.0) for n in range(3)]
    scene = scene_from_clips(clips, who=("clerk", "visitor"), rate=RATE_24)

    assert [line.who for line in scene.lines] == ["clerk", "visitor", "clerk"]
    assert scene.characters == ("clerk", "visitor")


def test_every_line_has_a_neutral_beat_over_all_its_words() -> None:
    scene = scene_from_clips(
        [StartClip("a.wav", 1.0, "good night"), StartClip("b.wav", 1.0)], rate=RATE_24
    )

    assert [(b.intent, b.line, b.words) for b in scene.beats] == [
        ("neutral", 1, (1, 2)), ("neutral", 2, None)]  # fmt: skip


@given(
    says=st.lists(st.none() | st.text(max_size=40), min_size=1, max_size=4),
    who=st.lists(st.sampled_from(["clerk", "No", "\u05e9\u05dc\u05d5\u05dd", "a: b"]), max_size=2),
    title=st.text(max_size=20),
    rate=st.sampled_from(["24", "23.976", "29.97df", "25/2", "120/1"]),
)
@settings(max_examples=150, deadline=None)
def test_the_text_reads_back_as_the_scene(
    says: list[str | None], who: list[str], title: str, rate: str
) -> None:
    clips = [StartClip(f"{n}.wav", 1.0, say if say and say.strip() else None)
             for n, say in enumerate(says)]  # fmt: skip
    scene = scene_from_clips(clips, who=who, rate=FrameRate.parse(rate), title=title)

    back = parse_scene(start_text(scene, intents=["neutral"]))

    assert (back.lines, back.beats, back.clock) == (scene.lines, scene.beats, scene.clock)
    assert (back.title, back.characters) == (title, scene.characters)


def test_words_stand_numbered_above_their_beat() -> None:
    scene = scene_from_clips([StartClip("a.wav", 1.0, "Good night, clerk.")], rate=RATE_24)

    assert "  # 1 Good  2 night  3 clerk\n  - line: 1\n" in start_text(scene)


def test_no_clips_make_no_scene() -> None:
    with pytest.raises(ValueError, match="needs a clip"):
        scene_from_clips([], rate=RATE_24)


def test_start_writes_a_scene_and_says_the_next_step(linebeat, tmp_path, clips) -> None:
    (tmp_path / "lines.txt").write_text("Good night.\nNot yet!\n\n")
    out = tmp_path / "scene.yaml"

    ran = linebeat("start", *clips, "--say-file", tmp_path / "lines.txt", "--who", "clerk",
                   "--who", "visitor", "--rate", "25", "--title", "Night", "-o", out)  # fmt: skip

    scene = read_scene(out)
    assert (ran.code, ran.out) == (0, "")
    last = ran.err.splitlines()[-1]  # before it, what is odd about tones that are no voice
    assert last == f"wrote {out}: 2 lines; tag its beats, then: linebeat plan {out}"
    first, second = scene.lines
    assert (first.sound, first.say, first.who) == ("a.wav", "Good night.", "clerk")
    assert (second.sound, second.say, second.who) == ("b.wav", "Not yet!", "visitor")
    assert (first.at_text, second.at_text) == ("1001", "1031")  # 1.0 s and 0.2 s at 25
    assert (str(scene.rate), scene.title) == ("25", "Night")


def test_a_clip_may_have_no_words(linebeat, tmp_path, clips) -> None:
    (tmp_path / "lines.txt").write_text("Not yet!\n\n\n")
    out = tmp_path / "scene.yaml"

    ran = linebeat("start", *clips, "--say-file", tmp_path / "lines.txt", "-o", out)

    assert ran.code == 0
    assert [line.say for line in read_scene(out).lines] == ["Not yet!", None]


def test_sounds_are_named_from_the_scenes_folder(
    linebeat, tmp_path: Path, clips: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "voices").mkdir()
    shutil.move(clips[0], tmp_path / "voices" / "a.wav")
    monkeypatch.chdir(tmp_path / "voices")

    ran = linebeat("start", "a.wav", "-o", "../scene.yaml")

    assert ran.code == 0
    assert read_scene(tmp_path / "scene.yaml").lines[0].sound == "voices/a.wav"


def test_a_clip_from_elsewhere_is_refused_or_copied(linebeat, tmp_path, clips) -> None:
    folder = tmp_path / "scene"
    folder.mkdir()

    refused = linebeat("start", clips[0], "-o", folder / "scene.yaml")
    assert (refused.code, list(folder.iterdir())) == (2, [])
    assert refused.err == (
        f"linebeat: {clips[0]}: lies outside the scene's folder ({folder}); add --copy to copy it "
        "there, or put the scene beside it with -o\n"
    )

    copied = linebeat("start", clips[0], "--copy", "-o", folder)
    assert copied.code == 0
    assert (folder / "a.wav").read_bytes() == clips[0].read_bytes()
    assert read_scene(folder / "scene.yaml").lines[0].sound == "a.wav"


def test_copying_never_replaces_another_sound(linebeat, tmp_path, clips) -> None:
    folder = tmp_path / "scene"
    folder.mkdir()
    (folder / "a.wav").write_bytes(b"mine")

    ran = linebeat("start", clips[0], "--copy", "-o", folder / "scene.yaml")

    assert (ran.code, (folder / "a.wav").read_bytes()) == (2, b"mine")
    assert "there is another sound of that name; rename one of the two" in ran.err
    assert not (folder / "scene.yaml").exists()


def test_a_scene_that_is_there_is_not_overwritten_without_force(linebeat, tmp_path, clips) -> None:
    out = tmp_path / "scene.yaml"
    out.write_text("mine")

    refused = linebeat("start", clips[0], "-o", out)
    assert (refused.code, out.read_text()) == (2, "mine")
    assert refused.err == (
        f"linebeat: {out}: is there already; choose another name, or add --force\n"
    )

    forced = linebeat("start", clips[0], "-o", out, "--force")
    assert forced.code == 0
    assert read_scene(out).lines[0].sound == "a.wav"
    assert (tmp_path / "scene.yaml~").read_text() == "mine"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [(["--say", "one"], "1 --say of text for 2 clips; give --say once a clip"),
     (["--say", "one", "--say", "two", "--say-file", "x"],
      "--say and --say-file are both given; give one of them"),
     (["--say-file", "three.txt"],
      "three.txt: 3 lines of text for 2 clips; leave a line empty for a clip without words"),
     (["--say-file", "none.txt"], "none.txt: No such file or directory; name a text file"),
     (["--who", " "], "--who has no name; write --who clerk --who visitor"),
     (["-o", "none/scene.yaml"], 'none/scene.yaml: no folder "none"; make it first'),
     (["none.wav"], "none.wav: no such file; check the path and the spelling")],
)  # fmt: skip
def test_what_does_not_fit_is_one_line_and_writes_nothing(
    linebeat, tmp_path, clips, monkeypatch, arguments: list[str], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "three.txt").write_text("a\nb\nc\n")
    before = sorted(tmp_path.iterdir())

    ran = linebeat("start", *(clip.name for clip in clips), *arguments)

    assert (ran.code, ran.out, ran.err) == (2, "", f"linebeat: {said}\n")
    assert sorted(tmp_path.iterdir()) == before


def test_an_unknown_rate_is_said(linebeat, clips) -> None:
    ran = linebeat("start", clips[0], "--rate", "23")

    assert ran.code == 2
    assert ran.err.startswith('linebeat: --rate: unknown rate "23" (known: 12, 23.976, 24')


def test_start_without_clips_shows_how(linebeat) -> None:
    ran = linebeat("start")

    assert (ran.code, ran.err) == (
        2, "linebeat: no clip named; linebeat start line.wav --say 'the words'\n")  # fmt: skip
