"""What a name already means stays as it is, in every command that writes; and nobody is led astray
by a link."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from made_clips import write_clip

from audio.errors import OutputError
from planner.files.safe_write import free_name, safe_write

DEMO = Path(__file__).resolve().parents[3] / "demo_scenes" / "lost_umbrella"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo, a recording, and a note of the user's."""
    shutil.copytree(DEMO, tmp_path / "demo")
    write_clip(tmp_path / "season" / "a.wav")
    (tmp_path / "mine.txt").write_text("mine")
    return tmp_path


WRITERS = (
    ("many", "{0}/season", "--workers", "1", "--out", "{there}"),
    ("many", "{0}/season", "--workers", "1", "--page", "{there}"),
    ("start", "{0}/season/a.wav", "-o", "{there}"),
    ("plan", "{0}/demo", "--json", "{there}"),
    ("check", "{0}/demo", "--json", "{there}"),
    ("read", "{0}/season/a.wav", "--json", "{there}"),
)


@pytest.mark.parametrize("there", ["mine.txt", "demo/scene.yaml", "demo/clerk_01.flac"])
@pytest.mark.parametrize("command", WRITERS, ids=lambda c: f"{c[0]} {c[-2]}")
def test_no_command_replaces_what_it_did_not_write(
    folder: Path, linebeat: Callable, command: tuple[str, ...], there: str
) -> None:
    path = folder / there
    before = path.read_bytes()

    ran = linebeat(*(w.format(folder, there=path) for w in command))

    assert ran.code == 2
    assert "is there already" in ran.err
    assert path.read_bytes() == before


def test_many_writes_its_own_table_and_page_anew(folder: Path, linebeat: Callable) -> None:
    out, page = folder / "lines.csv", folder / "lines.html"
    command = ("many", folder / "season", "--workers", 1, "--out", out, "--page", page)

    first, second = linebeat(*command), linebeat(*command)

    assert (first.code, second.code) == (0, 0), second.err
    assert not (folder / "lines.csv~").exists()


@pytest.mark.parametrize("command", [
    WRITERS[0], ("start", "{0}/season/a.wav", "-o", "{there}"),
    ("sheet", "{0}/demo", "{there}", "--kind", "script"),
], ids=lambda c: c[0])  # fmt: skip
def test_with_force_the_version_before_stays_beside_it(
    folder: Path, linebeat: Callable, command: tuple[str, ...]
) -> None:
    path = folder / "season" / "mine.txt"
    path.write_text("mine")

    ran = linebeat(*(w.format(folder, there=path) for w in command), "--force")

    assert ran.code == 0, ran.err
    assert path.read_text() != "mine"
    assert path.with_name("mine.txt~").read_text() == "mine"


# Links --------------------------------------------------------------------------------------------


def test_what_is_written_unasked_follows_no_link(tmp_path: Path) -> None:
    precious = tmp_path / "precious"
    precious.write_text("precious")
    link = tmp_path / "scene.yaml.unsaved"
    link.symlink_to(precious)

    with pytest.raises(OutputError, match="a link to another file"):
        safe_write(link, "work", unasked=True)

    assert precious.read_text() == "precious"
    safe_write(tmp_path / "new", "work", unasked=True)
    safe_write(tmp_path / "new", "more", unasked=True)
    assert (tmp_path / "new").read_text() == "more"


def test_the_desk_keeps_unsaved_work_elsewhere_if_a_link_lies_there(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from dataclasses import replace

    from planner.desk.on_disk import Keeper
    from planner.scene_file import read_scene_and_text

    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "state"))
    path = folder / "demo" / "scene.yaml"
    (folder / "demo" / "scene.yaml.unsaved").symlink_to(folder / "mine.txt")
    scene, text = read_scene_and_text(path)
    keeper = Keeper(path, text)

    kept = keeper.keep(replace(scene, title="Changed"))

    assert (folder / "mine.txt").read_text() == "mine"
    assert kept == keeper.spare_path and "Changed" in kept.read_text()


def test_a_picture_takes_the_next_free_name(tmp_path: Path) -> None:
    (tmp_path / "scene-1006.svg").symlink_to(tmp_path / "nowhere")
    (tmp_path / "scene-1006-2.svg").write_text("there")

    assert free_name(tmp_path, "scene-1006", ".svg") == tmp_path / "scene-1006-3.svg"
