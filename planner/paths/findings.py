"""A finding: what was measured on which frames, how far from what is usual, and how sure.

`certain` means beyond the usual range by more than the measurement's own error. Every text says
what was measured and that a choice can overrule it: a finding is a remark, never a verdict.
Findings of one kind on points of one rigid part (nose, chin and head) at the same time become one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

KINDS = (
    "straight-path", "same-way-back", "one-axis", "arc-break", "locked-parts",
    "opposed-on-one-frame", "rushed-settle", "drift", "frozen", "jitter", "pop", "dead-wrist",
    "fingers-stop-with-hand", "foreshortened", "even-spacing", "twins",
)  # fmt: skip
# About how often a certain finding named what had been planted, each kind of fault being planted
# once into some seconds of natural motion. Set by hand from an earlier state of the bench
# (tests.benchmarks.natural), not fitted since; kinds that are not planted there have OTHERS, which
# is assumed. PERHAPS is for what is not certain.
CERTAINTY = {
    "pop": 0.98, "jitter": 0.95, "frozen": 0.95, "drift": 0.9, "straight-path": 0.9,
    "locked-parts": 0.75, "rushed-settle": 0.7,
}  # fmt: skip
OTHERS, PERHAPS = 0.7, 0.1
OPEN = None  # an end of a usual range that is not limited

Usual = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class WordSpan:
    """A word of a line on the scene's frames (inclusive). `line` and `word` count from 1."""

    line: int
    word: int
    text: str
    first_frame: int
    last_frame: int


@dataclass(frozen=True, slots=True)
class BeatSpan:
    """A beat on the scene's frames (inclusive). `beat` counts from 0."""

    beat: int
    who: str
    intent: str
    first_frame: int
    last_frame: int


@dataclass(frozen=True, slots=True)
class Finding:
    """One remark on the tracks. `measured` and `usual` have the same names; ranges inclusive.

    `tracks` are the points it was read from; `line`, `words` (first and last) and `beat` tie it to
    the scene where the scene's words are known.
    """

    kind: str
    who: str
    frames: tuple[int, int]
    parts: tuple[str, ...]
    measured: Mapping[str, float | str]
    usual: Mapping[str, Usual]
    certain: bool
    text: str
    tracks: tuple[str, ...] = ()
    line: int | None = None
    words: tuple[int, int] | None = None
    beat: int | None = None
    weight: float = field(default=0.0, compare=False)

    def __post_init__(self) -> None:
        # measures come out of arrays; JSON and `is` want Python's own
        object.__setattr__(self, "certain", bool(self.certain))
        plain = {k: v if isinstance(v, str) else float(v) for k, v in self.measured.items()}
        object.__setattr__(self, "measured", MappingProxyType(plain))
        object.__setattr__(self, "usual", MappingProxyType(dict(self.usual)))

    @property
    def certainty(self) -> float:
        """How often such a finding is right, 0 to 1; see CERTAINTY."""
        return CERTAINTY.get(self.kind, OTHERS) if self.certain else PERHAPS

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a finding."""
        return {
            "kind": self.kind, "who": self.who or None, "frames": list(self.frames),
            "parts": list(self.parts),
            "measured": {name: tidy(value) for name, value in self.measured.items()},
            "usual": {
                name: [None if end is None else tidy(float(end)) for end in limits]
                for name, limits in self.usual.items()
            },
            "certain": self.certain, "text": self.text, "tracks": list(self.tracks),
            "line": self.line, "words": list(self.words) if self.words else None,
            "beat": self.beat, "certainty": self.certainty,
        }  # fmt: skip


def frozen_map(values: Mapping[str, Any]) -> Mapping[str, Any]:
    """A mapping that cannot be written to."""
    return MappingProxyType(dict(values))


def tidy(value: float | str) -> float | str:
    """A measure with four significant digits, as JSON wants it."""
    return value if isinstance(value, str) else float(f"{value:.4g}")


def on_frames(frames: tuple[int, int]) -> str:
    """ "on frame 1016" or "on frames 1016-1030"."""
    first, last = frames
    return f"on frame {first}" if first == last else f"on frames {first}-{last}"


def overlap(a: tuple[int, int], b: tuple[int, int]) -> int:
    """Number of frames two ranges share (negative: how far apart they lie)."""
    return min(a[1], b[1]) - max(a[0], b[0]) + 1


def merge_rigid(findings: Iterable[Finding]) -> list[Finding]:
    """One finding for the points of one part that show the same at the same time."""
    merged: list[Finding] = []
    for finding in sorted(findings, key=lambda f: (f.kind, f.who, f.parts, f.frames)):
        last = merged[-1] if merged else None
        if last is not None and _same_thing(last, finding):
            keep, other = (last, finding) if last.weight >= finding.weight else (finding, last)
            tracks = tuple(dict.fromkeys(last.tracks + finding.tracks))
            merged[-1] = replace(keep, tracks=tracks, certain=keep.certain or other.certain)
        else:
            merged.append(finding)
    return sorted(merged, key=lambda f: (f.frames, KINDS.index(f.kind), f.parts))


def _same_thing(a: Finding, b: Finding) -> bool:
    if (a.kind, a.who, a.parts) != (b.kind, b.who, b.parts) or a.tracks == b.tracks:
        return False
    shorter = min(f.frames[1] - f.frames[0] + 1 for f in (a, b))
    return overlap(a.frames, b.frames) >= 0.5 * shorter or abs(a.frames[0] - b.frames[0]) <= 1


def tie(finding: Finding, words: Sequence[WordSpan], beats: Sequence[BeatSpan]) -> Finding:
    """The finding with the words spoken meanwhile and the beat it falls in, told in its text."""
    spoken = [w for w in words if overlap(finding.frames, (w.first_frame, w.last_frame)) > 0]
    beat = max(
        (b for b in beats if not finding.who or b.who == finding.who),
        key=lambda b: overlap(finding.frames, (b.first_frame, b.last_frame)),
        default=None,
    )
    if beat is not None and overlap(finding.frames, (beat.first_frame, beat.last_frame)) <= 0:
        beat = None
    told = ""
    if spoken:
        line = spoken[0].line
        said = [w for w in spoken if w.line == line]
        told = f' (on "{" ".join(w.text for w in said)}", line {line}'
        finding = replace(finding, line=line, words=(said[0].word, said[-1].word))
    if beat is not None:
        told += f"{', ' if told else ' ('}beat {beat.beat + 1}, {beat.intent}"
        finding = replace(finding, beat=beat.beat)
    if not told:
        return finding
    place = on_frames(finding.frames)
    return replace(finding, text=finding.text.replace(place, f"{place}{told})", 1))
