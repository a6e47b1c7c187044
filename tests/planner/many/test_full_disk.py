"""`many` where its store has no room left: the result is there, only nothing is remembered."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from made_clips import write_clip

from planner.many.ledger import Entry, Ledger
from planner.many.rows import LineRow


@pytest.fixture
def full_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 16 kB, made of memory; only the superuser may make one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=16k", "none", str(disk)],
                          check=False, capture_output=True)  # fmt: skip
    if made.returncode:
        pytest.skip("no right to make a disk")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_full_store_costs_the_memory_and_not_the_result(tmp_path: Path, full_disk: Path) -> None:
    for number in range(3):
        write_clip(tmp_path / "season" / f"{number}.wav")
    (full_disk / "filling").write_bytes(bytes(12_000))

    ran = subprocess.run(
        [sys.executable, "-m", "planner", "many", str(tmp_path / "season"), "--workers", "1"],
        env={**os.environ, "LINEBEAT_STORE": str(full_disk / "store")},
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip

    assert ran.returncode == 0, ran.stderr
    assert "3 lines in 0 scenes and 3 clips" in ran.stdout


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_what_a_full_disk_took_no_more_is_no_error_on_closing(tmp_path: Path) -> None:
    ledger = Ledger(tmp_path / "l.jsonl")
    ledger._file = Path("/dev/full").open("w", encoding="utf-8")  # noqa: SIM115

    ledger.add("a.wav", Entry({}, (LineRow("a.wav"),)))
    ledger.close(["a.wav"])

    assert ledger.path is None
