"""Workers: processes of this machine (`worker`), or those of a cluster (dask.distributed).

Both take jobs and give back outcomes in the order in which they are done. Of a process that dies
(killed, out of memory, a fault in a library) the job is tried once more; dying again it has failed,
and only that one.
"""

from __future__ import annotations

import importlib
import re
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from audio.errors import LinebeatError, UsageError
from planner.many.worker import Worker, wait_for_any

AHEAD = 2  # jobs handed out a worker, so that none waits for the next
CLUSTER_WAIT_S = 15.0  # for a cluster to answer


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


class LocalPool:
    """Processes of this machine."""

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._busy: dict[Worker, Job] = {}
        self._idle: list[Worker] = []
        self._waiting: deque[Job] = deque()
        self._tried: set[int] = set()  # jobs, by identity, whose process died once

    def room(self) -> bool:
        """Whether another job may be handed out now."""
        return len(self._busy) + len(self._waiting) < AHEAD * self.workers

    def submit(self, job: Job) -> None:
        """Hand out a job."""
        self._waiting.append(job)
        self._hand_out()

    def done(self) -> Iterator[Outcome]:
        """Wait for at least one job, give all that are done."""
        self._hand_out()
        ready = wait_for_any(self._busy)
        finished = [outcome for worker in ready if (outcome := self._take(worker)) is not None]
        self._hand_out()
        yield from finished

    def stop(self) -> None:
        """End at once; what is not done is given up."""
        self._waiting.clear()
        workers = [*self._busy, *self._idle]
        self._busy.clear()
        self._idle.clear()
        for worker in workers:
            worker.kill()

    def _hand_out(self) -> None:
        while self._waiting and len(self._busy) < self.workers:
            job = self._waiting.popleft()
            worker = self._idle.pop() if self._idle else Worker()
            self._busy[worker] = job
            worker.give(job.function, job.argument)

    def _take(self, worker: Worker) -> Outcome | None:
        """What came of a worker's job; None if the worker died and the job is tried once more."""
        job = self._busy.pop(worker)
        try:
            value, error = worker.result()
        except EOFError:
            worker.kill()
            if id(job) in self._tried:
                return Outcome(job.key, error=WorkerDied())
            self._tried.add(id(job))
            self._waiting.append(job)
            return None
        self._idle.append(worker)
        return Outcome(job.key, value, error)


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
