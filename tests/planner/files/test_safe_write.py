"""A file is written whole or not at all, whenever the writer dies."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from audio.errors import OutputError
from planner.files import safe_write as module
from planner.files.safe_write import safe_write

ROOT = Path(__file__).resolve().parents[3]


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def test_text_is_written_as_it_is(tmp_path: Path) -> None:
    safe_write(tmp_path / "a.txt", "caf\u00e9\r\nb\n")

    assert (tmp_path / "a.txt").read_bytes() == b"caf\xc3\xa9\r\nb\n"
    assert names(tmp_path) == ["a.txt"]


def test_a_new_file_has_the_users_usual_mode(tmp_path: Path) -> None:
    safe_write(tmp_path / "a", b"x")
    (tmp_path / "b").write_bytes(b"x")

    assert (tmp_path / "a").stat().st_mode == (tmp_path / "b").stat().st_mode


def test_the_mode_of_an_old_file_is_kept(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"x")
    (tmp_path / "a").chmod(0o604)

    safe_write(tmp_path / "a", b"y")

    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o604


def test_the_version_before_is_kept_if_asked_for(tmp_path: Path) -> None:
    for text in ("1", "2", "3"):
        safe_write(tmp_path / "a", text, keep_last=True)

    assert names(tmp_path) == ["a", "a~"]
    assert ((tmp_path / "a").read_text(), (tmp_path / "a~").read_text()) == ("3", "2")


def test_the_version_before_is_copied_where_there_are_no_hard_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "no hard links here")

    monkeypatch.setattr(os, "link", refuse)
    safe_write(tmp_path / "a", "1")
    safe_write(tmp_path / "a", "2", keep_last=True)

    assert ((tmp_path / "a").read_text(), (tmp_path / "a~").read_text()) == ("2", "1")
    assert names(tmp_path) == ["a", "a~"]


@pytest.mark.parametrize(
    ("path", "said"),
    [("none/a", "none/a: could not be written: No such file or directory; make the folder first"),
     (".", ".: could not be written: there is a folder of that name"),
     ("file/a", "file/a: could not be written: Not a directory; make the folder first"),
     ("x" * 300, "could not be written: File name too long; choose a shorter name")],
    ids=["no folder", "a folder", "a file as folder", "long name"],
)  # fmt: skip
def test_what_cannot_be_written_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, path: str, said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").touch()

    with pytest.raises(OutputError) as caught:
        safe_write(path, "x")

    assert caught.value.line().endswith(said)
    assert names(tmp_path) == ["file"]


def test_a_name_as_long_as_allowed_can_be_written(tmp_path: Path) -> None:
    safe_write(tmp_path / ("x" * 255), "x")

    assert names(tmp_path) == ["x" * 255]


@pytest.mark.parametrize("step", ["fsync", "link", "replace"])
@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EIO])
def test_a_failing_disk_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, code: int
) -> None:
    (tmp_path / "a").write_text("old")

    def fail(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    if step == "replace":
        monkeypatch.setattr(Path, "replace", fail)
    else:
        monkeypatch.setattr(os, step, fail)
        if step == "link":  # and the copy that stands in for it fails too
            monkeypatch.setattr(Path, "read_bytes", fail)
    with pytest.raises(OutputError, match=os.strerror(code)):
        safe_write(tmp_path / "a", "new", keep_last=True)
    monkeypatch.undo()

    assert (tmp_path / "a").read_text() == "old"
    assert names(tmp_path) == ["a"]


FULL_DISK = """
import resource, signal, sys
from pathlib import Path
from audio.errors import OutputError
from planner.files.safe_write import safe_write
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, 10_000))
try:
    safe_write(Path(sys.argv[1]), "x" * 1_000_000, keep_last=True)
except OutputError as error:
    print(error.line())
"""


def test_a_file_the_system_cuts_short_never_takes_the_place_of_the_old(tmp_path: Path) -> None:
    """A real failing write: the system lets this process write 10,000 bytes, no more."""
    (tmp_path / "a").write_text("old")

    ran = subprocess.run([sys.executable, "-c", FULL_DISK, str(tmp_path / "a")],
                         capture_output=True, text=True, check=True, cwd=ROOT)  # fmt: skip

    assert ran.stdout == f"{tmp_path / 'a'}: could not be written: File too large\n"
    assert (tmp_path / "a").read_text() == "old"
    assert names(tmp_path) == ["a"]


SMALL_DISK = """
import os, sys
from pathlib import Path
from audio.errors import OutputError
from planner.files.safe_write import safe_write
folder = Path(sys.argv[1])
safe_write(folder / "a", "old " * 5000)
def attempt():
    try:
        safe_write(folder / "a", "new " * 15000, keep_last=True)
    except OutputError as error:
        print(error.what, "|", error.mend)
    assert (folder / "a").read_text() == "old " * 5000
    assert os.listdir(folder) == ["a"]
attempt()
assert os.system(f"mount -o remount,ro '{folder}'") == 0
attempt()
"""


def test_a_full_and_a_read_only_disk_leave_the_old_file(tmp_path: Path) -> None:
    """A real disk of 64 kB, mounted in a namespace of its own; then made read-only."""
    probe = ["unshare", "-rm", "true"]
    if shutil.which("unshare") is None or subprocess.run(probe, check=False).returncode:
        pytest.skip("this system lets no user mount a disk of his own")
    mount = f"mount -t tmpfs -o size=64k none '{tmp_path}' && exec \"$@\""
    writer = [sys.executable, "-c", SMALL_DISK, str(tmp_path)]

    ran = subprocess.run(["unshare", "-rm", "sh", "-c", mount, "sh", *writer],
                         capture_output=True, text=True, check=True, cwd=ROOT)  # fmt: skip

    assert ran.stdout.splitlines() == [
        "could not be written: No space left on device | free some room on the disk",
        "could not be written: Read-only file system | "
        "the disk is read-only; choose another folder",
    ]


def test_a_device_is_written_to_and_not_replaced() -> None:
    safe_write("/dev/null", "x")

    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


def test_old_leftovers_of_a_killed_writer_are_removed_and_fresh_ones_are_not(
    tmp_path: Path,
) -> None:
    old, fresh, other = (tmp_path / f".{n}.part" for n in ("a.11111111", "a.22222222", "b.3"))
    for path in (old, fresh, other):
        path.touch()
    os.utime(old, (0, 0))
    os.utime(other, (0, 0))

    safe_write(tmp_path / "a", "x")

    assert names(tmp_path) == sorted([".a.22222222.part", ".b.3.part", "a"])


# Killed at every line of the writer, then at random moments of whole saves.
KILL_AT_EVERY_LINE = """
import os, signal, sys
from pathlib import Path
from planner.files import safe_write as module
path = Path(sys.argv[1])
OLD, NEW = "old " * 5000, "new " * 5000
def victim(stop_at):
    seen = 0
    def trace(frame, event, arg):
        nonlocal seen
        if frame.f_code.co_filename != module.__file__:
            return None
        if event == "line":
            seen += 1
            if seen == stop_at:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace
    sys.settrace(trace)
    module.safe_write(path, NEW, keep_last=True)
    sys.settrace(None)
    os._exit(0)
killed = news = 0
while True:
    path.write_text(OLD)
    pid = os.fork()
    if not pid:
        victim(killed + 1)
    _, status = os.waitpid(pid, 0)
    text = path.read_text()
    assert text in (OLD, NEW), f"torn after line {killed + 1}"
    last = path.with_name(path.name + "~")
    assert not last.exists() or last.read_text() in (OLD, NEW)
    if not os.WIFSIGNALED(status):
        break
    killed += 1
    news += text == NEW
print(killed, news)
"""


def test_killed_at_any_line_the_file_is_the_old_or_the_new(tmp_path: Path) -> None:
    """kill -9 before each line that the writer runs, one after the other, until it lives."""
    ran = subprocess.run([sys.executable, "-c", KILL_AT_EVERY_LINE, str(tmp_path / "a")],
                         capture_output=True, text=True, check=True, cwd=ROOT)  # fmt: skip
    killed, news = map(int, ran.stdout.split())

    assert killed > 30  # lines of the writer that ran
    assert 0 < news < killed  # some deaths came before the rename, some after


KILL_AT_RANDOM = """
import os, random, signal, sys, time
from dataclasses import replace
from pathlib import Path
from planner.scene import Note
from planner.scene_file import parse_scene, read_scene, read_scene_and_text, save_scene
path = Path(sys.argv[1])
BASE = ("# ours\\nlinebeat: 1\\ntitle: none # a remark\\nrate: 24\\ncharacters: [a]\\n"
        "lines: [{sound: a.wav, at: 1}]\\n")
path.write_text(BASE)
rng = random.Random(8)
scene, text = read_scene_and_text(path)
scene = replace(scene, notes=tuple(Note((i, i), "remark " * 5) for i in range(40)))
text = save_scene(path, text, scene)
began = time.monotonic()
for again in range(3):
    text = save_scene(path, text, replace(scene, title=f"before {again}"))
longest_s = max(0.06, 2 * (time.monotonic() - began))  # some saves long, on a busy machine too
saves = 0
for trial in range(int(sys.argv[2])):
    pid = os.fork()
    if not pid:
        count = 0
        while True:
            count += 1
            scene = replace(scene, title=f"{trial} {count}")
            text = save_scene(path, text, scene)
    time.sleep(rng.uniform(0.002, longest_s))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    scene, text = read_scene_and_text(path)
    assert len(scene.notes) == 40 and text.endswith("}\\n"), trial
    assert text.startswith("# ours\\n") and " # a remark\\n" in text
    saves += scene.title.startswith(f"{trial} ")
    last = read_scene(str(path) + "~")
    assert len(last.notes) in (0, 40)
print(saves)
"""


def test_killed_at_random_moments_the_scene_is_whole(tmp_path: Path) -> None:
    """100 savers in a loop, each killed -9 within a few saves; file and last version read well."""
    ran = subprocess.run([sys.executable, "-c", KILL_AT_RANDOM, str(tmp_path / "a.yaml"), "100"],
                         capture_output=True, text=True, check=True, cwd=ROOT)  # fmt: skip

    assert int(ran.stdout) > 20  # most savers had saved before they died


TWO_SAVERS = """
import os, sys
from dataclasses import replace
from pathlib import Path
from audio.errors import SceneError
from planner.scene import Note
from planner.scene_file import read_scene_and_text, save_scene
path = Path(sys.argv[1])
path.write_text("linebeat: 1\\nrate: 24\\ncharacters: [a]\\nlines: [{sound: a.wav, at: 1}]\\n")
pids = []
for name in "xy":
    pid = os.fork()
    pids.append(pid)
    if not pid:
        done = refused = 0
        while done < 20:
            scene, text = read_scene_and_text(path)
            try:
                note = Note((1, 1), f"{name}{done}")
                save_scene(path, text, replace(scene, notes=(*scene.notes, note)))
                done += 1
            except SceneError as error:
                assert "changed on disk" in str(error)
                refused += 1
        print(refused, flush=True)
        os._exit(0)
assert all(os.waitpid(pid, 0)[1] == 0 for pid in pids)
"""


def test_two_savers_on_one_scene_lose_nothing(tmp_path: Path) -> None:
    """Each reads again when refused; in the end every remark of both is there."""
    path = tmp_path / "scene.yaml"

    subprocess.run([sys.executable, "-c", TWO_SAVERS, str(path)], check=True, cwd=ROOT,
                   capture_output=True)  # fmt: skip

    text = path.read_text()
    assert all(f"text: {name}{number}," in text for name in "xy" for number in range(20))
    assert module.PART_ENDING not in "".join(names(tmp_path))
