"""Only ordinary files are read: what may never end, or hold its reader, is refused at once."""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from audio.regular_file import TooLargeError, open_regular, read_regular

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pipes and devices are POSIX")


@pytest.fixture
def pipe(tmp_path: Path) -> Path:
    """A pipe nobody writes to: whoever opens it plainly waits for ever."""
    os.mkfifo(tmp_path / "pipe.wav")
    return tmp_path / "pipe.wav"


def test_a_pipe_a_device_a_folder_and_a_link_to_one_are_refused(tmp_path: Path, pipe: Path) -> None:
    link = tmp_path / "link.wav"
    link.symlink_to("/dev/zero")
    for path, said in ((pipe, "a pipe"), (Path("/dev/zero"), "a device"), (link, "a device"),
                       (tmp_path, "a folder")):  # fmt: skip
        with pytest.raises(OSError, match=said):
            open_regular(path)


def test_a_size_is_a_limit(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"12345")
    assert read_regular(path, 5) == b"12345"
    with pytest.raises(TooLargeError):
        read_regular(path, 4)


SCENE = "linebeat: 1\nrate: 24\ncharacters: [a]\nlines:\n  - {who: a, sound: pipe.wav, at: 1}\n"


@pytest.mark.parametrize("command", [
    ("read", "{pipe}"), ("read", "/dev/zero"), ("read", "{demo}", "--say-file", "{pipe}"),
    ("read", "{demo}", "--say-file", "/dev/zero"), ("start", "{pipe}", "-o", "{0}/new.yaml"),
    ("start", "{demo}", "--copy", "--say-file", "{pipe}", "-o", "{0}/new.yaml"),
    ("start", "--script", "{pipe}", "-o", "{0}/new.yaml"), ("plan", "{0}"), ("plan", "{pipe}"),
    ("check", "{good}", "--poses", "{pipe}"), ("check", "{good}", "--poses", "/dev/zero"),
    ("paths", "{good}", "{pipe}"), ("paths", "{good}", "/dev/zero"),
    ("takes", "{good}", "1", "{pipe}"),
    ("start", "--into", "{good}", "--beats", "{pipe}"),
    ("start", "--into", "{good}", "--poses", "{pipe}.otio"),
], ids=" ".join)  # fmt: skip
def test_no_command_waits_for_a_pipe_or_reads_a_device(
    tmp_path: Path, pipe: Path, linebeat: Callable, command: tuple[str, ...]
) -> None:
    """The alarm ends what would wait for ever."""
    demo_folder = Path(__file__).resolve().parents[3] / "demo_scenes" / "lost_umbrella"
    (tmp_path / "scene.yaml").write_text(SCENE)
    os.mkfifo(f"{pipe}.otio")
    good = tmp_path / "good"
    shutil.copytree(demo_folder, good)
    names = {"{pipe}": str(pipe), "{0}": str(tmp_path), "{good}": str(good),
             "{demo}": str(demo_folder / "clerk_01.flac")}  # fmt: skip
    words = []
    for word in command:
        for name, value in names.items():
            word = word.replace(name, value)  # noqa: PLW2901
        words.append(word)

    before = signal.signal(signal.SIGALRM, _rings)
    signal.alarm(60)
    try:
        ran = linebeat(*words)
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)

    assert ran.code == 2, ran.err
    assert "no ordinary file" in ran.err, ran.err
    assert ran.err.strip().splitlines()[-1].startswith("linebeat: ")


def _rings(number: int, frame: object) -> None:
    raise AssertionError("it waits for ever")


def test_a_text_beside_a_clip_that_is_a_pipe_stops_nothing(
    tmp_path: Path, linebeat: Callable
) -> None:
    from made_clips import write_clip

    write_clip(tmp_path / "season" / "a.wav")
    os.mkfifo(tmp_path / "season" / "a.txt")

    ran = linebeat("many", tmp_path / "season", "--workers", 1)

    assert ran.code == 1
    assert "a.txt: cannot be read: is a pipe, no ordinary file" in ran.err
