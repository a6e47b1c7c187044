"""`linebeat sheet` as a user calls it: endings, kinds, folders, and nothing of theirs lost."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.export.kinds import SCHEMAS, exports

QUICK = (".csv", ".html", ".svg", ".json", ".md", ".txt", ".vtt")


@pytest.fixture
def kitchen(demo_scenes: Path) -> Path:
    return demo_scenes / "night_kitchen"


@pytest.mark.parametrize("ending", QUICK)
def test_the_ending_says_what_is_written(linebeat, kitchen, tmp_path, ending):
    out = tmp_path / f"out{ending}"

    ran = linebeat("sheet", kitchen, out)

    assert (ran.code, ran.out) == (0, "")
    assert out.stat().st_size > 200
    assert f"wrote {out}" in ran.err


@pytest.mark.parametrize("kind", ["markers", "poses", "beats", "check", "review"])
def test_a_kind_into_a_folder_has_the_scenes_name(linebeat, kitchen, tmp_path, kind):
    ran = linebeat("sheet", kitchen, tmp_path, "--kind", kind, "--no-sound")

    written = sorted(p.name for p in tmp_path.iterdir())
    wanted = sorted(e.file_name("night_kitchen") for e in exports() if e.kind == kind)
    assert (ran.code, written) == (0, wanted)


def test_all_writes_every_kind_or_says_what_it_left_out(linebeat, kitchen, tmp_path):
    folder = tmp_path / "new" / "out"

    ran = linebeat("sheet", kitchen, folder, "--all", "--line", "1")

    names = {e.file_name("night_kitchen") for e in exports()}
    written = {p.name for p in folder.iterdir()}
    assert ran.code == 0
    assert written <= names
    assert all(f"{name} left out" in ran.err for name in names - written)
    assert len(names) == len(exports())


def test_nothing_is_overwritten_without_force(linebeat, kitchen, tmp_path):
    out = tmp_path / "plan.json"
    out.write_text("mine")

    refused = linebeat("sheet", kitchen, out)
    kept = out.read_text()
    forced = linebeat("sheet", kitchen, out, "--force")

    assert (refused.code, kept) == (2, "mine")
    assert "is there already; choose another name, or add --force" in refused.err
    assert forced.code == 0
    assert json.loads(out.read_text())["linebeat"] == 1


def test_with_all_one_file_that_is_there_stops_everything(linebeat, kitchen, tmp_path):
    (tmp_path / "night_kitchen_script.md").write_text("mine")

    ran = linebeat("sheet", kitchen, tmp_path, "--all")

    assert ran.code == 2
    assert [p.name for p in tmp_path.iterdir()] == ["night_kitchen_script.md"]


@pytest.mark.parametrize(
    ("out", "more", "said"),
    [
        ("x.docx", (), "has no ending that is known; use .csv, .html"),
        ("x.csv", ("--kind", "tone"), "is no name for tone; it ends in .svg or .png or .pdf"),
        ("x.csv", ("--kind", "tones"), 'no kind "tones"; did you mean "tone"?'),
        ("x.csv", ("--line", "99"), 'no line "99"'),
        ("x.csv", ("--phrase", "99"), "no phrase 99"),
        ("x.csv", ("--frames", "9-x"), "is no range"),
        ("x.csv", ("--who", "nobody"), 'no character "nobody"'),
        ("no/such/x.csv", (), "make it first"),
        (".", (), "is a folder; add --all, or --kind"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_leaves_nothing(
    linebeat, kitchen, tmp_path, monkeypatch, out, more, said
):
    monkeypatch.chdir(tmp_path)

    ran = linebeat("sheet", kitchen, out, *more)

    assert ran.code == 2
    assert said in ran.err
    assert len(ran.err.splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_the_same_scene_gives_the_same_bytes(linebeat, kitchen, tmp_path):
    for ending in (*QUICK, ".otio"):
        for name in ("a", "b"):
            assert linebeat("sheet", kitchen, tmp_path / f"{name}{ending}").code == 0
        assert (tmp_path / f"a{ending}").read_bytes() == (tmp_path / f"b{ending}").read_bytes()


def test_the_schemas_are_written_to_a_folder(linebeat, kitchen, tmp_path):
    ran = linebeat("sheet", kitchen, tmp_path / "schemas", "--kind", "schemas")

    assert ran.code == 0
    for name in SCHEMAS:
        schema = json.loads((tmp_path / "schemas" / f"{name}.schema.json").read_text())
        assert schema["$id"] == f"urn:linebeat:schema:{name}:1"


def test_tracks_bring_their_findings_onto_the_review_page(linebeat, demo_scenes, tmp_path):
    scene = demo_scenes / "lost_umbrella"
    out = tmp_path / "review.html"

    ran = linebeat(
        "sheet", scene, out, "--kind", "review", "--tracks", scene / "tracks_v1.csv", "--no-sound"
    )

    assert ran.code == 0
    page = out.read_text()
    assert "no tracks were given" not in page
    assert "straight path" in page


def test_schemas_want_a_folder(linebeat, kitchen, tmp_path):
    ran = linebeat("sheet", kitchen, tmp_path / "x.csv", "--kind", "schemas")

    assert ran.code == 2
    assert "no name for schemas; they are several files; name a folder" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_kind_names_all_that_there_are(linebeat, kitchen, tmp_path):
    ran = linebeat("sheet", kitchen, tmp_path / "x.csv", "--kind", "xyz")

    assert "check, script, schemas)" in ran.err


@pytest.mark.parametrize(
    ("option", "told"),
    [(("--who", "nobody"), 'no character "nobody"'), (("--line", "99"), 'no line "99"'),
     (("--phrase", "99"), "no phrase 99"), (("--frames", "x"), "is no range")],
)  # fmt: skip
def test_a_wrong_option_is_told_before_a_file_that_is_there(
    linebeat, kitchen, tmp_path, option, told
):
    (tmp_path / "x.csv").write_text("mine")

    ran = linebeat("sheet", kitchen, tmp_path / "x.csv", *option)

    assert ran.code == 2
    assert told in ran.err


def test_a_shot_of_hours_is_asked_about(tmp_path: Path, linebeat: Callable) -> None:
    """`at: 9999999` made a sheet of 4 GB."""
    from made_clips import write_clip

    write_clip(tmp_path / "a.wav")
    (tmp_path / "scene.yaml").write_text(
        "linebeat: 1\nrate: 24\ncharacters: [a]\nlines:\n"
        "  - {who: a, sound: a.wav, at: 1}\n  - {who: a, sound: a.wav, at: 9999999}\n"
    )

    ran = linebeat("sheet", tmp_path, tmp_path / "out.csv")

    assert ran.code == 2
    assert "minutes; correct the frame that is so late, or add --force" in ran.err
