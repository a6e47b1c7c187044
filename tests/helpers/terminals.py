"""The desk in a real terminal (a pseudo-terminal of the standard library), driven by keys."""

from __future__ import annotations

import os
import re
import select
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 40.0


class Terminal:
    """A running desk, its keys and what it printed."""

    def __init__(self, process: subprocess.Popen[bytes], handle: int) -> None:
        self.process = process
        self._handle = handle
        self.printed = ""

    def press(self, keys: str, until: str) -> str:
        """Send keys, then wait until that appears in what is printed from then on."""
        self.printed = ""
        for key in re.findall(r"\x1b\[[A-Z]|.", keys, re.DOTALL):
            os.write(self._handle, key.encode())
            time.sleep(0.05)
        return self.wait(until)

    def write(self, keys: str, until: str) -> str:
        """Send keys in one write, as a script or a paste does."""
        self.printed = ""
        os.write(self._handle, keys.encode())
        return self.wait(until)

    def wait(self, until: str) -> str:
        end_s = time.monotonic() + PATIENCE_S
        while not re.search(until, self.printed):
            if not self._read(0.2) and time.monotonic() > end_s:
                raise AssertionError(f"{until!r} never came; printed: {self.printed[-1500:]!r}")
        return self.printed

    def _read(self, patience_s: float) -> bool:
        if not select.select([self._handle], [], [], patience_s)[0]:
            return False
        try:
            data = os.read(self._handle, 65536).decode(errors="replace")
        except OSError:
            return False
        self.printed += re.sub(r"\x1b\[[0-9;?<>=]*[a-zA-Z]|\x1b[P\]].*?(?:\x1b\\|\x07)", "", data)
        return True

    def leave(self) -> int:
        """Wait for the end, reading on so that the process never blocks."""
        end_s = time.monotonic() + PATIENCE_S
        while self.process.poll() is None and time.monotonic() < end_s:
            self._read(0.1)
        return self.process.wait(timeout=5)


@contextmanager
def terminal(scene: Path, tmp_path: Path, columns: int = 120, rows: int = 36) -> Iterator[Terminal]:
    import fcntl
    import pty
    import struct
    import termios

    state = tmp_path / "state" / "linebeat"
    state.mkdir(parents=True)
    (state / "desk-opened").touch()
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    environment = {
        **os.environ, "TERM": "xterm-256color", "XDG_STATE_HOME": str(tmp_path / "state"),
        "COLUMNS": str(columns), "LINES": str(rows),
    }  # fmt: skip
    process = subprocess.Popen(
        [sys.executable, "-m", "planner", "desk", str(scene)],
        stdin=theirs, stdout=theirs, stderr=theirs, env=environment, close_fds=True,
        cwd=ROOT, start_new_session=True,
    )  # fmt: skip
    os.close(theirs)
    try:
        yield Terminal(process, ours)
    finally:
        if process.poll() is None:
            process.kill()
        process.wait()
        os.close(ours)
