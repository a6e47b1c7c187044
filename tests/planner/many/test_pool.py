"""Jobs are all done, whatever happens to the processes that do them."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from worker_jobs import die_always, die_once, double, pid_of, refuse

from audio.errors import ClipError
from planner.many.pool import Job, LocalPool, Outcome, WorkerDied


@pytest.fixture
def pool() -> Iterator[LocalPool]:
    made = LocalPool(2)
    yield made
    made.stop()


def run(pool: LocalPool, jobs: list[Job]) -> dict[Any, Outcome]:
    waiting, outcomes = list(jobs), {}
    until = time.monotonic() + 120
    while len(outcomes) < len(jobs):
        assert time.monotonic() < until
        while waiting and pool.room():
            pool.submit(waiting.pop(0))
        for outcome in pool.done():
            assert outcome.key not in outcomes
            outcomes[outcome.key] = outcome
    return outcomes


def jobs(function: Callable[[Any], Any], *arguments: Any) -> list[Job]:
    return [Job((function.__name__, a), function, a) for a in arguments]


def test_every_job_is_done_once(pool: LocalPool) -> None:
    outcomes = run(pool, jobs(double, *range(20)))

    assert {k[1]: o.value for k, o in outcomes.items()} == {n: 2 * n for n in range(20)}


def test_a_refusal_comes_back_with_its_parts(pool: LocalPool) -> None:
    (outcome,) = run(pool, jobs(refuse, "a.wav")).values()

    assert isinstance(outcome.error, ClipError)
    assert (outcome.error.what, outcome.error.where) == ("no sound", "a.wav")
    assert outcome.error.line() == "a.wav: no sound; export it again"


def test_a_killed_worker_loses_nothing(pool: LocalPool, tmp_path: Path) -> None:
    given = jobs(double, *range(4)) + jobs(die_once, str(tmp_path / "a")) + jobs(
        double, *range(4, 12)
    )  # fmt: skip

    outcomes = run(pool, given)

    assert all(o.error is None for o in outcomes.values())
    assert outcomes["die_once", str(tmp_path / "a")].value == "well"


def test_a_job_that_kills_its_worker_fails_alone(pool: LocalPool) -> None:
    given = jobs(double, *range(3)) + jobs(die_always, "x") + jobs(double, *range(3, 9))

    outcomes = run(pool, given)

    failed = {k for k, o in outcomes.items() if o.error is not None}
    assert failed == {("die_always", "x")}
    assert isinstance(outcomes["die_always", "x"].error, WorkerDied)


def test_stopping_ends_the_processes(pool: LocalPool) -> None:
    (outcome,) = run(pool, [Job("pid", pid_of, None)]).values()
    assert alive(outcome.value)

    pool.stop()

    assert not alive(outcome.value)


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True
