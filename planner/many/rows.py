"""A row a line: what was heard in it and how its key poses stand, as plain values.

Conventions: seconds, hertz, syllables; tempo is that of the speaker (syllables over the time they
sound), density is strong stresses over the time between the first and the last of each phrase
(pauses left out). The check's columns are None where no pose was checked.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from audio.reading import VoiceReading
from planner.check.result import CheckResult, Finding, PoseVerdict
from planner.scene import Line, Scene


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of a scene (`line` from 1), a clip alone (`line` None), or what failed."""

    file: str
    line: int | None = None
    id: str = ""
    who: str = ""
    sound: str = ""
    said: str = ""
    length_s: float | None = None
    talk_s: float | None = None
    words: int | None = None
    syllables: int | None = None
    tempo_syllables_per_s: float | None = None
    strong_stresses: int | None = None
    light_stresses: int | None = None
    strong_per_s: float | None = None
    phrases: int | None = None
    pauses: int | None = None
    pitch_median_hz: float | None = None
    pitch_range_semitones: float | None = None
    check: str = ""
    main_accents: int | None = None
    main_landed: int | None = None
    early: int | None = None
    late: int | None = None
    findings: int | None = None
    warnings: tuple[str, ...] = ()
    problem: str = ""

    def to_json(self) -> dict[str, Any]:
        """Plain values, for the ledger."""
        return asdict(self)


def row_from_json(data: Mapping[str, Any]) -> LineRow:
    """The inverse of `to_json`. Raises TypeError, KeyError or ValueError if it is not one."""
    known = {f.name for f in fields(LineRow)}
    if set(data) != known:
        raise ValueError("not a row of this version")
    return LineRow(**{**data, "warnings": tuple(data["warnings"])})


def heard_row(file: str, reading: VoiceReading, line: Line | None = None) -> LineRow:
    """The row of a line that was heard, nothing checked yet."""
    talk_s = sum(p.end_s - p.start_s for p in reading.phrases)
    strong = sum(s.degree == "strong" for s in reading.syllables)
    speaker = reading.speaker
    voiced = speaker.pitch_low_hz > 0
    reach = 12 * math.log2(speaker.pitch_high_hz / speaker.pitch_low_hz) if voiced else None
    row = LineRow(
        file, sound=file, said=" ".join(w.text for w in reading.words),
        length_s=round(reading.clip.duration_s, 3), talk_s=round(talk_s, 3),
        words=len(reading.words) if reading.words else None, syllables=len(reading.syllables),
        tempo_syllables_per_s=round(speaker.syllables_per_s, 2), strong_stresses=strong,
        light_stresses=sum(s.degree == "light" for s in reading.syllables),
        strong_per_s=round(strong / talk_s, 3) if talk_s > 0 else None,
        phrases=len(reading.phrases), pauses=len(reading.pauses),
        pitch_median_hz=round(speaker.pitch_median_hz, 1) if voiced else None,
        pitch_range_semitones=round(reach, 1) if reach is not None else None,
        warnings=reading.warnings,
    )  # fmt: skip
    return named(row, line)


def named(row: LineRow, line: Line | None) -> LineRow:
    """The row with what the scene says of its line."""
    if line is None:
        return row
    said = " ".join((line.say or "").split())
    return replace(row, line=line.number, id=line.id, who=line.who, sound=line.sound, said=said)


def checked_rows(rows: Sequence[LineRow], scene: Scene, check: CheckResult) -> tuple[LineRow, ...]:
    """The rows of a scene with its check laid over them; a finding counts where it begins."""
    poses: dict[int, list[PoseVerdict]] = defaultdict(list)
    findings: dict[int, list[Finding]] = defaultdict(list)
    for verdict in check.poses:
        if verdict.stress is not None:
            poses[verdict.stress.line].append(verdict)
    for finding in check.findings:
        findings[line_at(scene, finding.frames[0])].append(finding)
    missed = Counter(s.line for s in check.missed if s.main)
    return tuple(
        _checked(row, poses[row.line or 0], findings[row.line or 0], missed[row.line or 0])
        for row in rows
    )


def _checked(
    row: LineRow, poses: Sequence[PoseVerdict], findings: Sequence[Finding], missed: int
) -> LineRow:
    early, late = (sum(v.verdict == word for v in poses) for word in ("early", "late"))
    mains = {v.stress.syllable for v in poses if v.stress and v.stress.main}
    landed = {v.stress.syllable for v in poses
              if v.stress and v.stress.main and v.verdict == "lands"}  # fmt: skip
    wanting = bool(early or late or missed or any(f.certain for f in findings))
    return replace(
        row, check="wanting" if wanting else "ok", main_accents=missed + len(mains),
        main_landed=len(landed), early=early, late=late, findings=len(findings),
    )  # fmt: skip


def line_at(scene: Scene, frame: int) -> int:
    """The line spoken at a frame, or the last one begun before it; the first before all."""
    begun = [(scene.clock.frame_at(x.at_s), -x.number) for x in scene.lines]
    before = [b for b in begun if b[0] <= frame]
    return -max(before)[1] if before else -min(begun)[1]
