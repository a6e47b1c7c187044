"""Streams and users as machines have them: closed, full, of old encodings, without a home."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from audio.folders import cache_folder, state_folder

DEMO = Path(__file__).resolve().parents[2] / "demo_scenes" / "lost_umbrella"
POSIX = pytest.mark.skipif(os.name != "posix", reason="a POSIX shell")


@pytest.fixture(scope="module")
def accented(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scene whose title no old encoding has."""
    folder = tmp_path_factory.mktemp("accented") / "scene"
    shutil.copytree(DEMO, folder)
    text = (folder / "scene.yaml").read_text(encoding="utf-8")
    (folder / "scene.yaml").write_text(
        text.replace("The Lost Umbrella", "caf\u00e9 \u65e5\u672c \U0001f469"), encoding="utf-8"
    )
    return folder


def shell(command: str, scene: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    command = command.replace("LB", f'"{sys.executable}" -m planner').replace("SCENE", str(scene))
    return subprocess.run(["bash", "-c", command], capture_output=True, check=False, timeout=120,
                          encoding=environment.get("PYTHONIOENCODING", "utf-8"),
                          env={**os.environ, **environment})  # fmt: skip


@POSIX
@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_what_an_encoding_lacks_is_an_escape(accented: Path, encoding: str) -> None:
    plan = shell("LB plan SCENE --brief", accented, PYTHONIOENCODING=encoding)
    data = shell("LB read SCENE/clerk_01.flac --say caf\u00e9 --json -", accented,
                 PYTHONIOENCODING=encoding)  # fmt: skip

    assert (plan.returncode, data.returncode) == (0, 0), plan.stderr + data.stderr
    assert r"\u65e5\u672c \U0001f469" in plan.stdout
    assert json.loads(data.stdout)["words"][0]["text"] == "caf\u00e9"


@POSIX
@pytest.mark.parametrize("command", ["LB plan SCENE >&-", "LB plan SCENE >&- 2>&- <&-"])
def test_a_closed_stream_is_no_fault(accented: Path, command: str) -> None:
    ran = shell(command, accented)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")


@POSIX
@pytest.mark.parametrize("command", ["LB plan SCENE", "LB plan SCENE --json -", "LB --help"])
def test_a_reader_that_leaves_early_is_no_fault(accented: Path, command: str) -> None:
    ran = shell(f"{command} | head -c 1 >/dev/null; exit ${{PIPESTATUS[0]}}", accented)
    assert (ran.returncode, ran.stderr) == (0, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_behind_standard_output_is_said(accented: Path) -> None:
    ran = shell("LB plan SCENE --brief >/dev/full", accented)
    assert ran.returncode == 2
    assert ran.stderr.endswith("No space left on device\n") and ran.stderr.count("\n") == 1


@pytest.mark.skipif(sys.platform != "linux", reason="names are bytes")
def test_names_that_are_no_utf8_are_read(tmp_path: Path, linebeat: Callable) -> None:
    folder = Path(os.fsdecode(os.fsencode(tmp_path) + b"/take\xff"))
    shutil.copytree(DEMO, folder)

    heard = linebeat("read", folder / "clerk_01.flac")
    planned = linebeat("plan", folder, "--brief")
    written = linebeat("sheet", folder, folder / "out.md")

    assert (heard.code, planned.code, written.code) == (0, 0, 0), heard.err + planned.err
    assert r"take\udcff" in heard.out + written.err


# Without a home -----------------------------------------------------------------------------------


@pytest.fixture
def homeless(monkeypatch: pytest.MonkeyPatch) -> None:
    """A container's plain user: no HOME, and no entry among the users."""
    pwd = pytest.importorskip("pwd")

    def no_entry(_: object) -> None:
        raise KeyError("no such user")

    for name in ("HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME", "LINEBEAT_STORE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(pwd, "getpwuid", no_entry)


@pytest.mark.usefixtures("homeless")
@pytest.mark.parametrize("command", [("plan",), ("check",), ("many", "--workers", "1")],
                         ids=lambda c: c[0])  # fmt: skip
def test_a_user_without_a_home_loses_only_the_memory(
    tmp_path: Path, linebeat: Callable, command: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(DEMO, tmp_path / "scene")
    monkeypatch.chdir(tmp_path)

    ran = linebeat(command[0], "scene", *command[1:])

    assert ran.code in (0, 1) and ran.out, ran.err
    assert "fault" not in ran.err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["scene"]
    assert cache_folder() is None and state_folder() is None


@pytest.mark.usefixtures("homeless")
def test_without_a_home_unsaved_work_lies_beside_the_scene(tmp_path: Path) -> None:
    from planner.desk.on_disk import Keeper

    keeper = Keeper(tmp_path / "scene.yaml", "")
    assert keeper.spare_path == keeper.unsaved_path
