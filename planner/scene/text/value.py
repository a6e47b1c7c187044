"""A value of a scene file with its name and place, read as the type that is wanted.

Every scalar is text until asked for as a number, a range, seconds... What does not fit raises
SceneError: `file:line: what; mend`. Frame and word ranges are inclusive at both ends; seconds are
written with their unit, so that no number can be taken for the other.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from audio.errors import SceneError
from planner.scene.text.nodes import Node
from planner.told.wording import nearest

_NOTHING: Mapping[str, str] = MappingProxyType({})
NAME_MAX = 120  # characters; longer names break every table
_WHOLE = re.compile(r"[+-]?[0-9]{1,7}")  # frames up to 9,999,999: four days at 24
FRAME_MAX = 9_999_999  # of seven digits
_DIGITS = re.compile(r"[+-]?[0-9]+")
_RANGE = re.compile(r"([+-]?[0-9]{1,7})(?:\s*[-\u2013]\s*([+-]?[0-9]{1,7}))?")
_SECONDS = r"([0-9]{1,6}(?:\.[0-9]{1,400})?|\.[0-9]{1,400})\s*s"  # a tiny float has many digits
_MOMENT = re.compile(_SECONDS)
_SPAN = re.compile(_SECONDS + r"\s*[-\u2013]\s*" + _SECONDS)
_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,9}(?:\.[0-9]{0,400})?|\.[0-9]{1,400})")
_CLOCK = re.compile(r"[0-9]+(?:[:;][0-9.]+)+")
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True, slots=True)
class Value:
    """A node, the file it stands in, and what messages call it ("strength of beat 2")."""

    file: str
    node: Node
    name: str

    def wrong(self, what: str, mend: str) -> SceneError:
        """The error to raise at this place."""
        return SceneError(what, where=f"{self.file}:{self.node.line_no}", mend=mend)

    def _unfit(self, kind: str, mend: str) -> SceneError:
        if self.node.kind != "scalar":
            return self.wrong(f"{self.name} is a {self.node.kind}, not {kind}", mend)
        if not self.node.text.strip():
            return self.wrong(f"{self.name} is empty", mend)
        return self.wrong(f'{self.name}: "{_short(self.node.text)}" is not {kind}', mend)

    # Collections -------------------------------------------------------------------------------

    def fields(
        self, known: Collection[str], *, needed: Iterable[str] = (),
        values_of: Mapping[str, str] = _NOTHING,
    ) -> dict[str, Value]:  # fmt: skip
        """The entries of a map with fixed keys, by key; `values_of` shows what a needed one may
        hold (" 24")."""
        if self.node.kind != "map":
            raise self._unfit("a set of key: value entries", f"known keys: {', '.join(known)}")
        values = {}
        for key, node in self.node.pairs:
            if key.text not in known:
                raise Value(self.file, key, "").wrong(
                    f'unknown key "{_short(key.text)}"{self._of()}', nearest(key.text, known)
                )
            values[key.text] = Value(self.file, node, f"{key.text}{self._of()}")
        for name in needed:
            if name not in values or values[name].node.empty:
                mend = f"add {name}:{values_of.get(name, '')}"
                raise self.wrong(f"{self.name or 'the scene'} has no {name}", mend)
        return values

    def _of(self) -> str:
        return f" of {self.name}" if self.name else ""

    def entries(self) -> list[tuple[Value, Value]]:
        """The entries of a map with keys of the user's own: (key, value)."""
        if self.node.empty:
            return []
        if self.node.kind != "map":
            raise self._unfit("a set of key: value entries", "write it as {key: value}")
        return [
            (
                Value(self.file, key, f"a key of {self.name}"),
                Value(self.file, node, f"{_short(key.text)} of {self.name}"),
            )
            for key, node in self.node.pairs
        ]

    def items(self, label: str | None = None) -> list[Value]:
        """The entries of a list; `label` names them in messages ("beat" gives "beat 2")."""
        if self.node.empty:
            return []
        if self.node.kind != "list":
            raise self._unfit("a list", "write it as [a, b], or a line with a dash each")
        stem = label or f"entry of {self.name}"
        return [
            Value(self.file, node, f"{stem} {number}")
            for number, node in enumerate(self.node.items, start=1)
        ]

    # Scalars -----------------------------------------------------------------------------------

    def text(self) -> str:
        """The text as it stands, maybe empty."""
        if self.node.kind != "scalar":
            raise self._unfit("a text", "put it in quotes if it is meant as text")
        if any(unicodedata.category(c) == "Cs" for c in self.node.text):
            raise self.wrong(f"{self.name} has half a character (a lone surrogate)", "delete it")
        return self.node.text

    def word(self) -> str:
        """A name: not empty, on one line, no control characters, no spaces around."""
        text = self.text().strip()
        if not text:
            raise self._unfit("a name", "write one")
        if len(text) > NAME_MAX:
            raise self.wrong(
                f"{self.name} has {len(text)} characters", f"keep names under {NAME_MAX}"
            )
        if any(unicodedata.category(c) in ("Cc", "Zl", "Zp") for c in text):
            raise self.wrong(f"{self.name} has control characters or line breaks", "delete them")
        return text

    def one_of(self, known: Collection[str], kind: str) -> str:
        """A name that must be a known one."""
        text = self.word()
        if text not in known:
            raise self.wrong(f'unknown {kind} "{_short(text)}"', nearest(text, known))
        return text

    def _scalar(self) -> str:
        return self.text().strip()

    def whole(self, low: int, high: int = 9_999_999) -> int:
        """A whole number between low and high, both included."""
        text = self._scalar()
        if not _WHOLE.fullmatch(text):
            raise self._unfit("a whole number", _number_mend(text))
        if not low <= int(text) <= high:
            span = f"from {low} up" if high == 9_999_999 else f"from {low} to {high}"
            raise self.wrong(f"{self.name} is {int(text)}", f"give a whole number {span}")
        return int(text)

    def frame(self) -> int:
        """A frame number of the scene's own."""
        text = self._scalar()
        if not _WHOLE.fullmatch(text):
            if _DIGITS.fullmatch(text):
                raise self.wrong(f"{self.name} is {_short(text)}, out of range",
                                 f"frames run from -{FRAME_MAX} to {FRAME_MAX}")  # fmt: skip
            raise self._unfit("a frame", _frame_mend(text))
        return int(text)

    def range(self, unit: str) -> tuple[int, int]:
        """First and last, both included: "1-4", or "3" for one alone. unit : "word", "frame"."""
        text = self._scalar()
        match = _RANGE.fullmatch(text)
        example = "1-4" if unit == "word" else "1001-1040"
        if not match:
            raise self._unfit(f"a range of {unit}s", f"write it as {example}")
        first, last = int(match[1]), int(match[2] if match[2] is not None else match[1])
        if last < first:
            raise self.wrong(f"{self.name} ends before it begins ({text})", f"write {last}-{first}")
        return first, last

    def number(self, low: float, high: float, example: str) -> float:
        """A decimal number between low and high, both included."""
        text = self._scalar()
        if not _DECIMAL.fullmatch(text):
            raise self._unfit("a number", f"write one such as {example}")
        if not low <= float(text) <= high:
            raise self.wrong(
                f"{self.name} is {text}, outside {low:g} to {high:g}",
                f"write one such as {example}",
            )
        return float(text)

    def moment_s(self) -> float | None:
        """Seconds, as in "0.5s"; None if it is not written as seconds."""
        match = _MOMENT.fullmatch(self._scalar())
        return float(match[1]) if match else None

    def span_s(self) -> tuple[float, float]:
        """Start and end in seconds, as in "0.0s-2.4s"; the end lies after the start."""
        text = self._scalar()
        match = _SPAN.fullmatch(text)
        if not match:
            raise self._unfit("a stretch of seconds", "write it as 0.0s-2.4s")
        start_s, end_s = float(match[1]), float(match[2])
        if end_s <= start_s:
            raise self.wrong(
                f"{self.name} does not end after it begins ({text})", "write the earlier time first"
            )
        return start_s, end_s

    def yes(self) -> bool:
        """Yes or no."""
        text = self._scalar().lower()
        if text not in _YES_NO:
            raise self._unfit("yes or no", "write true or false")
        return _YES_NO[text]


def decimal(text: str) -> float | None:
    """The number a text is, or None: plain decimals only, no exponents."""
    return float(text) if _DECIMAL.fullmatch(text) else None


def _short(text: str) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= 60 else flat[:57] + "..."


def _frame_mend(text: str) -> str:
    if _CLOCK.fullmatch(text):
        return "a clock time is no frame; write a frame such as 1001, or seconds such as 1.5s"
    if _DECIMAL.fullmatch(text):
        return f"write a whole frame such as 1001, or {text}s if seconds are meant"
    return "write a frame such as 1001"


def _number_mend(text: str) -> str:
    if _DECIMAL.fullmatch(text):
        return f"write {round(float(text))}"
    return "write digits only, such as 24"
