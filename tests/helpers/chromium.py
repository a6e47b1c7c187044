"""A headless Chromium driven through its own debugging pipe (Chrome DevTools Protocol).

No driver package: messages are JSON ended by a zero byte on two pipes. Used to look at pages the
way a reader does: keys pressed, widths set, sound played, requests counted.
"""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--autoplay-policy=no-user-gesture-required", "--mute-audio", "--remote-debugging-pipe",
)  # fmt: skip
LONGEST_S = 60.0
# The browser reads its pipe as 3 and writes it as 4; both are first moved out of their way.
_AS_3_AND_4 = """import os, sys
r, w = (os.dup(int(n)) for n in sys.argv[1:3])
r, w = (__import__("fcntl").fcntl(fd, 0, 10) for fd in (r, w))
os.dup2(r, 3)
os.dup2(w, 4)
os.closerange(5, 64)
os.execvp(sys.argv[3], sys.argv[3:])
"""


class Chromium:
    """One page in one browser."""

    def __init__(self, program: str, folder: Path) -> None:
        to_child, self._out = os.pipe()
        self._in, from_child = os.pipe()
        self._profile = tempfile.mkdtemp(dir=folder)
        command = [program, *FLAGS, f"--user-data-dir={self._profile}", "about:blank"]
        self._process = subprocess.Popen(
            [sys.executable, "-c", _AS_3_AND_4, str(to_child), str(from_child), *command],
            pass_fds=(to_child, from_child), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(to_child)
        os.close(from_child)
        self._buffer = b""
        self._number = 0
        self._session: str | None = None
        self.events: list[dict[str, Any]] = []
        targets = self.send("Target.getTargets")["targetInfos"]
        target = next(t["targetId"] for t in targets if t["type"] == "page")
        self._session = self.send("Target.attachToTarget", targetId=target, flatten=True)[
            "sessionId"
        ]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.send(f"{domain}.enable")

    def send(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Call a method and wait for its answer; events meanwhile are kept."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        until = time.monotonic() + LONGEST_S
        while time.monotonic() < until:
            got = self._read(until)
            if got.get("id") == self._number:
                if "error" in got:
                    raise RuntimeError(f"{method}: {got['error']}")
                return got["result"]
            self.events.append(got)
        raise TimeoutError(method)

    def _read(self, until: float) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            ready, _, _ = select.select([self._in], [], [], max(0.0, until - time.monotonic()))
            if not ready:
                raise TimeoutError("no answer from the browser")
            piece = os.read(self._in, 1 << 16)
            if not piece:
                raise RuntimeError("the browser ended")
            self._buffer += piece
        message, _, self._buffer = self._buffer.partition(b"\0")
        return json.loads(message)

    def open(self, page: Path) -> None:
        """Open a file and wait until it has loaded."""
        self.events.clear()
        self.send("Page.navigate", url=page.as_uri())
        until = time.monotonic() + LONGEST_S
        while time.monotonic() < until:
            if self.run("document.readyState") == "complete" and self.run("location.href") == (
                page.as_uri()
            ):
                return
            time.sleep(0.05)
        raise TimeoutError(str(page))

    def run(self, script: str) -> Any:
        """The value of an expression in the page; promises are waited for."""
        got = self.send("Runtime.evaluate", expression=script, returnByValue=True,
                        awaitPromise=True)  # fmt: skip
        if "exceptionDetails" in got:
            raise RuntimeError(str(got["exceptionDetails"])[:400])
        return got["result"].get("value")

    def width(self, px: int, height: int = 900) -> None:
        """Make the window that wide."""
        self.send("Emulation.setDeviceMetricsOverride", width=px, height=height,
                  deviceScaleFactor=1, mobile=False)  # fmt: skip

    def press(self, key: str, code: int, text: str = "") -> None:
        """Press and let go of a key."""
        for kind in ("keyDown", "keyUp"):
            self.send("Input.dispatchKeyEvent", type=kind, key=key, windowsVirtualKeyCode=code,
                      text=text if kind == "keyDown" else "")  # fmt: skip

    def requests(self) -> list[str]:
        """What the page asked for since it was opened, itself and data in it left out."""
        self.run("1")
        return [
            url
            for e in self.events
            if e.get("method") == "Network.requestWillBeSent"
            and not (url := e["params"]["request"]["url"]).startswith(("data:", "file:"))
        ]

    def complaints(self) -> list[str]:
        """Errors the page caused: scripts that failed, what the policy refused."""
        self.run("1")
        found = []
        for e in self.events:
            if e.get("method") == "Runtime.exceptionThrown":
                found.append(str(e["params"]["exceptionDetails"])[:300])
            if e.get("method") == "Log.entryAdded" and e["params"]["entry"]["level"] == "error":
                found.append(e["params"]["entry"]["text"])
        return found

    def close(self) -> None:
        """End the browser."""
        self._session = None
        try:
            self.send("Browser.close")
        except (RuntimeError, TimeoutError, OSError):
            self._process.kill()
        self._process.wait(timeout=20)
        os.close(self._in)
        os.close(self._out)
