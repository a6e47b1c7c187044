"""A page printed to PDF by a Chromium that is on the machine, without a window or the network.

Looked for: $LINEBEAT_BROWSER, then the usual names on the path. The page is opened from a folder of
its own with a profile of its own, and both are gone afterwards.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from audio.errors import OutputError

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
LONGEST_S = 120.0
_FLAGS = (
    "--headless", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-extensions", "--no-pdf-header-footer",
)  # fmt: skip


def find_browser() -> str | None:
    """The browser to print with, or None."""
    named = os.environ.get("LINEBEAT_BROWSER")
    return shutil.which(named) if named else next(filter(None, map(shutil.which, NAMES)), None)


def page_to_pdf(page: str) -> bytes:
    """A page as PDF, on the paper its styles name.

    Raises OutputError, with the way to print by hand, if there is no browser or it fails.
    """
    browser = find_browser()
    if browser is None:
        raise OutputError(
            "no Chromium or Chrome found to print with",
            mend="write .html instead, open it in a browser and print it to PDF",
        )
    with tempfile.TemporaryDirectory(prefix="linebeat-", ignore_cleanup_errors=True) as folder:
        source, target = Path(folder, "page.html"), Path(folder, "page.pdf")
        source.write_text(page, encoding="utf-8")
        said = _run(browser, folder, source, target)
        if not target.is_file() or not target.stat().st_size:
            raise OutputError(
                f"{Path(browser).name} made no PDF{said}",
                mend="write .html instead, open it in a browser and print it to PDF",
            )
        return target.read_bytes()


def _run(browser: str, folder: str, source: Path, target: Path) -> str:
    """Print; returns what the browser said if it failed."""
    flags = list(_FLAGS)
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        flags.append("--no-sandbox")  # it refuses to sandbox for the administrator
    command = [
        browser, *flags, f"--user-data-dir={Path(folder, 'profile')}",
        f"--print-to-pdf={target}", source.as_uri(),
    ]  # fmt: skip
    try:
        done = subprocess.run(command, capture_output=True, timeout=LONGEST_S, check=False)
    except subprocess.TimeoutExpired:
        return f" within {LONGEST_S:.0f} s"
    except OSError as problem:
        return f": {problem.strerror}"
    if done.returncode == 0:
        return ""
    lines = done.stderr.decode("utf-8", "replace").strip().splitlines()
    return f": {lines[-1][:160]}" if lines else f" (code {done.returncode})"
