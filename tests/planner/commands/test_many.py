"""`linebeat many`: everything below a folder, once, whatever happens on the way."""

from __future__ import annotations

import csv
import io
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from made_clips import write_clip, write_scene

from planner.commands import many as module

ROOT = Path(__file__).resolve().parents[3]
POSES = "poses:\n  - {frame: 1003, who: clerk, part: head}\n"


@pytest.fixture(autouse=True)
def fixed_code(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program counts as unchanged while a test runs, though somebody edits it meanwhile."""
    monkeypatch.setattr("planner.many.ledger.code_fingerprint", lambda: "of this test")


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """A folder with a scene of two lines, three loose clips, one of them broken."""
    root = tmp_path / "season"
    write_clip(root / "night" / "a.wav", length_s=0.8)
    write_clip(root / "night" / "b.wav", length_s=0.6, voice="visitor_01")
    write_scene(root / "night" / "scene.yaml", ["a.wav", "b.wav"], more=POSES)
    write_clip(root / "loose" / "one.wav", length_s=0.4)
    write_clip(root / "loose" / "two.wav", length_s=1.0)
    (root / "loose" / "two.txt").write_text("a lamp in the rain", encoding="utf-8")
    (root / "loose" / "broken.wav").write_bytes(b"RIFFjunk")
    return root


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline="")))


def no_pool(*_: object) -> None:
    raise AssertionError("something was done again")


def test_every_line_has_a_row_and_a_bad_file_stops_nothing(
    season: Path, linebeat: Callable, tmp_path: Path
) -> None:
    page = tmp_path / "page.html"
    ran = linebeat("many", season, "--workers", 2, "--out", "-", "--page", page)

    rows = table(ran.out)
    assert ran.code == 1
    assert [(r["file"], r["line"], r["sound"]) for r in rows] == [
        ("loose/broken.wav", "", "loose/broken.wav"), ("loose/one.wav", "", "loose/one.wav"),
        ("loose/two.wav", "", "loose/two.wav"), ("night/scene.yaml", "1", "a.wav"),
        ("night/scene.yaml", "2", "b.wav"),
    ]  # fmt: skip
    assert [r["said"] for r in rows] == ["", "", "a lamp in the rain", "", ""]
    assert [r["length_s"] for r in rows] == ["", "0.4", "1.0", "0.8", "0.6"]
    assert "not a sound file" in rows[0]["problem"]
    assert all(r["check"] for r in rows[3:]) and not any(r["check"] for r in rows[:3])
    assert "failed: loose/broken.wav: not a sound file" in ran.err
    assert "a lamp in the rain" in page.read_text(encoding="utf-8")
    assert str(season) not in ran.out + page.read_text(encoding="utf-8")


def test_one_worker_or_two_anew_or_known_the_bytes_are_the_same(
    season: Path, linebeat: Callable, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def run(workers: int, store: str) -> tuple[bytes, bytes]:
        monkeypatch.setenv("LINEBEAT_STORE", store and str(tmp_path / store))
        out, page = tmp_path / "o.csv", tmp_path / "o.html"
        linebeat("many", season, "--workers", workers, "--out", out, "--page", page)
        return out.read_bytes(), page.read_bytes()

    first = run(1, "store1")

    assert run(2, "store2") == first
    assert run(2, "store2") == first
    assert run(2, "") == first
    moved = tmp_path / "elsewhere" / "season"
    shutil.copytree(season, moved)
    season = moved
    assert run(1, "store1") == first


def test_the_second_run_does_nothing_again(
    season: Path, linebeat: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    (season / "loose" / "broken.wav").unlink()
    first = linebeat("many", season, "--workers", 1, "--out", "-")
    monkeypatch.setattr(module, "_pool", no_pool)

    second = linebeat("many", season, "--out", "-")

    assert (second.code, second.out) == (0, first.out)
    assert "3 files unchanged since the last run" in second.err


@pytest.mark.parametrize(
    ("changed", "again"),
    [
        ("loose/two.txt", {"loose/two.wav"}),
        ("night/a.wav", {"night/a.wav", "night/b.wav"}),
        ("night/scene.yaml", {"night/a.wav", "night/b.wav"}),
        ("loose/new.wav", {"loose/new.wav"}),
    ],
)
def test_only_what_changed_is_done_again(
    season: Path, linebeat: Callable, monkeypatch: pytest.MonkeyPatch, changed: str,
    again: set[str],
) -> None:  # fmt: skip
    (season / "loose" / "broken.wav").unlink()
    linebeat("many", season, "--workers", 1)
    path = season / changed
    if changed.endswith(".wav"):
        write_clip(path, length_s=0.9)
    else:
        path.write_text(path.read_text() + "\n# and more\n")
    heard: set[str] = set()
    monkeypatch.setattr(module, "_pool", lambda *_: Spy(heard))

    ran = linebeat("many", season, "--out", "-")

    assert ran.code == 0
    assert {os.path.relpath(name, season) for name in heard} == again
    monkeypatch.setenv("LINEBEAT_STORE", "")
    monkeypatch.undo()
    assert linebeat("many", season, "--workers", 1, "--out", "-").out == ran.out


class Spy:
    """A pool that does its jobs at once, and remembers the sounds."""

    def __init__(self, heard: set[str]) -> None:
        self.heard = heard
        self.jobs: list = []

    def room(self) -> bool:
        return not self.jobs

    def submit(self, job) -> None:
        self.jobs.append(job)

    def done(self):
        from planner.many.pool import Outcome

        for job in self.jobs:
            if hasattr(job.argument, "sound"):
                self.heard.add(job.argument.sound)
            yield Outcome(job.key, job.function(job.argument))
        self.jobs = []

    def stop(self) -> None:
        pass


def test_a_scene_with_a_missing_sound_keeps_its_other_lines(
    season: Path, linebeat: Callable
) -> None:
    (season / "night" / "b.wav").unlink()

    ran = linebeat("many", season / "night", "--workers", 1, "--out", "-")

    rows = table(ran.out)
    assert [bool(r["problem"]) for r in rows] == [False, True]
    assert rows[0]["length_s"] == "0.8"
    assert ran.code == 1
    assert "scene.yaml: line 2: b.wav: no such file" in ran.err


def test_a_scene_with_a_mistake_is_told_with_its_line(season: Path, linebeat: Callable) -> None:
    (season / "night" / "scene.yaml").write_text("linebeat: 1\nrate: 24\nbeets: []\n")

    ran = linebeat("many", season / "night", "--workers", 1, "--out", "-")

    assert ran.code == 1
    assert "failed: scene.yaml:3: " in ran.err
    assert str(season) not in ran.out + ran.err


def test_poses_found_wanting_count_only_if_asked(season: Path, linebeat: Callable) -> None:
    late = POSES.replace("1003", "1012")
    write_scene(season / "night" / "scene.yaml", ["a.wav", "b.wav"], more=late)

    assert linebeat("many", season / "night", "--workers", 1).code == 0
    ran = linebeat("many", season / "night", "--check")

    assert ran.code == 1
    assert "checked   1 scene, 1 found wanting" in ran.out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("nowhere",), "no such folder; check the name"),
        (("empty",), "no scene and no clip below it"),
        (("file.wav",), "is no folder; name the folder it is in"),
        (("season", "--workers", "0"), "--workers 0; give a number from 1 to 512"),
        (("season", "--out", "no/where.csv"), 'no folder "no"; make it first'),
        (("season", "--cluster", "tcp://x:1", "--workers", "1"), "are both given"),
        (("bad\0name",), "cannot be looked into"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_one_line_and_code_2(
    season: Path, linebeat: Callable, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...],
    says: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(season.parent)
    (season.parent / "empty").mkdir()
    write_clip(season.parent / "file.wav")

    ran = linebeat("many", *arguments)

    assert ran.code == 2
    assert ran.out == "" and ran.err.count("\n") == 1
    assert says in ran.err


# What happens to processes ------------------------------------------------------------------------


# The program counts as unchanged here too.
AS_OF_NOW = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job ignores it
import planner.many.ledger
from planner.cli import main
planner.many.ledger.code_fingerprint = lambda: "of this test"
sys.exit(main(sys.argv[1:]))
"""


def started(root: Path, store: Path, *more: str) -> subprocess.Popen[str]:
    environment = {**os.environ, "LINEBEAT_STORE": str(store), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", AS_OF_NOW, "many", str(root), "--workers", "2", *more]
    return subprocess.Popen(
        command, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        start_new_session=True,
    )  # fmt: skip


CROWD = 16  # clips of 12 s: a run that is still going when three are done, on any machine


def crowd(root: Path) -> Path:
    """Many clips, each of its own length."""
    for number in range(CROWD):
        write_clip(root / f"{number:03}.wav", length_s=12.0 + 0.05 * number)
    return root


def finished(store: Path) -> int:
    """How many entries the ledger has."""
    return sum(len(p.read_bytes().splitlines()) - 1 for p in store.glob("ledgers/*.jsonl"))


def wait_for(condition: Callable[[], bool], process: subprocess.Popen[str]) -> None:
    until = time.monotonic() + 60
    while not condition():
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < until
        time.sleep(0.02)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks for children in /proc")
def test_a_worker_killed_in_the_middle_loses_nothing(tmp_path: Path) -> None:
    root, store = crowd(tmp_path / "crowd"), tmp_path / "store"
    process = started(root, store, "--out", "-")
    wait_for(lambda: finished(store) >= 3, process)

    os.kill(a_busy_child(process.pid), signal.SIGKILL)
    out, err = process.communicate(timeout=120)

    assert process.returncode == 0, err
    assert len(table(out)) == CROWD
    assert not [r for r in table(out) if r["problem"]]


def a_busy_child(pid: int) -> int:
    """The process below it that has used most processor time: a worker."""
    parents, used = {}, {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            fields = (folder / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        parents[int(folder.name)] = int(fields[1])
        used[int(folder.name)] = int(fields[11]) + int(fields[12])
    helpers = {child for child, parent in parents.items() if parent == pid}
    workers = {child for child, parent in parents.items() if parent in helpers} or helpers
    return max(workers, key=lambda child: used[child])


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_a_run_that_is_stopped_keeps_what_was_finished(tmp_path: Path, how: int) -> None:
    root, store = crowd(tmp_path / "crowd"), tmp_path / "store"
    process = started(root, store)
    wait_for(lambda: finished(store) >= 3, process)

    if how == signal.SIGINT:
        os.killpg(process.pid, how)  # as Ctrl-C in a terminal: to every process
    else:
        os.kill(process.pid, how)
    _, err = process.communicate(timeout=60)

    if how != signal.SIGKILL:
        assert process.returncode == 130
        assert "stopped; what was finished is kept: run the same command again" in err
        assert "Traceback" not in err
    kept = finished(store)
    assert 3 <= kept < CROWD
    again = started(root, store, "--out", "-")
    out, err = again.communicate(timeout=120)
    assert again.returncode == 0
    assert len(table(out)) == CROWD
    assert f"{kept} files unchanged since the last run" in err
