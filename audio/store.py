"""Readings kept on disk, by content: the sound's bytes, the text, the settings, our own code.

A reading is found again only if nothing that could change it has changed. Files are written to a
temporary name and renamed, so two processes may read and write one clip at once: the last one
wins, both are right. A damaged file is a miss, never an error, and so is a store that cannot be
written. Bounded: beyond LIMIT_BYTES the readings longest unused go first.

`LINEBEAT_STORE` names another folder; an empty value keeps nothing.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from audio.folders import cache_folder
from audio.reading import VoiceReading
from audio.reading_json import pack, unpack
from audio.regular_file import TooLargeError, open_regular

LIMIT_BYTES = 500_000_000  # about a hundred hours of readings at 5 MB an hour of talk
LEDGERS = "ledgers"  # a folder in the store: what is known of whole folders of sounds
TRIM_EVERY = 64  # writes between two looks at the size; a look walks the folder


def store_folder() -> Path | None:
    """Where readings are kept, or None if nothing is to be kept."""
    named = os.environ.get("LINEBEAT_STORE")
    if named is not None:
        return Path(named) if named else None
    return cache_folder()


@cache
def code_fingerprint() -> str:
    """A digest of this package's own code and tables: a changed ear hears anew."""
    digest = hashlib.sha256()
    folder = Path(__file__).parent
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix != ".pyc":
            digest.update(path.name.encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


def sound_digest(path: str | Path) -> bytes:
    """SHA-256 of a file's bytes, read in pieces.

    Raises OSError if it cannot be read, is no ordinary file, or larger than any sound that is read.
    """
    from audio.clip import SOUND_BYTES_MAX

    with open_regular(path) as file:
        if os.fstat(file.fileno()).st_size > SOUND_BYTES_MAX:
            raise TooLargeError(errno.EFBIG, "larger than any voice line", str(path))
        return hashlib.file_digest(file, "sha256").digest()


def key_of(sound: bytes, text: str | None, settings: Mapping[str, object]) -> str:
    """The name a reading is kept under; `sound` is the digest of the sound's bytes."""
    digest = hashlib.sha256(sound)
    rest = json.dumps([text, sorted(settings.items()), code_fingerprint()], default=str)
    digest.update(rest.encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


def _place(folder: Path, key: str) -> Path:
    return folder / key[:2] / f"{key}.json"


def find(key: str) -> VoiceReading | None:
    """The reading kept under that name, or None."""
    folder = store_folder()
    if folder is None:
        return None
    path = _place(folder, key)
    try:
        reading = unpack(json.loads(path.read_bytes()))
        os.utime(path)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    return reading


def keep(key: str, reading: VoiceReading) -> bool:
    """Keep a reading. False if the store cannot be written; that costs time, nothing else."""
    folder = store_folder()
    if folder is None:
        return False
    path = _place(folder, key)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".new")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(pack(reading), file, separators=(",", ":"))
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError:
        return False
    if int(key[:4], 16) % TRIM_EVERY == 0:
        trim(folder)
    return True


def trim(folder: Path, *, limit_bytes: int = LIMIT_BYTES) -> int:
    """Remove the readings longest unused until the rest fits. Returns how many went."""
    files = []
    for path in folder.glob("??/*.json"):
        try:
            facts = path.stat()
        except OSError:  # another process was quicker
            continue
        files.append((facts.st_mtime_ns, facts.st_size, path))
    excess = sum(size for _, size, _ in files) - limit_bytes
    gone = 0
    for _, size, path in sorted(files, key=lambda entry: entry[0]):
        if excess <= 0:
            break
        path.unlink(missing_ok=True)
        excess -= size
        gone += 1
    return gone


def empty() -> int:
    """Forget every kept reading, and what was summed up of them. Returns how many there were."""
    folder = store_folder()
    if folder is None or not folder.is_dir():
        return 0
    for ledger in folder.glob(f"{LEDGERS}/*.jsonl"):
        ledger.unlink(missing_ok=True)
    return trim(folder, limit_bytes=-1)
