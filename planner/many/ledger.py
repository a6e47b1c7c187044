"""What was done before: a line a scene or clip, in a file of its own for every folder.

An entry holds only while every file it depends on has the same size and times and linebeat's own
code is the same; so a second run looks at no sound. Entries are added one by one while a run goes
on, so a run that is stopped, or killed, loses nothing that was finished. A line that cannot be
read is left out; a ledger that cannot be written costs time and nothing else.

Failures are not kept: they are tried again each time.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import IO, Any

from audio import store
from audio.errors import OutputError
from planner.files.safe_write import safe_write
from planner.many.find import Facts, file_facts
from planner.many.rows import LineRow, row_from_json

VERSION = 1


@dataclass(frozen=True, slots=True)
class Entry:
    """What came of an item, and the facts of the files it came from."""

    facts: Mapping[str, Facts | None]
    rows: tuple[LineRow, ...]

    def to_line(self, name: str) -> str:
        """The entry as a line of the file."""
        facts = {n: list(f) if f else None for n, f in self.facts.items()}
        data = {"item": name, "facts": facts, "rows": [r.to_json() for r in self.rows]}
        return json.dumps(data, separators=(",", ":")) + "\n"


@cache
def code_fingerprint() -> str:
    """A digest of linebeat's own code and tables: a changed ear or rule does all anew."""
    digest = hashlib.sha256(store.code_fingerprint().encode())
    folder = Path(__file__).resolve().parent.parent
    for path in sorted(folder.rglob("*")):
        if path.suffix in (".py", ".yaml"):
            digest.update(str(path.relative_to(folder)).encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


class Ledger:
    """The entries of one folder, by name; `None` as path keeps nothing on disk."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self._head = json.dumps({"linebeat_many": VERSION, "code": code_fingerprint()}) + "\n"
        self._entries: dict[str, Entry] = {}
        self._file: IO[str] | None = None
        self._lines = 0
        self._read()

    @classmethod
    def of(cls, root: Path) -> Ledger:
        """The ledger of a folder, in the readings' store."""
        folder = store.store_folder()
        if folder is None:
            return cls(None)
        name = hashlib.sha256(os.fsencode(os.path.realpath(root))).hexdigest()[:32]
        return cls(folder / store.LEDGERS / f"{name}.jsonl")

    def valid(self, root: Path, names: Iterable[str]) -> dict[str, Entry]:
        """The entries of these items whose files are as they were then."""
        seen: dict[str, Facts | None] = {}

        def same(name: str, facts: Facts | None) -> bool:
            if name not in seen:
                seen[name] = file_facts(root, name)
            return seen[name] == facts

        return {
            name: entry for name in names
            if (entry := self._entries.get(name)) is not None
            and all(same(n, f) for n, f in entry.facts.items())
        }  # fmt: skip

    def add(self, name: str, entry: Entry) -> None:
        """Keep an entry, on disk at once."""
        self._entries[name] = entry
        if self.path is None:
            return
        try:
            if self._file is None:
                self._file = self._opened(self.path)
            self._file.write(entry.to_line(name))
            self._file.flush()
            self._lines += 1
        except (OSError, OutputError):  # a full disk, a folder without the right to write
            self.path = None

    def close(self, names: Sequence[str]) -> None:
        """Drop what is not among these names, if it is worth it, and close the file."""
        if self._file is not None:
            with contextlib.suppress(OSError):  # what a full disk did not take is written on close
                self._file.close()
            self._file = None
        kept = {n: self._entries[n] for n in names if n in self._entries}
        if self.path is None or self._lines <= len(kept) + len(kept) // 4 + 8:
            return
        text = self._head + "".join(entry.to_line(n) for n, entry in kept.items())
        try:
            safe_write(self.path, text)
        except OutputError:
            return

    def _opened(self, path: Path) -> IO[str]:
        path.parent.mkdir(parents=True, exist_ok=True)
        if not self._lines:  # none yet, or another version's
            safe_write(path, self._head)
            self._lines = 1
        file = path.open("a+", encoding="utf-8", newline="")
        if not self._ends_whole(path):
            file.write("\n")
        return file

    @staticmethod
    def _ends_whole(path: Path) -> bool:
        """Whether the last line was written to its end."""
        with path.open("rb") as file:
            file.seek(-1, os.SEEK_END)
            return file.read(1) == b"\n"

    def _read(self) -> None:
        if self.path is None:
            return
        try:
            lines = self.path.read_bytes().split(b"\n")
        except OSError:
            return
        if lines[0] + b"\n" != self._head.encode():
            return
        self._lines = len(lines) - 1
        for line in lines[1:]:
            try:
                data = json.loads(line)
                self._entries[data["item"]] = _entry(data)
            except (
                ValueError,
                TypeError,
                LookupError,
                ArithmeticError,
                AttributeError,
                RecursionError,
            ):
                continue  # half a line of a run that was killed


def _entry(data: dict[str, Any]) -> Entry:
    facts: dict[str, Facts | None] = {
        str(n): (int(f[0]), int(f[1]), int(f[2])) if f else None for n, f in data["facts"].items()
    }
    return Entry(facts, tuple(row_from_json(row) for row in data["rows"]))
