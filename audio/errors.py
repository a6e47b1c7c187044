"""What can go wrong, said to the user in one line.

    LinebeatError                 exit 2: it could not be done
    |- ClipError                  a sound file that is missing, empty, silent or unreadable
    |- TranscriptError            a text that cannot be laid on the sound
    |- SceneError                 a scene file that says something impossible
    |- TableError                 poses, tracks or an intents table that cannot be read
    |- MovieError                 a movie that is missing, empty, without pictures or unreadable
    |- UsageError                 a command called with words that do not fit together
    `- OutputError                a file that could not be written

`what`, `where` and `mend` are kept apart so that a screen can place them; `str(error)` joins them
as `where: what; mend`. `ValueError` stays for programmers, `LinebeatError` is for users.
"""

from __future__ import annotations

from audio.shown import shown_line


class LinebeatError(Exception):
    """A mistake the user can mend: what is wrong, where it stands, how to mend it."""

    exit_code = 2

    def __init__(self, what: str, *, where: str = "", mend: str = "") -> None:
        self.what = what
        self.where = where
        self.mend = mend
        super().__init__(self.line())

    def line(self) -> str:
        """The error as one line, control characters made visible."""
        text = f"{self.where}: {self.what}" if self.where else self.what
        if self.mend:
            text = f"{text}; {self.mend}"
        return shown_line(text)


class ClipError(LinebeatError):
    """A sound file that is missing, empty, silent or unreadable."""


class TranscriptError(LinebeatError):
    """A text that cannot be laid on the sound."""


class SceneError(LinebeatError):
    """A scene file that says something impossible."""


class TableError(LinebeatError):
    """Poses, tracks or an intents table that cannot be read."""


class MovieError(LinebeatError):
    """A movie that is missing, empty, without pictures or unreadable."""


class UsageError(LinebeatError):
    """A command called with words that do not fit together."""


class OutputError(LinebeatError):
    """A file that could not be written."""
