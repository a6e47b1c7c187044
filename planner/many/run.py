"""A folder from beginning to end: what is known is taken, the rest is worked off, failures told.

Every line of a scene is a job of its own, so that one long scene keeps all workers busy; when its
lines are heard, the scene is checked in a job of its own. Rows come out sorted by file and line,
the same whatever the number of workers and whatever was known before.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

from audio.errors import LinebeatError, UsageError
from audio.reading import VoiceReading
from planner.many.find import (
    Item,
    Listed,
    list_files,
    loose_clips,
    scene_item,
    without_root,
)
from planner.many.ledger import Entry, Ledger
from planner.many.pool import Job, Outcome, Pool, WorkerDied
from planner.many.rows import LineRow, checked_rows, heard_row, named
from planner.many.work import CheckJob, HearJob, check, hear
from planner.scene import Line


class Watch(Protocol):
    """Who is told how it goes."""

    def begin(self, files: int, sizes: int) -> None:
        """So many files are to be done, of so many bytes of sound."""

    def heard(self, size: int) -> None:
        """A sound of so many bytes is done."""

    def failed(self, text: str) -> None:
        """A file failed, with the reason."""


@dataclass(frozen=True, slots=True)
class ManyResult:
    """All rows, sorted; how many files were known before; links that were not followed."""

    rows: tuple[LineRow, ...]
    scenes: int
    clips: int
    known: int
    links: int

    @property
    def failed(self) -> int:
        """Files with something that could not be read."""
        return len({row.file for row in self.rows if row.problem})

    @property
    def wanting(self) -> int:
        """Scenes whose key poses were found wanting."""
        return len({row.file for row in self.rows if row.check == "wanting"})


@dataclass(slots=True)
class _Open:
    """An item on its way: the readings or errors of its lines so far (clip: line 0)."""

    item: Item
    expected: int
    heard: dict[int, VoiceReading] = field(default_factory=dict)
    errors: dict[int, str] = field(default_factory=dict)

    @property
    def complete(self) -> bool:
        return len(self.heard) + len(self.errors) == self.expected


def run_many(root: Path, make_pool: Callable[[], Pool], watch: Watch) -> ManyResult:
    """Do all that is below a folder.

    make_pool : called only if there is anything left to do. Raises UsageError if the folder holds
    nothing, KeyboardInterrupt as it comes; what was finished is then in the ledger.
    """
    listed = list_files(root)
    if not listed.scenes and not listed.clips and not listed.problems:
        raise UsageError("no scene and no clip below it", where=str(root), mend="name another")
    ledger = Ledger.of(root)
    done: dict[str, tuple[LineRow, ...]] = {}
    for name, what in listed.problems:
        done[name] = (_failed_row(name, what, watch),)
    try:
        known, left = _what_is_left(root, listed, ledger)
        done.update(known)
        if left:
            _work_off(root, left, make_pool, ledger, watch, done)
    finally:
        ledger.close(list(done))
    rows = sorted((r for rows in done.values() for r in rows), key=lambda r: (r.file, r.line or 0))
    links, scenes = listed.links, len(listed.scenes)
    clips = len(done) - scenes - len(listed.problems)
    return ManyResult(tuple(rows), scenes, clips, len(known), links)


def _what_is_left(
    root: Path, listed: Listed, ledger: Ledger
) -> tuple[dict[str, tuple[LineRow, ...]], list[Item]]:
    """The rows that are known, and the items to be done; a scene's clips are not done twice."""
    valid = ledger.valid(root, listed.scenes)
    left: list[Item] = []
    used: set[str] = set()
    for name in listed.scenes:
        if name in valid:
            sounds = list(valid[name].facts)
        else:
            item = scene_item(root, name)
            sounds = list(item.facts)
            left.append(item)
        used.update(os.path.realpath(root / sound) for sound in sounds)
    clips = list(loose_clips(root, listed, used))
    valid |= ledger.valid(root, [item.name for item in clips])
    left += [item for item in clips if item.name not in valid]
    return {name: entry.rows for name, entry in valid.items()}, left


def _work_off(
    root: Path, items: Sequence[Item], make_pool: Callable[[], Pool], ledger: Ledger,
    watch: Watch, done: dict[str, tuple[LineRow, ...]],
) -> None:  # fmt: skip
    """Do the items, each into the ledger and among what is done as soon as it is finished."""
    sizes = sum(_size(item) for item in items)
    watch.begin(len(items), sizes)
    work = _Work(root, watch)
    pool = make_pool()
    try:
        for item, rows in work.off(items, pool):
            done[item.name] = rows
            if not any(row.problem for row in rows):
                ledger.add(item.name, Entry(item.facts, rows))
    finally:
        pool.stop()


def _size(item: Item) -> int:
    return sum(facts[0] for facts in item.facts.values() if facts)


def _failed_row(name: str, what: str, watch: Watch) -> LineRow:
    watch.failed(what if what.startswith(name) else f"{name}: {what}")
    return LineRow(name, problem=what)


class _Work:
    """Jobs out of items, and rows out of what came of them."""

    def __init__(self, root: Path, watch: Watch) -> None:
        self.root = root
        self.watch = watch
        self.open: dict[str, _Open] = {}
        self.checks: deque[Job] = deque()
        self.sizes: dict[tuple[str, int], int] = {}

    def off(self, items: Sequence[Item], pool: Pool) -> Iterator[tuple[Item, tuple[LineRow, ...]]]:
        """Every item with its rows, in the order in which they are finished."""
        for item in items:
            if item.problem:
                yield item, (_failed_row(item.name, item.problem, self.watch),)
            elif item.scene is not None and not item.scene.lines:
                yield item, ()
        jobs = self._jobs(items)
        following = next(jobs, None)
        while following is not None or self.open:
            while (self.checks or following is not None) and pool.room():
                if self.checks:
                    pool.submit(self.checks.popleft())
                elif following is not None:
                    pool.submit(following)
                    following = next(jobs, None)
            for outcome in pool.done():
                yield from self._take(outcome)

    def _jobs(self, items: Sequence[Item]) -> Iterator[Job]:
        """A job a line; the item is open from its first job on."""
        for item in items:
            if item.problem or (item.scene is not None and not item.scene.lines):
                continue
            lines = item.scene.lines if item.scene else (None,)
            self.open[item.name] = _Open(item, len(lines))
            for line in lines:
                key = (item.name, line.number if line else 0)
                self.sizes[key] = _size(item) // len(lines)
                yield Job(key, hear, self._hear_job(item, line))

    def _hear_job(self, item: Item, line: Line | None) -> HearJob:
        if line is None:
            text = item.text_name
            return HearJob(
                str(self.root / item.name), None, str(self.root / text) if text else None
            )
        sound = str((self.root / item.name).parent / line.sound)
        return HearJob(sound, line.say, None, dict(line.sounds_like), line.clip_s, line.language)

    def _take(self, outcome: Outcome) -> Iterator[tuple[Item, tuple[LineRow, ...]]]:
        name, number = outcome.key
        state = self.open[name]
        if number is None:
            yield self._close(state, outcome)
            return
        self.watch.heard(self.sizes.pop(outcome.key))
        if outcome.error is not None:
            state.errors[number] = self._said(outcome.error)
        else:
            state.heard[number] = outcome.value
        if not state.complete:
            return
        if state.item.scene is None or state.errors:
            yield self._close(state, None)
        else:
            scene_file = str(self.root / name)
            self.checks.append(Job((name, None), check, CheckJob(scene_file, dict(state.heard))))

    def _close(self, state: _Open, checked: Outcome | None) -> tuple[Item, tuple[LineRow, ...]]:
        """The rows of an item that is done."""
        del self.open[state.item.name]
        rows = tuple(self._line_rows(state))
        if checked is None:
            return state.item, rows
        if checked.error is not None:
            what = self._said(checked.error)
            return state.item, (*rows, _failed_row(state.item.name, what, self.watch))
        scene, result = checked.value
        return state.item, checked_rows(rows, scene, result) if result is not None else rows

    def _line_rows(self, state: _Open) -> Iterator[LineRow]:
        name, scene = state.item.name, state.item.scene
        lines: Sequence[Line | None] = scene.lines if scene else (None,)
        for line in lines:
            number = line.number if line else 0
            if number in state.heard:
                yield heard_row(name, state.heard[number], line)
                continue
            what = state.errors[number]
            told = f"line {number}: {what}" if line else what
            row = _failed_row(name, told, self.watch)
            yield replace(named(row, line), problem=what, sound=line.sound if line else name)

    def _said(self, error: BaseException) -> str:
        """What went wrong, in one line."""
        if isinstance(error, LinebeatError):
            return without_root(error, self.root)
        if isinstance(error, WorkerDied):
            return "the process reading it was ended, by the system or for want of memory"
        if isinstance(error, MemoryError):
            return "not enough memory for it"
        kind = type(error).__name__
        return f"linebeat itself failed on it ({kind}: {' '.join(str(error).split())[:200]})"
