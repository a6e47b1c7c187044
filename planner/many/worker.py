"""A process that does one job after another, over a pipe, with everything heavy loaded once.

Where the system can, workers are split off a helper process that has loaded the ear (`forkserver`),
so that a second worker starts in milliseconds; elsewhere each loads it for itself. A worker leaves
Ctrl-C to the process that a person talks to, and ends when that one is gone.
"""

from __future__ import annotations

import multiprocessing as mp
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterable
from functools import cache
from multiprocessing.connection import Connection, wait
from multiprocessing.reduction import ForkingPickler
from pathlib import Path
from pickle import PicklingError
from types import MappingProxyType
from typing import Any

LOOK_S = 1.0  # how often a worker looks whether its run is still there
END_S = 5.0  # for a killed worker to be gone
# One thread a process: the work is spread over processes, and threads change no result.
ONE_THREAD = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL", "NUMBA")}
HEAVY = "planner.many.loaded"  # a module that loads what hearing needs


def _frozen(plain: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(plain)


# Frozen maps are part of scenes and findings; Python does not say by itself how they are sent.
ForkingPickler.register(MappingProxyType, lambda frozen: (_frozen, (dict(frozen),)))


class Worker:
    """One process, started on its first use."""

    def __init__(self) -> None:
        context: Any = _context()
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_work, args=(theirs, os.getpid()), daemon=True)
        before = {name: os.environ.get(name) for name in ONE_THREAD}
        os.environ.update(ONE_THREAD)
        try:
            self._process.start()
        finally:
            theirs.close()
            for name, value in before.items():
                if value is None:
                    os.environ.pop(name, None)
                else:
                    os.environ[name] = value

    @property
    def pipe(self) -> Connection:
        """What becomes readable when the job is done, or the process is gone."""
        pipe: Connection = self._pipe
        return pipe

    def give(self, function: Callable[[Any], Any], argument: Any) -> None:
        """Hand a job over. That the process is gone is noticed by `result`."""
        try:
            self._pipe.send((function, argument))
        except OSError:
            return

    def result(self) -> tuple[Any, BaseException | None]:
        """What the job gave, or raised. Raises EOFError if the process ended before the job."""
        try:
            value, error = self._pipe.recv()
        except OSError:
            raise EOFError from None
        return value, error

    def kill(self) -> None:
        """End it at once."""
        self._pipe.close()
        self._process.kill()
        self._process.join(END_S)


def wait_for_any(workers: Iterable[Worker]) -> list[Worker]:
    """The workers, of these, that are done or gone; waits for the first."""
    by_pipe = {worker.pipe: worker for worker in workers}
    return [by_pipe[pipe] for pipe in wait(list(by_pipe))]  # type: ignore[index]


@cache
def _context() -> Any:
    if "forkserver" not in mp.get_all_start_methods() or sys.platform == "darwin":
        return mp.get_context("spawn")
    context = mp.get_context("forkserver")
    context.set_forkserver_preload([HEAVY])
    return context


def _work(pipe: Connection, run: int) -> None:
    """The process: jobs until the pipe ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with, args=(run,), daemon=True).start()
    while True:
        try:
            function, argument = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            outcome: tuple[Any, BaseException | None] = (function(argument), None)
        except BaseException as error:  # noqa: BLE001 - whatever it is, the one who asked is told
            outcome = (None, error)
        if not _sent(pipe, outcome):
            return


def _sent(pipe: Connection, outcome: tuple[Any, BaseException | None]) -> bool:
    """Send an outcome, or that it cannot be sent. False if nobody is there to take it."""
    try:
        try:
            pipe.send(outcome)
        except (TypeError, AttributeError, PicklingError) as error:
            pipe.send((None, RuntimeError(f"its outcome cannot be sent: {error}")))
    except OSError:
        return False
    return True


def _end_with(run: int) -> None:
    """End when the run is gone, however it went: nobody would take the result."""
    while _is_there(run):
        time.sleep(LOOK_S)
    os._exit(1)


def _is_there(process: int) -> bool:
    if sys.platform == "win32":
        return True  # its pipe ends with it
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def machine_workers() -> int:
    """How many processes this machine, and what it grants us of itself, has room for."""
    try:
        count = len(os.sched_getaffinity(0))
    except AttributeError:  # a system without such masks
        count = os.cpu_count() or 1
    return max(1, min(count, _granted() or count))


def _granted() -> int | None:
    """Whole processors that a control group of Linux grants (version 2), if it bounds them."""
    try:
        quota, period = Path("/sys/fs/cgroup/cpu.max").read_text(encoding="ascii").split()
        return max(1, round(int(quota) / int(period)))
    except (OSError, ValueError):
        return None
