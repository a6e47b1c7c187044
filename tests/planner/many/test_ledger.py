"""What was done is known again, exactly as long as nothing it came from has changed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from planner.many import ledger as module
from planner.many.find import file_facts
from planner.many.ledger import Entry, Ledger
from planner.many.rows import LineRow


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "root").mkdir()
    for name in ("a.wav", "b.wav", "b.txt"):
        (tmp_path / "root" / name).write_text(name)
    return tmp_path / "root"


def entry(root: Path, *names: str) -> Entry:
    row = LineRow(names[0], said="caf\u00e9 \udcff", length_s=1.25, warnings=("clipped",))
    return Entry({name: file_facts(root, name) for name in names}, (row,))


def test_an_entry_is_there_for_the_next_run(root: Path, tmp_path: Path) -> None:
    first = Ledger(tmp_path / "l.jsonl")
    first.add("a.wav", entry(root, "a.wav", "a.txt"))
    first.add("b.wav", entry(root, "b.wav", "b.txt"))
    first.close(["a.wav", "b.wav"])

    valid = Ledger(tmp_path / "l.jsonl").valid(root, ["a.wav", "b.wav", "c.wav"])

    assert valid == {
        "a.wav": entry(root, "a.wav", "a.txt"), "b.wav": entry(root, "b.wav", "b.txt")
    }  # fmt: skip


@pytest.mark.parametrize("change", ["sound", "words", "words gone", "words new", "touched"])
def test_any_change_to_a_file_makes_its_entry_void(root: Path, tmp_path: Path, change: str) -> None:
    with_text = change != "words new"
    held = Ledger(tmp_path / "l.jsonl")
    if not with_text:
        (root / "b.txt").unlink()
    held.add("b.wav", entry(root, "b.wav", "b.txt"))
    held.add("a.wav", entry(root, "a.wav", "a.txt"))

    held.close(["a.wav", "b.wav"])

    match change:
        case "sound":
            (root / "b.wav").write_text("B.wav")  # as long as before
        case "words" | "words new":
            (root / "b.txt").write_text("other words")
        case "words gone":
            (root / "b.txt").unlink()
        case "touched":
            os.utime(root / "b.wav", (1, 1))

    assert list(held.valid(root, ["a.wav", "b.wav"])) == ["a.wav"]


def test_a_changed_program_knows_nothing(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Ledger(tmp_path / "l.jsonl")
    held.add("a.wav", entry(root, "a.wav"))
    held.close(["a.wav"])
    monkeypatch.setattr(module, "code_fingerprint", lambda: "other")

    again = Ledger(tmp_path / "l.jsonl")
    assert again.valid(root, ["a.wav"]) == {}

    again.add("b.wav", entry(root, "b.wav"))
    again.close(["b.wav"])
    assert list(Ledger(tmp_path / "l.jsonl").valid(root, ["a.wav", "b.wav"])) == ["b.wav"]


def test_half_a_line_of_a_killed_run_is_left_out_and_added_to(root: Path, tmp_path: Path) -> None:
    path = tmp_path / "l.jsonl"
    held = Ledger(path)
    held.add("a.wav", entry(root, "a.wav"))
    held.add("b.wav", entry(root, "b.wav"))
    held.close(["a.wav", "b.wav"])
    whole = path.read_bytes()
    first = whole.index(b"\n", whole.index(b"\n") + 1) + 1

    for cut in range(first, len(whole)):
        path.write_bytes(whole[:cut])
        again = Ledger(path)
        assert set(again.valid(root, ["a.wav", "b.wav"])) - {"b.wav"} == {"a.wav"}
    again.add("b.wav", entry(root, "b.wav"))
    again.close(["a.wav", "b.wav"])
    assert set(Ledger(path).valid(root, ["a.wav", "b.wav"])) == {"a.wav", "b.wav"}


@pytest.mark.parametrize("data", [b"", b"\n\n", b"{}", b"\xff\xfe\x00", b"[1]\n[2]\n"])
def test_a_damaged_ledger_is_an_empty_one(root: Path, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "l.jsonl"
    path.write_bytes(data)

    held = Ledger(path)
    held.add("a.wav", entry(root, "a.wav"))
    held.close(["a.wav"])

    assert list(Ledger(path).valid(root, ["a.wav"])) == ["a.wav"]


@pytest.mark.parametrize("line", [
    "null", "3", '"x"', "[]", "{}", '{"item": "a.wav"}', "[" * 100_000,
    '{"item": "a.wav", "facts": {"a.wav": [1]}, "rows": []}',
    '{"item": "a.wav", "facts": {}, "rows": [{"file": "x"}]}',
    '{"item": ["a"], "facts": {}, "rows": []}',
])  # fmt: skip
def test_a_strange_line_is_passed_over(root: Path, tmp_path: Path, line: str) -> None:
    path = tmp_path / "l.jsonl"
    held = Ledger(path)
    held.add("b.wav", entry(root, "b.wav"))
    held.close(["b.wav"])
    with path.open("a") as file:
        file.write(line + "\n")

    assert list(Ledger(path).valid(root, ["a.wav", "b.wav"])) == ["b.wav"]


def test_a_ledger_that_cannot_be_written_costs_only_time(root: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    held = Ledger(tmp_path / "file" / "l.jsonl")

    held.add("a.wav", entry(root, "a.wav"))
    held.close(["a.wav"])

    assert list(held.valid(root, ["a.wav"])) == ["a.wav"]


def test_it_does_not_grow_with_every_change(root: Path, tmp_path: Path) -> None:
    path = tmp_path / "l.jsonl"
    for _ in range(40):
        held = Ledger(path)
        held.add("a.wav", entry(root, "a.wav"))
        held.close(["a.wav"])

    assert len(path.read_text().splitlines()) < 16


def test_nothing_is_kept_where_there_is_no_store(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LINEBEAT_STORE", "")

    assert Ledger.of(root).path is None


def test_two_folders_have_two_ledgers_and_a_link_the_same(root: Path, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(root)
    (tmp_path / "other").mkdir()

    assert Ledger.of(root).path == Ledger.of(tmp_path / "link").path
    assert Ledger.of(root).path != Ledger.of(tmp_path / "other").path


def test_forgetting_readings_forgets_ledgers_too(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from audio import store

    monkeypatch.setenv("LINEBEAT_STORE", str(tmp_path / "store"))
    held = Ledger.of(root)
    held.add("a.wav", entry(root, "a.wav"))
    held.close(["a.wav"])
    assert list(Ledger.of(root).valid(root, ["a.wav"])) == ["a.wav"]

    assert store.empty() == 0

    assert Ledger.of(root).valid(root, ["a.wav"]) == {}
