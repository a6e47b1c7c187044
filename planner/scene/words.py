"""Words of a line as they are counted and compared: bare, without the marks around them."""

from __future__ import annotations

from planner.scene.data import Line


def bare(text: str) -> str:
    """A word without the marks around it: `week.` is week."""
    return text.strip(" \t.,;:!?\"'()[]{}-–—…“”‘’«»¿¡") or text.strip()


def words_of(line: Line) -> tuple[str, ...]:
    """The words a line says, as the pronouncer counts them; none without `say`."""
    if line.say is None:
        return ()
    from audio.words.transcript import read_transcript

    return read_transcript(line.say).words
