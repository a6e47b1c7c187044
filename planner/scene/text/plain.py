"""A scene as plain values with the keys of the file: the reverse of `planner.scene.text.read`.

Values that are the default are left out, so that two scenes that mean the same are equal here
however they were written. List entries stand in the order of the file, one for one.
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.scene import (
    Beat,
    Cue,
    Decision,
    Heard,
    KeyPose,
    Line,
    Meant,
    Note,
    Passes,
    Planted,
    Scene,
)
from planner.scene.text.yaml_text import Bare, Block, Plain, decimal_text, entry

# Written with a line an entry; all others are short enough for one line.
SPREAD = frozenset(
    (
        "lines",
        "beats",
        "cues",
        "intents",
        "planted",
        "decisions",
        "poses",
        "tracks",
        "notes",
        "meant",
    )
)


def scene_plain(scene: Scene) -> dict[str, Plain]:
    """Every section that says something, in the order of the format's description."""
    clock = scene.clock
    sections: dict[str, Plain] = {
        "linebeat": 1,
        "title": scene.title,
        "rate": Bare(str(clock.rate)),
        "first_frame": clock.first_frame,
        "step": clock.step,
        "language": "" if scene.language == "en" else scene.language,
        "shot": _range(scene.shot) if scene.shot else "",
        "handles": scene.handles,
        "characters": scene.characters,
        "stage": dict(scene.stage),
        "lines": tuple(_line(scene, line) for line in scene.lines),
        "beats": tuple(_beat(scene, beat) for beat in scene.beats),
        "cues": tuple(_cue(cue) for cue in scene.cues),
        "intents": {name: _loose(values) for name, values in scene.intents.items()},
        "planted": tuple(_planted(planted) for planted in scene.planted),
        "decisions": tuple(_decision(decision) for decision in scene.decisions),
        "poses": tuple(_pose(pose) for pose in scene.poses),
        "tracks": {k: {"who": v.who, "part": v.part} for k, v in scene.tracks.items()},
        "tolerance": {part: tuple(limits) for part, limits in scene.tolerance.items()},
        "passes": _passes(scene.passes),
        "notes": tuple(_note(note) for note in scene.notes),
        "meant": tuple(_meant(meant) for meant in scene.meant),
    }
    usual = {"first_frame": 1, "step": 1, "handles": 0}
    return {
        key: value
        for key, value in sections.items()
        if value != usual.get(key) and value not in ("", (), {})
    }


def scene_to_text(scene: Scene) -> str:
    """A whole scene file, without comments."""
    lines: list[str] = []
    for key, value in scene_plain(scene).items():
        lines += section_lines(key, value)
    return "\n".join(lines) + "\n"


def section_lines(key: str, value: Plain, *, column: int = 0) -> list[str]:
    """The lines of one section in the file's usual layout."""
    return entry(key, value, column=column, block=key in SPREAD)


def _filled(values: Mapping[str, Plain]) -> dict[str, Plain]:
    """Without what is not said."""
    return {key: value for key, value in values.items() if value not in (None, "", (), {})}


def _range(frames: tuple[int, int] | None) -> Bare | None:
    return Bare(f"{frames[0]}-{frames[1]}") if frames else None


def _words(words: tuple[int, int] | None) -> Bare | int | None:
    return words[0] if words and words[0] == words[1] else _range(words)


def _span(span_s: tuple[float, float]) -> Bare:
    return Bare(f"{decimal_text(span_s[0])}s-{decimal_text(span_s[1])}s")


def _strength(strength: float) -> float | None:
    return None if strength == 1.0 else strength


def _line(scene: Scene, line: Line) -> Plain:
    return Block(
        _filled(
            {
                "id": None if line.id == str(line.number) else line.id,
                "who": line.who,
                "sound": line.sound,
                "clip": _span(line.clip_s) if line.clip_s else None,
                "at": _at(scene, line),
                "say": line.say,
                "sounds_like": dict(line.sounds_like),
                "heard": _heard(line.heard),
                "step": line.step,
                "language": "" if line.language == scene.language else line.language,
            }
        )
    )


def _at(scene: Scene, line: Line) -> Bare | int:
    """A frame where the line begins on one and was written so, else seconds."""
    frame = scene.clock.frame_at(line.at_s)
    exact = scene.clock.scene_s(frame) == line.at_s
    return (
        frame if exact and not line.at_text.endswith("s") else Bare(decimal_text(line.at_s) + "s")
    )


def _heard(heard: Heard) -> Plain:
    words = {word: _span(span_s) for word, span_s in heard.words_s.items()}
    return _filled({"stress": heard.stress, "unstress": heard.unstress, "words": words})


def _beat(scene: Scene, beat: Beat) -> Plain:
    speaker = scene.lines[beat.line - 1].who if beat.line else None
    return Block(
        _filled(
            {
                "line": beat.line,
                "words": _words(beat.words),
                "said": beat.said,
                "frames": _range(beat.frames),
                "who": None if beat.who == speaker else beat.who,
                "intent": beat.intent,
                "strength": _strength(beat.strength),
                "toward": beat.toward,
                "note": beat.note,
                "play": beat.play,
            }
        )
    )


def _cue(cue: Cue) -> Plain:
    hears = Bare(f"{cue.line}/{cue.word}")
    strength = _strength(cue.strength)
    return _filled(
        {
            "who": cue.who,
            "hears": hears,
            "said": cue.said,
            "intent": cue.intent,
            "strength": strength,
        }
    )


def _planted(planted: Planted) -> Plain:
    return {"who": planted.who, "part": planted.part, "frames": _range(planted.frames)}


def _decision(decision: Decision) -> Plain:
    return _filled(
        {
            "of": decision.of,
            "word": decision.word,
            "do": decision.do,
            "by": decision.by,
            "frames": decision.frames,
            "step": decision.step,
            **{key: _loose(value) for key, value in decision.extra.items()},
        }
    )


def _pose(pose: KeyPose) -> Plain:
    values = {"frame": pose.frame, "who": pose.who, "part": pose.part, "name": pose.name}
    return _filled(values)


def _passes(passes: Passes) -> Plain:
    names = None if passes.names == Passes().names else passes.names
    return _filled({"names": names, "done": dict(passes.done)})


def _note(note: Note) -> Plain:
    said = {"frames": _range(note.frames), "who": note.who, "by": note.by, "line": note.line}
    values = _filled({**said, "words": _words(note.words)})
    return values | {"text": note.text, "done": note.done}


def _meant(meant: Meant) -> Plain:
    values = {"kind": meant.kind, "who": meant.who, "part": meant.part,
              "frames": _range(meant.frames), "line": meant.line}  # fmt: skip
    return _filled({**values, "words": _words(meant.words), "why": meant.why})


def _loose(value: object) -> Plain:
    if isinstance(value, Mapping):
        return {str(key): _loose(entry_) for key, entry_ in value.items()}
    if isinstance(value, (tuple, list)):
        return tuple(_loose(item) for item in value)
    return value
