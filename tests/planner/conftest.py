"""Running the command line in process, the way a user sees it: code, standard output and error."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import pytest

from planner.cli import main


class Ran(NamedTuple):
    """What a command gave."""

    code: int
    out: str
    err: str


@pytest.fixture
def linebeat(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Calls `linebeat` with arguments."""

    def run(*arguments: object) -> Ran:
        capsys.readouterr()
        code = main([str(a) for a in arguments])
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return run
