"""Which way dependencies flow, and what is not loaded at start-up."""

from __future__ import annotations

import subprocess
import sys

import pytest


def loaded_after(statement: str) -> set[str]:
    """The modules a fresh Python has loaded after a statement."""
    code = f"{statement}\nimport sys\nprint('\\n'.join(sys.modules))"
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    return set(run.stdout.split())


def test_audio_never_loads_planner() -> None:
    modules = loaded_after(
        "import pkgutil, importlib, audio\n"
        "for m in pkgutil.walk_packages(audio.__path__, 'audio.'):\n"
        " importlib.import_module(m.name)"
    )

    assert "audio.reading" in modules
    assert not {m for m in modules if m.split(".")[0] == "planner"}


@pytest.mark.parametrize(
    "heavy", ["textual", "librosa", "scipy", "parselmouth", "pocketsphinx", "av", "cv2"]
)
def test_planning_loads_nothing_heavy(heavy: str) -> None:
    modules = loaded_after(
        "import audio.read_voice, planner.plan.make, planner.scene_file, planner.commands.plan"
    )

    assert "planner.plan.make" in modules
    assert heavy not in modules
