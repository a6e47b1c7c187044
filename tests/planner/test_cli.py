"""The command line as a whole: exit codes, one line for every mistake, a fault of ours included."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest

from planner.cli import COMMANDS


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_there_and_explains_itself(
    linebeat: Callable[..., Any], name: str
) -> None:
    ran = linebeat(name, "--help")

    assert ran.code == 0
    assert "Usage: linebeat" in ran.out


def test_a_fault_of_ours_is_one_line_too(
    linebeat: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    import planner.files.demo

    def broken(_: str) -> None:
        raise KeyError("boom")

    monkeypatch.setattr("planner.commands.demo.demo_scene", broken)
    ran = linebeat("demo")

    assert ran.code == 2
    assert len(ran.err.strip().splitlines()) == 1
    assert "a fault of linebeat" in ran.err
    assert "test_cli.py" in ran.err
    assert planner.files.demo.DEMO_NAME


@pytest.mark.parametrize(
    ("arguments", "code"), [(["--version"], 0), (["nonsense"], 2), (["read", "none.wav"], 2)]
)
def test_as_an_installed_command(arguments: list[str], code: int) -> None:
    """The same through a process of its own, as `python -m planner`."""
    ran = subprocess.run(
        [sys.executable, "-m", "planner", *arguments],
        check=False,
        capture_output=True,
        text=True,
        timeout=60,
    )

    assert ran.returncode == code
    assert "Traceback" not in ran.stderr
    assert len(ran.stderr.strip().splitlines()) <= 1
