"""Tiny rendered movies, made once for all tests of the folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from made_movies import FACE_COUNT, face_shot, write_movie


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the movies of a session lie."""
    return tmp_path_factory.mktemp("movies")


@pytest.fixture(scope="session")
def face_movie(folder: Path) -> Path:
    """The head alone, at a rate of 24."""
    return write_movie(folder / "face.mp4", face_shot().pictures(FACE_COUNT), gop=10)
