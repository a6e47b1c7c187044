"""`linebeat paths` as a user calls it: table, JSON, chunks, versions, exit codes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Maker = Callable[..., Any]


@pytest.fixture
def scene(demo_scenes: Path) -> Path:
    return demo_scenes / "lost_umbrella"


@pytest.fixture
def silent(scene: Path, tmp_path: Path) -> Path:
    """The scene without its sounds: findings are then not tied to words."""
    file = tmp_path / "scene.yaml"
    file.write_bytes((scene / "scene.yaml").read_bytes())
    return file


def test_the_first_version_is_found_wanting_and_the_mended_one_is_not(
    linebeat: Maker, scene: Path
) -> None:
    first = linebeat("paths", scene, scene / "tracks_v1.csv", "--who", "clerk")
    second = linebeat("paths", scene, scene / "tracks_v2.csv", "--who", "clerk")

    assert (first.code, second.code) == (1, 0)
    assert "is planted and slides" in first.out and "locked-parts" in first.out
    assert "nothing found" in second.out


def test_json_is_alone_on_standard_output(linebeat: Maker, silent: Path, scene: Path) -> None:
    ran = linebeat("paths", silent, scene / "tracks_v1.csv", "--json", "-")

    data = json.loads(ran.out)
    assert ran.code == 1 and data["ok"] is False
    assert {"linebeat", "ok", "moves", "lags", "findings"} <= set(data)
    assert "not tied to words" in ran.err


def test_a_character_without_tracks_is_told(linebeat: Maker, silent: Path, scene: Path) -> None:
    ran = linebeat("paths", silent, scene / "tracks_v1.csv", "--who", "visitor")

    assert ran.code == 0 and "no track belongs to visitor" in ran.out


@pytest.mark.parametrize(
    ("chunk", "kinds"),
    [
        (("--frames", "1120-1145"), {"locked-parts"}),
        (("--frames", "1340"), {"pop", "foreshortened"}),
        (("--beat", "5"), {"locked-parts"}),
    ],
)
def test_a_chunk_alone(
    linebeat: Maker, silent: Path, scene: Path, chunk: tuple[str, ...], kinds: set[str]
) -> None:
    ran = linebeat("paths", silent, scene / "tracks_v1.csv", *chunk, "--json", "-")

    assert {f["kind"] for f in json.loads(ran.out)["findings"]} == kinds


def test_words_choose_a_chunk(linebeat: Maker, scene: Path) -> None:
    ran = linebeat("paths", scene, scene / "tracks_v1.csv", "--words", "third:6-7", "--json", "-")

    data = json.loads(ran.out)
    assert [(f["kind"], f["line"]) for f in data["findings"]] == [("straight-path", 1)]
    assert data["chunk"]["parts"][:1] == ["head"]


def test_against_tells_what_changed(linebeat: Maker, silent: Path, scene: Path) -> None:
    files = (scene / "tracks_v2.csv", "--against", scene / "tracks_v1.csv")

    told = linebeat("paths", silent, *files)
    data = json.loads(linebeat("paths", silent, *files, "--json", "-").out)["against"]

    assert told.code == 0 and "locked-parts: head, chest" in told.out
    assert {"locked-parts", "drift", "pop", "jitter"} <= {f["kind"] for f in data["gone"]}
    assert [f for f in data["new"] if f["certain"]] == []
    assert {m["track"] for m in data["moved"]} >= {"clerk_nose", "clerk_l_wrist"}


def test_a_picture_is_drawn(linebeat: Maker, silent: Path, scene: Path, tmp_path: Path) -> None:
    ran = linebeat("paths", silent, scene / "tracks_v1.csv", "--picture", tmp_path / "p.svg")

    text = (tmp_path / "p.svg").read_text(encoding="utf-8")
    for kind in ("arc-break", "locked-parts", "foreshortened", "pop", "frozen"):
        assert kind in text
    assert ran.code == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--frames", "9-5"), '--frames "9-5" runs backwards'),
        (("--frames", "early"), '--frames "early" is no range'),
        (("--words", "9:1-2"), '--words "9:1-2" names no line'),
        (("--beat", "77"), "no beat 77"),
        (("--beat", "5", "--frames", "1-2"), "give one of them"),
        (("--who", "clark"), 'did you mean "clerk"?'),
        (("--against", "nowhere.csv"), "nowhere.csv: no such file"),
        (("--picture", "p.gif"), "use .svg or .png"),
    ],
)
def test_mistakes_are_one_line(
    linebeat: Maker, silent: Path, scene: Path, arguments: tuple[str, ...], said: str
) -> None:
    ran = linebeat("paths", silent, scene / "tracks_v2.csv", *arguments)

    assert ran.code == 2
    assert said in ran.err and "Traceback" not in ran.err


@pytest.mark.parametrize(
    ("first", "count", "said"),
    [
        (1, 504, "frames 1-504 lie outside the shot (1001-1504); number the frames as"),
        (1001, 630, "630 frames for a shot of 504: made at 30 frames a second, where the scene"),
        (1001, 525, "made at 25 frames a second"),
    ],
)
def test_tracks_of_other_frames_are_refused(
    linebeat: Maker, silent: Path, tmp_path: Path, first: int, count: int, said: str
) -> None:
    rows = "".join(f"{first + k},{k},{k}\n" for k in range(count))
    file = tmp_path / "t.csv"
    file.write_text("frame,nose.x,nose.y\n" + rows, encoding="utf-8")

    ran = linebeat("paths", silent, file)

    assert ran.code == 2 and said in ran.err


@pytest.mark.parametrize(
    ("option", "told"),
    [
        (("--words", "1:3-40"), "line 1 has 7 words, so no words 3-40"),
        (("--words", "1:0-2"), "line 1 has 7 words, so no words 0-2"),
        (("--frames", "5000-5010"), "frames 5000-5010 lie outside the tracks; they are 1001-1504"),
    ],
)
def test_a_chunk_that_is_not_there_is_refused(
    linebeat: Maker, scene: Path, option: tuple[str, str], told: str
) -> None:
    ran = linebeat("paths", scene, scene / "tracks_v1.csv", *option)

    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err


def test_a_picture_is_not_replaced_without_force(
    linebeat: Maker, silent: Path, scene: Path, tmp_path: Path
) -> None:
    picture = tmp_path / "p.svg"
    picture.write_text("mine")
    files = ("paths", silent, scene / "tracks_v1.csv", "--picture", picture)

    refused = linebeat(*files)
    kept = picture.read_text()
    forced = linebeat(*files, "--force")

    assert (refused.code, kept) == (2, "mine")
    assert "p.svg: is there already; choose another name, or add --force" in refused.err
    assert (forced.code, picture.read_text() == "mine") == (1, False)


def test_findings_come_first_and_moves_only_when_asked_for(
    linebeat: Maker, silent: Path, scene: Path
) -> None:
    files = ("paths", silent, scene / "tracks_v1.csv")

    short, long = linebeat(*files).out, linebeat(*files, "--moves").out

    assert "straightness" not in short and "(--moves lists them)" in short
    assert long.index("locked-parts") < long.index("straightness: 1 is a straight line")
    assert "by frames: how much later" in long


def test_a_finding_becomes_a_note_or_is_meant_in_one_step(
    linebeat: Maker, silent: Path, scene: Path
) -> None:
    files = ("paths", silent, scene / "tracks_v1.csv")

    noted = linebeat(*files, "--note", "1")
    meant = linebeat(*files, "--meant", "1", "--why", "a glitch on purpose")
    after = json.loads(linebeat(*files, "--json", "-").out)

    assert (noted.code, meant.code) == (0, 0)
    assert "pop: clerk_nose pops on frame 1340" in silent.read_text(encoding="utf-8")
    assert [(f["kind"], f["why"]) for f in after["meant"]] == [("pop", "a glitch on purpose")]
    assert "pop" not in {f["kind"] for f in after["findings"]}


def test_tracks_alone_are_reviewed_without_a_scene(linebeat: Maker, scene: Path) -> None:
    ran = linebeat("paths", scene / "tracks_v1.csv", "--kind", "pop", "--worst", "1")

    assert ran.code == 1 and "pops on frame 1340" in ran.out


def test_the_surest_findings_come_first(linebeat: Maker, silent: Path, scene: Path) -> None:
    found = json.loads(linebeat("paths", silent, scene / "tracks_v1.csv", "--json", "-").out)

    sure = [f["certainty"] for f in found["findings"]]
    assert sure == sorted(sure, reverse=True) and sure[0] > 0.9
