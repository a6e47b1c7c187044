"""The desk's core and views know no screen; no file of it is too long."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import planner.desk

FOLDER = Path(planner.desk.__file__).parent
# These and dialogs/ know a screen.
SCREENS = {"app", "turns", "questions", "session", "sound.player", "run", "rows_widget",
           "shown_filter", "tight_update"}  # fmt: skip


def test_core_and_views_work_without_textual() -> None:
    names = (f.relative_to(FOLDER).with_suffix("").parts for f in FOLDER.rglob("*.py"))
    core = sorted(
        name for parts in names
        if parts[0] != "dialogs" and parts[-1] != "__init__"
        and (name := ".".join(parts)) not in SCREENS
    )  # fmt: skip
    assert {"state", "views.plan", "actions", "edits.beats", "on_disk"} <= set(core)
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
