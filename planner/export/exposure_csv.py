"""The exposure sheet as CSV: a row a frame, for a spreadsheet.

Columns: frame, timecode, footage, then for each character held, action, key poses, dialogue,
stress, tone (what the pitch does), pitch_st (semitones from the speaker's median), beat, a column
a part, notes.
With several characters each name stands before the column's.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.export.exposure import Sheet, Sound, exposure_sheets
from planner.export.facts import ShotFacts, shown_frame
from planner.export.plain import Cell, csv_text

_SILENCE = Sound()


def exposure_csv(facts: ShotFacts) -> str:
    """The sheets of all characters shown, side by side."""
    sheets = exposure_sheets(facts)
    several = len(facts.scene.characters) > 1
    held = "held" if not several else "{who}: held"
    header = ["frame", "timecode", "footage"]
    for sheet in sheets:
        before = f"{sheet.who}: " if several else ""
        names = ["action", "key poses", "dialogue", "stress", "tone", "pitch_st", "beat"]
        names += [c.name for c in sheet.parts] + ["notes"]
        header += [held.format(who=sheet.who), *(before + name for name in names)]
    return csv_text(header, _rows(facts, sheets))


def _rows(facts: ShotFacts, sheets: tuple[Sheet, ...]) -> Iterator[list[Cell]]:
    for frame in range(facts.frames[0], facts.frames[1] + 1):
        row: list[Cell] = [
            frame,
            shown_frame(facts.clock, frame, "timecode"),
            shown_frame(facts.clock, frame, "feet"),
        ]
        for sheet in sheets:
            row += _cells(sheet, frame)
        yield row


def _cells(sheet: Sheet, frame: int) -> list[Cell]:
    sound = sheet.sound.get(frame, _SILENCE)
    dialogue = sound.dialogue or ("|" if sound.voiced else "")
    return [
        "held" if frame in sheet.held else "",
        sheet.action.word(frame), sheet.poses.word(frame), dialogue,
        sound.stress, sound.tone, sound.semitones,
        sheet.beats.word(frame), *(c.word(frame) for c in sheet.parts), sheet.notes.word(frame),
    ]  # fmt: skip
