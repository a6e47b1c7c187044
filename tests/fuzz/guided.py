"""Fuzzing guided by coverage, with atheris (libFuzzer):

    pip install atheris
    python tests/fuzz/guided.py TARGET [SECONDS]

TARGET is one of those in targets.py. Limits: 5 s an input, 1 GB of memory. Inputs that reach new
code are kept in the folder LINEBEAT_FUZZ_CORPUS (a new temporary one if not set); a finding is
written to crash-*, slow-unit-* or oom-* in the working directory and the run ends.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

import atheris

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent.parent)]

with atheris.instrument_imports(include=["audio", "planner", "yaml", "csv"]):
    import seeds
    import targets

    # What the targets import when called, so that it is instrumented too.
    import audio.clip
    import audio.words.pronounce  # noqa: F401
    import planner.check.pose_file
    import planner.commands.read
    import planner.paths.bvh
    import planner.paths.review
    import planner.paths.track_file
    import planner.scene_file  # noqa: F401


def main() -> None:
    """Run one target."""
    name = sys.argv[1]
    seconds = sys.argv[2] if len(sys.argv) > 2 else "60"
    corpus = Path(os.environ.get("LINEBEAT_FUZZ_CORPUS") or tempfile.mkdtemp()) / name
    corpus.mkdir(parents=True, exist_ok=True)
    for number, data in enumerate(seeds.SEEDS[name]):
        (corpus / f"seed-{number}").write_bytes(data)
    arguments = [
        sys.argv[0], str(corpus), f"-max_total_time={seconds}", "-timeout=5", "-rss_limit_mb=1500",
        "-malloc_limit_mb=1000", "-max_len=8192", "-print_final_stats=1",
    ]  # fmt: skip
    atheris.Setup(arguments, lambda data: targets.fed(name, data) and None)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
