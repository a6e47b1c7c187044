"""The desk's core and views know no screen; no file of it is too long."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import planner.desk

FOLDER = Path(planner.desk.__file__).parent
# These, panels/ and dialogs/ know a screen.
SCREENS = {"app", "turns", "questions", "session", "sounding", "opening"}


def test_core_and_views_work_without_textual() -> None:
    core = sorted(f.stem for f in FOLDER.glob("*.py") if f.stem not in SCREENS)
    assert {"state", "views", "doing", "pointing", "keeping"} <= set(core)
    code = (
        "import importlib, sys\n"
        f"for name in {core!r}: importlib.import_module('planner.desk.' + name)\n"
        "assert 'textual' not in sys.modules\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False,
        cwd=FOLDER.parents[1],
    )  # fmt: skip

    assert done.returncode == 0, done.stderr


def test_no_file_is_longer_than_400_lines() -> None:
    long = {f.name: n for f in FOLDER.rglob("*.py") if (n := len(f.read_text().splitlines())) > 400}

    assert long == {}
