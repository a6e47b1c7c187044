"""`linebeat read CLIP`: what is heard in a clip, as a table or JSON."""

from __future__ import annotations

from pathlib import Path

import click

from audio.errors import TranscriptError, UsageError
from audio.regular_file import read_regular
from planner.commands._shared import check_json, working, write_json

TEXT_BYTES_MAX = 20_000_000  # the words of a whole series have a fifth of that


@click.command("read")
@click.argument("clip", required=False)
@click.option("--say", "text", help="The words said in the clip.")
@click.option("--say-file", metavar="FILE", help="A text file with the words said.")
@click.option(
    "--sounds-like",
    multiple=True,
    metavar="WORD=PHONES",
    help='Phones of a word the dictionary lacks: "Tobin=T OW1 B IH0 N".',
)
@click.option("--language", default="en", metavar="CODE", help="en, es, de, fr, it...")
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
@click.option("--forget", is_flag=True, help="Remove all readings kept on this machine.")
def command(
    clip: str | None,
    text: str | None,
    say_file: str | None,
    sounds_like: tuple[str, ...],
    language: str,
    json_to: str | None,
    forget: bool,
) -> int:
    """What is heard in CLIP: words, stresses, glides, phrases, pauses, breaths."""
    if forget:
        return _forget()
    if clip is None:
        raise UsageError("no clip named", mend="linebeat read line.wav --say 'the words'")
    if text is not None and say_file is not None:
        raise UsageError("--say and --say-file are both given", mend="give one of them")
    if json_to:
        check_json(json_to)
    said = text if say_file is None else read_text(say_file)
    from audio.read_voice import read_file

    with working(f"listening to {Path(clip).name}"):
        reading = read_file(clip, text=said, sounds_like=_pairs(sounds_like), language=language)
    if json_to:
        from audio.reading_json import to_json

        write_json(to_json(reading), json_to)
    else:
        from planner.told.reading_text import print_reading

        print_reading(reading)
    return 0


def read_text(path: str) -> str:
    """A transcript file's text. Raises TranscriptError if it is missing or no text."""
    try:
        return read_regular(path, TEXT_BYTES_MAX).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TranscriptError("not a UTF-8 text", where=path, mend="save it as UTF-8") from error
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or str(error)
        raise TranscriptError(said, where=path, mend="name a text file") from error


def _pairs(given: tuple[str, ...]) -> dict[str, str]:
    pairs = {}
    for entry in given:
        word, mark, phones = entry.partition("=")
        if not mark or not word.strip() or not phones.strip():
            raise UsageError(
                f'--sounds-like "{entry}" is no pair', mend="write WORD=PHONES: Tobin=T OW1 B IH0 N"
            )
        pairs[word.strip()] = phones.strip()
    return pairs


def _forget() -> int:
    from audio import store

    click.echo(f"forgot {store.empty()} readings")
    return 0
