"""Intents: what wanting something does to movement. The table a studio edits.

Way in: `load_intents()` reads the shipped `intents.yaml` once; `scene_intents(scene)` adds the
scene's own; `blend(intent, neutral, strength)` gives the intent as it is played.

Conventions: lengths in milliseconds (`_ms`), shares (`_ratio`) and sizes (`_size`) 0..1, rates a
second or ten. Every field is optional: an intent takes what it leaves out from the one it is
`based_on`, in the end from neutral. Strength blends lengths and rates from neutral's, and turns
choices (directions, paths) over at 0.3; sizes are not blended but scaled by 0.5 + 0.5 * strength,
so that more strength never makes anything smaller. All values are common practice of the trade.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from audio.errors import LinebeatError, SceneError, TableError
from planner.plan.carriers import CARRIERS, weights_of
from planner.plan.ease import EASES
from planner.told.wording import nearest

if TYPE_CHECKING:
    from planner.scene import Scene

TURNING_STRENGTH = 0.3  # share; under it choices stay neutral's

CHOICES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "accent_direction": ("down", "up", "forward", "back", "side"),
        "head_answers_tone": ("follow", "oppose", "stay"),
        "path": ("dip", "side", "snap"),
        "tilt": ("toward", "away", "none"),
        "lead": ("head", "chest", "hips", "eyes"),
        "lean": ("toward", "away", "up", "down", "none"),
        "brow": ("up", "down", "none"),
        "gaze": ("hold", "away", "down", "up"),
        "gaze_back": ("accent", "end"),
        "answer": ("moves", "freezes"),
        "gesture_way": ("toward", "up", "down", "in", "open", "aside"),
        "gesture_kind": ("stroke", "rest"),
        "off_beat": ("none", "late look", "held tilt"),
        "thought_change": ("blink", "breath", "weight shift"),
        "hold": ("ease on", "toward", "return"),
        "ease": tuple(EASES),
        "accent_other": ("down", "up", "forward", "back", "side"),
        "head": ("low", "level", "high", "back"),
        "shoulders": ("up", "wide", "soft", "level"),
        "pose_arrives": ("before", "with", "after"),
    }
)


@dataclass(frozen=True, slots=True)
class Intent:
    """Movement qualities of an intent; see `intents.yaml` for what each does."""

    name: str
    reason: str
    attitude: str
    energy_ratio: float
    pose_size: float
    accent_size: float
    head_move_size: float
    gesture_size: float
    brow_size: float
    tilt_degrees: float
    anticipation_ratio: float
    overshoot_ratio: float
    hold_drift_ratio: float
    blink_rate_ratio: float
    lead_head_ms: float
    lead_body_ms: float
    early_head_ms: float
    late_head_ms: float
    early_body_ms: float
    late_body_ms: float
    attack_ms: float
    recover_ms: float
    pose_ms: float
    anticipation_ms: float
    follow_lag_ms: float
    overshoot_ms: float
    settle_ms: float
    reaction_ms: float
    accents_per_s: float
    moves_per_s: float
    gestures_per_10_s: float
    accent_direction: str
    head_answers_tone: str
    path: str
    tilt: str
    lead: str
    lean: str
    gesture: str
    brow: str
    gaze: str
    gaze_back: str
    answer: str
    gesture_way: str
    gesture_kind: str
    off_beat: str
    thought_change: str
    hold: str
    ease: str
    parts_together: bool
    wants: str
    carriers: str
    accent_other: str
    head: str
    shoulders: str
    pose_arrives: str
    stares: bool
    stay_ratio: float
    freeze_ms: float
    strength: float = 1.0

    def sized(self, size: float) -> float:
        """A size (0..1) at the strength played; more strength never gives less."""
        return min(1.0, size * (0.5 + 0.5 * self.strength))

    def __hash__(self) -> int:
        """Cheap, since plans are kept under their intents; equal intents have equal hashes."""
        return hash((self.name, self.strength))

    @property
    def said(self) -> str:
        """Name and strength as people read them."""
        return f"{self.name} {self.strength:g}"


Raw = Mapping[str, Mapping[str, object]]
_Error = Callable[[str], tuple[type[LinebeatError], str]]

_FIELDS = {f.name: f for f in fields(Intent) if f.name not in ("name", "strength")}
_NUMBERS = tuple(n for n, f in _FIELDS.items() if f.type == "float")
# Blended by strength. Sizes and ratios are not: they would make a gentle intent shrink.
_BLENDED = tuple(n for n in _NUMBERS if n.endswith(("_ms", "_per_s", "_per_10_s")))
_BOOLS = ("parts_together", "stares")
_CHOSEN = (*CHOICES, "gesture", "carriers", *_BOOLS)
_RANGES = {"_ms": (0.0, 3000.0), "_size": (0.0, 1.0), "_ratio": (0.0, 3.0),
           "_degrees": (0.0, 45.0), "_s": (0.0, 20.0)}  # fmt: skip


@lru_cache(maxsize=1)
def load_intents() -> Mapping[str, Intent]:
    """The shipped table, by name. Read once."""
    import yaml

    text = Path(__file__).with_name("intents.yaml").read_text(encoding="utf-8")
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return table_of(yaml.load(text, Loader=loader), file="intents.yaml")


def table_of(raw: Raw, *, file: str) -> Mapping[str, Intent]:
    """A table from its raw form. Raises TableError naming the intent and the field."""
    if not isinstance(raw, Mapping) or "neutral" not in raw:
        raise TableError("an intents table needs the intent neutral", where=file)
    return _resolved({}, raw, error=lambda name: (TableError, f"{file}: {name}"))


def scene_intents(scene: Scene) -> Mapping[str, Intent]:
    """The shipped intents with the scene's own added or changed. Raises SceneError."""
    if not scene.intents:
        return load_intents()
    return _resolved(
        load_intents(),
        scene.intents,
        error=lambda name: (SceneError, scene.where(f"intents/{name}")),
    )


def intent_named(scene: Scene, known: Mapping[str, Intent], name: str, place: str) -> Intent:
    """The intent of that name, or a SceneError that names the nearest."""
    if name not in known:
        raise SceneError(
            f'unknown intent "{name}"', where=scene.where(place), mend=nearest(name, sorted(known))
        )
    return known[name]


def _resolved(known: Mapping[str, Intent], raw: Raw, *, error: _Error) -> Mapping[str, Intent]:
    """Intents of `raw` on top of `known`, each after the one it is based on."""
    table = dict(known)
    done: set[str] = set()
    for name in raw:
        _settle(name, (), known, raw, table, done, error)
    return MappingProxyType(table)


def _settle(
    name: str, waiting: tuple[str, ...], known: Mapping[str, Intent], raw: Raw,
    table: dict[str, Intent], done: set[str], error: _Error,
) -> Intent:  # fmt: skip
    """One intent, after what it is based on. `waiting` are those that are based on it."""
    if name in known and (name not in raw or name in waiting):
        return known[name]
    if name not in raw:
        kind, where = error(waiting[-1])
        raise kind(f'based_on names no intent "{name}"', where=where,
                   mend=nearest(name, sorted({**known, **raw})))  # fmt: skip
    if name in waiting:
        kind, where = error(name)
        raise kind("based_on goes round in a circle", where=where, mend="base one on neutral")
    if name not in done:
        entry = raw[name] or {}
        base_name = str(entry.get("based_on", name if name in known else "neutral"))
        first = name == "neutral" and not known
        base = None if first else _settle(
            base_name, (*waiting, name), known, raw, table, done, error
        )  # fmt: skip
        table[name] = _changed(base, name, entry, error(name))
        done.add(name)
    return table[name]


def _changed(
    base: Intent | None,
    name: str,
    entry: Mapping[str, object],
    error: tuple[type[LinebeatError], str],
) -> Intent:
    """An intent with the fields of `entry` in place of those of `base`."""
    kind, where = error
    given: dict[str, object] = {}
    for key, value in entry.items():
        if key == "based_on":
            continue
        if key not in _FIELDS:
            raise kind(f'intent {name} has no quality "{key}"', where=where,
                       mend=nearest(key, _FIELDS))  # fmt: skip
        given[key] = _typed(name, key, value, error)
    if base is None:
        missing = [key for key in _FIELDS if key not in given]
        if missing:
            raise kind(f"intent {name} lacks {', '.join(missing)}", where=where)
        return Intent(name=name, **given)  # type: ignore[arg-type]
    return replace(base, name=name, **given)  # type: ignore[arg-type]


def _typed(name: str, key: str, value: object, error: tuple[type[LinebeatError], str]) -> object:
    """A field's value as its type, from what YAML or a scene's text gave."""
    kind, where = error
    if key in _NUMBERS:
        ending = next(e for e in _RANGES if key.endswith(e))
        low, high = _RANGES[ending]
        try:
            number = float(str(value))
        except ValueError:
            number = float("nan")
        if not low <= number <= high:
            raise kind(f"intent {name}: {key} is {value}", where=where,
                       mend=f"give a number between {low:g} and {high:g}")  # fmt: skip
        return number
    text = str(value).strip()
    if key in _BOOLS:
        if text.lower() not in ("true", "false", "yes", "no"):
            raise kind(f"intent {name}: {key} is {value}", where=where, mend="say yes or no")
        return text.lower() in ("true", "yes")
    if key == "carriers":
        _check_carriers(name, text, error)
    if key in CHOICES and text not in CHOICES[key]:
        raise kind(f'intent {name}: {key} is "{text}"', where=where,
                   mend=f"choose from {', '.join(CHOICES[key])}")  # fmt: skip
    return text


def _check_carriers(name: str, text: str, error: tuple[type[LinebeatError], str]) -> None:
    """Refuses weights that name no carrier."""
    kind, where = error
    try:
        weights_of(text)
    except ValueError as wrong:
        raise kind(f"intent {name}: carriers: {wrong}", where=where,
                   mend=f"say it like head 3, brow 1; choose from {', '.join(CARRIERS)}"
                   ) from None  # fmt: skip


@lru_cache(maxsize=512)
def blend(intent: Intent, neutral: Intent, strength: float) -> Intent:
    """The intent as played at a strength (0..1)."""
    mixed: dict[str, object] = {
        key: getattr(neutral, key) + (getattr(intent, key) - getattr(neutral, key)) * strength
        for key in _BLENDED
    }
    if strength < TURNING_STRENGTH:
        mixed |= {key: getattr(neutral, key) for key in _CHOSEN}
    return replace(intent, strength=strength, **mixed)  # type: ignore[arg-type]
