"""Keys and pastes strictly in turn: none is handed on before all that the last one began is done.

Textual hands keys to whatever has the focus at that moment, while a question opened by an earlier
key may not be up yet, and a widget's own bindings wait behind letters struck after them. So what
comes in one write (fast typing, a script) may reach the wrong panel. Here, a key that finds nothing
under way is handed on at once. Any other is held back until every part of what is on screen has
done what it was sent, and a question that was opened is mounted, focused and laid out, or one that
was answered is gone and its answer taken.

A paste is text for the line that has the focus; without one it is let fall, and the desk says so.
"""

from __future__ import annotations

import asyncio
import time
from collections import deque
from collections.abc import Awaitable, Callable, Iterable

from textual.app import App
from textual.events import Event, Key, Paste
from textual.message_pump import MessagePump
from textual.screen import Screen

Deliver = Callable[[Event], Awaitable[None]]

PATIENCE_S = 2.0  # a part that does not answer for so long no longer holds the keys up
QUIET_ROUNDS = 2  # rounds without news after which nothing is under way: a message bubbles a step
MOST_ROUNDS = 60  # far more than any key takes; the mouse may bring news without end
SHORT_WAITS = 50  # turns of the event loop before waits take time
WAIT_S = 0.001


class Turns:
    """Holds keys and pastes back while something is under way, then hands them out one by one."""

    def __init__(self, app: App[int], deliver: Deliver) -> None:
        self._app = app
        self._deliver = deliver
        self._held: deque[Event] = deque()
        self._up: Screen[object] | None = None  # the screen known to be mounted, with its focus
        self._busy = False

    async def take(self, event: Key | Paste) -> None:
        """A key or a paste that came in: handed on now, or when its turn has come."""
        if not self._app.screen_stack:
            return
        self._held.append(event)
        if self._busy:
            return
        if self._app.screen is self._up:
            await self._deliver(self._held.popleft())
        if self._held or not self._at_rest():
            self._busy = True
            self._app.run_worker(self._hand_out(), group="keys", description="keys in turn")

    def _at_rest(self) -> bool:
        """True on the board itself, whose keys are done when they return."""
        return len(self._app.screen_stack) == 1 and self._app.screen is self._up

    async def _hand_out(self) -> None:
        try:
            await self._settled()
            while self._held:
                await self._deliver(self._held.popleft())
                if not self._at_rest():
                    await self._settled()
        finally:
            self._busy = False

    async def _settled(self) -> None:
        """Wait until nothing is under way on the screen on top."""
        quiet = 0
        for _ in range(MOST_ROUNDS):
            screen = self._app.screen
            parts: list[MessagePump] = [self._app, *screen.walk_children(with_self=True)]
            await _all_answer(parts, lambda part, done: part.call_later(done))
            if screen is not self._up:
                await _all_answer([screen], lambda part, done: part.call_after_refresh(done))
                self._up, quiet = screen, 0
            elif self._app.screen is not screen or any(p.message_queue_size for p in parts):
                quiet = 0
            else:
                quiet += 1
            if quiet == QUIET_ROUNDS:
                return


async def _all_answer(
    parts: Iterable[MessagePump], ask: Callable[[MessagePump, Callable[[], None]], bool]
) -> None:
    """Wait until each part has come to what it is asked to call, or is gone."""
    asked = {part: asyncio.Event() for part in parts}
    left = {part: done for part, done in asked.items() if ask(part, done.set)}
    until = time.monotonic() + PATIENCE_S
    waits = 0
    while any(part.is_running and not done.is_set() for part, done in left.items()):
        await asyncio.sleep(0 if waits < SHORT_WAITS else WAIT_S)
        waits += 1
        if time.monotonic() > until:
            return


def as_line(text: str) -> str:
    """Pasted text as one line: line ends and tabs become blanks, what cannot be shown is left out.

    >>> as_line("softer here,\\r\\n\\tthen hold")
    'softer here, then hold'
    """
    lines = text.splitlines()
    if len(lines) > 1:
        lines = [line.strip() for line in lines]
    joined = " ".join(line for line in lines if line).replace("\t", " ")
    return "".join(char for char in joined if char.isprintable())
