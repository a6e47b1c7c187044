"""Workers: processes of this machine (joblib's loky), or those of a cluster (dask.distributed).

Both take jobs and give back outcomes in the order in which they are done. A process that dies
(killed, out of memory, a fault in a library) takes the others' jobs along; they are done again, one
at a time in a process of their own, so that the one at fault is found and only that one fails.
"""

from __future__ import annotations

import importlib
import os
import re
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from audio.errors import LinebeatError, UsageError

AHEAD = 2  # jobs handed out a worker, so that none waits for the next
IDLE_S = 60.0  # a worker that is given nothing for so long ends
LOOK_S = 1.0  # how often a worker looks whether its run is still there
CLUSTER_WAIT_S = 15.0  # for a cluster to answer
# One thread a process: the work is spread over processes, and threads change no result.
ONE_THREAD = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL", "NUMBA")}


@dataclass(frozen=True, slots=True)
class Job:
    """A call: `key` says to the caller which one it is."""

    key: Any
    function: Callable[[Any], Any]
    argument: Any


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a job: a value, or what it raised."""

    key: Any
    value: Any = None
    error: BaseException | None = None


class WorkerDied(Exception):  # noqa: N818 - said as what happened
    """The process that did a job ended before the job did."""


class Pool(Protocol):
    """What runs jobs."""

    def room(self) -> bool:
        """Whether another job may be handed out now."""

    def submit(self, job: Job) -> None:
        """Hand out a job."""

    def done(self) -> Iterator[Outcome]:
        """Wait for at least one job, give all that are done."""

    def stop(self) -> None:
        """End at once; what is not done is given up."""


def _begin_worker(parent: int) -> None:
    """Ctrl-C goes to every process of a terminal, but the first one alone answers it; and a worker
    whose run was killed ends too."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(LOOK_S)
    os._exit(1)


class LocalPool:
    """Processes of this machine."""

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._pool: Any = None
        self._flying: dict[Any, Job] = {}
        self._finished: list[Outcome] = []
        self._suspects: deque[Job] = deque()  # were on the way when a process died
        self._alone = False  # a suspect is being tried by itself

    def room(self) -> bool:
        """Whether another job may be handed out now."""
        busy = self._alone or bool(self._suspects)
        return not busy and len(self._flying) < AHEAD * self.workers

    def submit(self, job: Job) -> None:
        """Hand out a job."""
        self._launch(job, self.workers)

    def done(self) -> Iterator[Outcome]:
        """Wait for at least one job, give all that are done."""
        if not self._flying and self._suspects:
            self._alone = True
            self._launch(self._suspects.popleft(), 1)
        self._collect()
        finished, self._finished = self._finished, []
        yield from finished

    def stop(self) -> None:
        """End at once; what is not done is given up."""
        self._flying.clear()
        pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(wait=True, kill_workers=True)

    def _launch(self, job: Job, workers: int) -> None:
        if self._pool is None:
            from joblib.externals.loky import ProcessPoolExecutor

            self._pool = ProcessPoolExecutor(
                max_workers=workers,
                timeout=IDLE_S,
                env=ONE_THREAD,
                initializer=_begin_worker,
                initargs=(os.getpid(),),
            )
        try:
            self._flying[self._pool.submit(job.function, job.argument)] = job
        except RuntimeError as error:  # it broke since the last look
            if not _is_death(error):
                raise
            self._suspects.append(job)
            self._after_death()

    def _collect(self) -> None:
        from concurrent.futures import FIRST_COMPLETED, wait

        if not self._flying:
            return
        ready, _ = wait(self._flying, return_when=FIRST_COMPLETED)
        if any(_is_death(future.exception()) for future in ready):
            self._after_death()
        else:
            for future in ready:
                self._finish(future)
        if not self._flying and not self._suspects and self._alone:
            self._alone = False
            self.stop()  # the next job gets all workers again

    def _finish(self, future: Any) -> None:
        job, error = self._flying.pop(future), future.exception()
        self._finished.append(Outcome(job.key, None if error else future.result(), error))

    def _after_death(self) -> None:
        """Keep what was done; the rest is tried again alone, and who dies alone has failed."""
        for future, job in list(self._flying.items()):
            if future.done() and not _is_death(future.exception()):
                self._finish(future)
            elif self._alone:
                self._finished.append(Outcome(job.key, error=WorkerDied()))
            else:
                self._suspects.append(job)
        self.stop()


def _is_death(error: BaseException | None) -> bool:
    from concurrent.futures.process import BrokenProcessPool

    return isinstance(error, BrokenProcessPool)


def machine_workers() -> int:
    """How many processes this machine, and what it grants us of itself, has room for."""
    import joblib

    return max(1, int(joblib.cpu_count()))


class ClusterPool:
    """Workers of a dask cluster, which must see the same files under the same names.

    A cluster is trusted with our process: use only your own.
    """

    def __init__(self, address: str, fingerprint: Callable[[], str]) -> None:
        try:
            distributed: Any = importlib.import_module("distributed")
        except ImportError:
            raise UsageError(
                "--cluster needs dask.distributed", mend="pip install 'linebeat[cluster]'"
            ) from None
        _check_address(address)
        self.address = address
        self._flying: dict[Any, Job] = {}
        self._wait = distributed.wait
        try:
            self._client = distributed.Client(address, timeout=CLUSTER_WAIT_S)
        except (OSError, ValueError, TimeoutError) as error:
            raise _no_answer(address) from error
        self._threads = int(sum(self._client.nthreads().values()))
        self._check_workers(fingerprint)

    def _check_workers(self, fingerprint: Callable[[], str]) -> None:
        mend = "install this version of linebeat for every worker"
        try:
            theirs = set(self._client.run(fingerprint).values())
        except ImportError:
            self.stop()
            raise UsageError("the cluster's workers have no linebeat", mend=mend) from None
        if not theirs:
            self.stop()
            raise UsageError(f'the cluster at "{self.address}" has no workers', mend="start some")
        if theirs != {fingerprint()}:
            self.stop()
            raise UsageError("the cluster's workers run another linebeat", mend=mend)

    def room(self) -> bool:
        """Whether another job may be handed out now."""
        return len(self._flying) < AHEAD * max(self._threads, 1)

    def submit(self, job: Job) -> None:
        """Hand out a job."""
        future = self._client.submit(job.function, job.argument, pure=False)
        self._flying[future] = job

    def done(self) -> Iterator[Outcome]:
        """Wait for at least one job, give all that are done."""
        ready, _ = self._wait(list(self._flying), return_when="FIRST_COMPLETED")
        for future in sorted(ready, key=lambda f: str(f.key)):
            job = self._flying.pop(future)
            if future.status == "finished":
                yield Outcome(job.key, future.result())
            elif future.status == "error":
                yield Outcome(job.key, error=_cluster_error(future.exception()))
            else:
                raise LinebeatError(
                    f"the cluster at {self.address} is gone; what was done is kept",
                    mend="run the same command again to go on",
                )

    def stop(self) -> None:
        """Leave the cluster; what is not done is given up."""
        self._client.close(timeout=CLUSTER_WAIT_S)


def _check_address(address: str) -> None:
    """Refuse at once what is no address, or where nobody listens.

    Raises UsageError.
    """
    import socket

    found = re.fullmatch(r"(?:tcp|tls)://\[?([^\[\]/]+)\]?:(\d{1,5})", address)
    if found is None or int(found[2]) > 65535:
        raise _no_answer(address)
    try:
        socket.create_connection((found[1], int(found[2])), timeout=CLUSTER_WAIT_S).close()
    except (OSError, UnicodeError) as error:
        raise _no_answer(address) from error


def _no_answer(address: str) -> UsageError:
    return UsageError(
        f'no cluster answers at "{address}"', mend="give its scheduler's tcp://HOST:PORT"
    )


def _cluster_error(error: BaseException | None) -> BaseException:
    return WorkerDied() if type(error).__name__ == "KilledWorker" else error or WorkerDied()
