"""Where linebeat keeps what it knows by itself: the user's own folders, on each system its own.

Cache: what can be had again (readings). State: what cannot (work not saved yet). A user without
a home, as in a container, has neither: nothing is kept then, and nothing fails.
Source of the places: platformdirs (XDG Base Directory on Linux, Apple's and Microsoft's own).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

NAME = "linebeat"


def cache_folder() -> Path | None:
    """Where readings are kept, or None for a user without a home."""
    from platformdirs import user_cache_dir

    return _placed(user_cache_dir)


def state_folder() -> Path | None:
    """Where unsaved work is kept if not beside its scene, or None for a user without a home."""
    from platformdirs import user_state_dir

    return _placed(user_state_dir)


def _placed(find: Callable[..., str]) -> Path | None:
    try:
        folder = Path(find(NAME, appauthor=False))
    except (OSError, RuntimeError, KeyError):  # no entry for the user
        return None
    return folder if folder.is_absolute() else None  # a "~" that stands for nothing
