"""Readings on disk: found by content, safe under two processes, bounded, never an error."""

from __future__ import annotations

import json
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


def test_a_flipped_bit_is_a_miss(folder: Path, small_reading: VoiceReading) -> None:
    """Wherever it flips: of 1,200 flips 149 once gave another reading, silently."""
    store.keep(KEY, small_reading)
    path = next(folder.glob("*/*.json"))
    whole = path.read_bytes()

    for at in range(0, len(whole), max(1, len(whole) // 150)):
        flipped = bytearray(whole)
        flipped[at] ^= 1 << (at % 8)
        path.write_bytes(flipped)
        assert store.find(KEY) is None, at


@pytest.mark.parametrize(("part", "name", "value"), [
    ("syllables", "word", 99), ("phrases", "strongest_syllable", 99), ("words", "end_s", -1.0),
    ("syllables", "degree", "huge"), ("phrases", "syllables", [0, 99]),
    ("pitch", "step_s", 0.0), ("speaker", "pitch_median_hz", float("nan")),
    ("clip", "duration_s", 0.0), ("words", "text", 7),
])  # fmt: skip
def test_a_well_written_reading_that_cannot_be_is_a_miss(
    folder: Path, small_reading: VoiceReading, part: str, name: str, value: object
) -> None:
    store.keep(KEY, small_reading)
    path = next(folder.glob("*/*.json"))
    packed = pack(small_reading)
    entry = packed[part][0] if isinstance(packed[part], list) else packed[part]
    entry[name] = value
    body = json.dumps(packed).encode()
    path.write_bytes(store._digest(body) + b"\n" + body)

    assert store.find(KEY) is None


def test_forgetting_leaves_what_is_not_ours(folder: Path, small_reading: VoiceReading) -> None:
    store.keep(KEY, small_reading)
    (folder / "ab" / "notes.json").write_text("mine")
    (folder / "ledgers").mkdir()
    (folder / "ledgers" / "shopping.jsonl").write_text("mine")

    assert store.empty() == 1
    assert (folder / "ab" / "notes.json").read_text() == "mine"
    assert (folder / "ledgers" / "shopping.jsonl").read_text() == "mine"


def test_a_store_that_is_only_read_hits(
    folder: Path, small_reading: VoiceReading, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.keep(KEY, small_reading)

    def refused(*_: object) -> None:
        raise PermissionError("not the owner")

    monkeypatch.setattr(store.os, "utime", refused)
    assert store.find(KEY) is not None


def test_another_version_of_what_hears_is_another_key(monkeypatch: pytest.MonkeyPatch) -> None:
    assert any(name.startswith("numpy-") for name in store._versions())
    store.code_fingerprint.cache_clear()
    before = store.key_of(b"a", None, {})
    monkeypatch.setattr(store, "_versions", lambda: ["numpy-0.dist-info"])
    store.code_fingerprint.cache_clear()
    assert store.key_of(b"a", None, {}) != before
    store.code_fingerprint.cache_clear()
