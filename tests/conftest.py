"""Shared by all tests: nothing is written outside the test's own folder."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# Voices and scenes made by hand live beside the tests; no package, so that `tests` is none either.
sys.path.insert(0, str(Path(__file__).resolve().parent / "helpers"))
# Last, so that an installed linebeat stays the one that is tested: for `tests.training`.
sys.path.append(str(Path(__file__).resolve().parent.parent))

DEMO_SCENES = Path(__file__).resolve().parent.parent / "demo_scenes"


@pytest.fixture(autouse=True)
def own_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Readings kept on disk go to one folder of this test run, never to the user's."""
    folder = tmp_path_factory.getbasetemp() / "readings"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LINEBEAT_STORE", str(folder))
        yield


@pytest.fixture(scope="session")
def demo_scenes() -> Path:
    """The folder of the bundled scenes."""
    return DEMO_SCENES
