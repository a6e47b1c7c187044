"""`linebeat many --cluster`: the same rows from a dask cluster, here on the loopback."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from made_clips import write_clip, write_scene

pytest.importorskip("distributed")

ROOT = Path(__file__).resolve().parents[3]
CLUSTER = """
from distributed import LocalCluster
if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None,
                      protocol="tcp://") as cluster:
        print(cluster.scheduler_address, flush=True)
        input()
"""


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of two workers."""
    folder = tmp_path_factory.mktemp("cluster")
    (folder / "cluster.py").write_text(CLUSTER)
    with subprocess.Popen(
        [sys.executable, "cluster.py"], cwd=folder, text=True, stdin=subprocess.PIPE,
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": str(ROOT), "LINEBEAT_STORE": str(folder / "store")},
    ) as process:  # fmt: skip
        assert process.stdout is not None and process.stdin is not None
        yield process.stdout.readline().strip()
        process.stdin.write("\n")
        process.stdin.close()


def many(root: Path, store: Path, *more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "planner", "many", str(root), "--out", "-", *more], text=True,
        capture_output=True, timeout=120, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "LINEBEAT_STORE": str(store)},
    )  # fmt: skip


def test_a_cluster_gives_the_rows_this_machine_gives(cluster: str, tmp_path: Path) -> None:
    root = tmp_path / "season"
    write_clip(root / "a.wav", length_s=0.6)
    write_clip(root / "b.wav", length_s=0.8)
    (root / "broken.wav").write_bytes(b"RIFF")
    write_scene(
        root / "scene.yaml", ["a.wav"], more="poses:\n  - {frame: 1003, who: clerk, part: head}\n"
    )

    there = many(root, tmp_path / "store1", "--cluster", cluster)
    here = many(root, tmp_path / "store2", "--workers", "1")

    assert (there.returncode, there.stdout) == (1, here.stdout), there.stderr
    assert there.stdout.count("\n") == 4
    assert "failed: broken.wav" in there.stderr and "Traceback" not in there.stderr


@pytest.mark.parametrize(
    "address", ["nonsense", "tcp://127.0.0.1:9", "tcp://[::1]:99999", "x://y:1"]
)
def test_an_address_where_nobody_answers_is_one_line(
    tmp_path: Path, linebeat: Callable, address: str
) -> None:
    write_clip(tmp_path / "a.wav")

    ran = linebeat("many", tmp_path, "--cluster", address)

    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines()[-1] == (
        f'linebeat: no cluster answers at "{address}"; give its scheduler\'s tcp://HOST:PORT'
    )
