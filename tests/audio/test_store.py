"""Readings on disk: found by content, safe under two processes, bounded, never an error."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from audio import store
from audio.reading import VoiceReading
from audio.reading_json import pack

KEY = "ab" * 32


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of this test's own."""
    monkeypatch.setenv("LINEBEAT_STORE", str(tmp_path / "kept"))
    return tmp_path / "kept"


@pytest.mark.usefixtures("folder")
def test_what_was_kept_is_found(small_reading: VoiceReading) -> None:
    assert store.find(KEY) is None
    assert store.keep(KEY, small_reading)

    found = store.find(KEY)

    assert found is not None
    assert pack(found) == pack(small_reading)


def test_a_damaged_file_is_a_miss(folder: Path, small_reading: VoiceReading) -> None:
    store.keep(KEY, small_reading)
    path = next(folder.glob("*/*.json"))
    whole = path.read_bytes()

    for damaged in (b"", b"{}", whole[: len(whole) // 2], b"\xff" + whole, b"[1]"):
        path.write_bytes(damaged)
        assert store.find(KEY) is None


def test_key_changes_with_sound_text_and_settings() -> None:
    keys = {
        store.key_of(b"a", "hello", {}),
        store.key_of(b"b", "hello", {}),
        store.key_of(b"a", "hello!", {}),
        store.key_of(b"a", None, {}),
        store.key_of(b"a", "hello", {"language": "es"}),
    }

    assert len(keys) == 5


def test_trim_removes_the_longest_unused(folder: Path, small_reading: VoiceReading) -> None:
    keys = [f"{i:02x}" * 32 for i in range(10, 16)]
    for age, key in enumerate(keys):
        store.keep(key, small_reading)
        path = folder / key[:2] / f"{key}.json"
        os.utime(path, (1000 + age, 1000 + age))
    size = path.stat().st_size

    gone = store.trim(folder, limit_bytes=2 * size)

    assert gone == 4
    assert [store.find(key) is not None for key in keys] == [False] * 4 + [True] * 2


def test_empty_forgets_everything(folder: Path, small_reading: VoiceReading) -> None:
    store.keep(KEY, small_reading)

    assert store.empty() == 1
    assert store.find(KEY) is None
    assert not list(folder.glob("*/*.json"))


@pytest.mark.usefixtures("folder")
def test_a_store_that_cannot_be_written_costs_only_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, small_reading: VoiceReading
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("LINEBEAT_STORE", str(tmp_path / "file" / "below"))

    assert store.keep(KEY, small_reading) is False
    assert store.find(KEY) is None


def test_an_empty_setting_keeps_nothing(
    monkeypatch: pytest.MonkeyPatch, small_reading: VoiceReading
) -> None:
    monkeypatch.setenv("LINEBEAT_STORE", "")

    assert store.keep(KEY, small_reading) is False


WRITER = """
import json, sys
from audio import store
from audio.reading_json import pack, unpack
reading = unpack(json.load(open(sys.argv[1])))
for turn in range(150):
    assert store.keep(sys.argv[2], reading)
    assert store.find(sys.argv[2]) is not None, "a half-written reading was seen"
"""


def test_two_processes_on_one_clip_never_see_half_a_reading(
    folder: Path, tmp_path: Path, small_reading: VoiceReading
) -> None:
    import json

    source = tmp_path / "reading.json"
    source.write_text(json.dumps(pack(small_reading)))
    command = [sys.executable, "-c", WRITER, str(source), KEY]
    processes = [
        subprocess.Popen(command, cwd=Path(store.__file__).parent.parent, stderr=subprocess.PIPE)
        for _ in range(2)
    ]
    for process in processes:
        _, errors = process.communicate(timeout=60)
        assert process.returncode == 0, errors.decode()

    assert [p.suffix for p in folder.glob("*/*")] == [".json"]
