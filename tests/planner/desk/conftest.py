"""A small scene whose readings and plan are written by hand, so that no analysis moves a test.

Two characters, two lines. The words are our own; pitches are made from semitones a syllable.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from audio.reading import (
    ClipFacts,
    Glide,
    LoudnessTrack,
    Pause,
    Phrase,
    PitchTrack,
    Speaker,
    Syllable,
    VoiceEvent,
    VoiceReading,
    Word,
    frozen_array,
)  # fmt: skip
from planner.desk.planned import Planned
from planner.desk.state import Desk, open_desk, with_plan
from planner.desk.verdicts import PoseVerdict, Problem, Verdicts
from planner.frames import Clock, FrameRate
from planner.plan.suggestion import ChartMark, LinePlan, Plan, Stress, Suggestion, Why
from planner.scene import Beat, Line, Note, Scene

if TYPE_CHECKING:
    from planner.desk.app import DeskApp

STEP_S = 0.005
MEDIAN_HZ = 200.0
Spoken = tuple[str, int, float, float, float, str]  # text, word, start, end, semitones, degree

KETTLE: list[Spoken] = [
    ("The", 0, 0.10, 0.25, 1.0, "none"), ("ket", 1, 0.25, 0.45, 5.0, "strong"),
    ("tle", 1, 0.45, 0.60, 3.0, "none"), ("sang", 2, 0.60, 0.95, 1.0, "light"),
    ("be", 3, 1.40, 1.50, -1.0, "none"), ("fore", 3, 1.50, 1.75, 0.0, "light"),
    ("I", 4, 1.75, 1.85, -1.0, "none"), ("did", 5, 1.85, 2.20, -4.0, "strong"),
]  # fmt: skip
NO_IT_DID_NOT: list[Spoken] = [
    ("It", 0, 0.15, 0.25, 0.0, "none"), ("did", 1, 0.25, 0.40, 1.0, "none"),
    ("not", 2, 0.40, 0.90, 4.0, "strong"),
]  # fmt: skip


def reading_of(spoken: list[Spoken], duration_s: float, pause: tuple[float, float] | None,
               strongest: list[int], *, file: str) -> VoiceReading:  # fmt: skip
    """A reading whose pitch is flat within each syllable."""
    hz = np.full(int(duration_s / STEP_S), np.nan)
    syllables, words = [], {}
    for text, word, start, end, semitones, degree in spoken:
        hz[int(start / STEP_S) : int(end / STEP_S)] = MEDIAN_HZ * 2 ** (semitones / 12)
        syllables.append(
            Syllable(text, word, start, start + 0.03, end, 1, 0.5, degree)  # type: ignore[arg-type]
        )
        first = words.get(word)
        words[word] = Word((first.text if first else "") + text,
                           first.start_s if first else start, end, (), 0.9)  # fmt: skip
    cuts = [0, *([next(i for i, s in enumerate(spoken) if s[2] >= pause[1] - 0.01)]
                 if pause else []), len(spoken)]  # fmt: skip
    phrases = tuple(
        Phrase(
            spoken[a][2],
            spoken[b - 1][3],
            (spoken[a][1], spoken[b - 1][1]),
            (a, b - 1),
            s,
            "fall",
            -3.0,
        )
        for a, b, s in zip(cuts, cuts[1:], strongest, strict=False)
    )
    events = (VoiceEvent("breath", pause[0] + 0.05, pause[1] - 0.02, 0.8),) if pause else ()
    flat = frozen_array(np.zeros(len(hz)))
    return VoiceReading(
        ClipFacts(file, duration_s, 16000, "0" * 64), Speaker(MEDIAN_HZ, 150.0, 280.0, 4.0),
        tuple(words.values()), tuple(syllables),
        (Glide(spoken[-1][2], spoken[-1][3], -3.0, "fall", True, (len(spoken) - 1,)),),
        phrases, (Pause(*pause),) if pause else (), events,
        PitchTrack(STEP_S, 0.0, frozen_array(hz)), LoudnessTrack(STEP_S, 0.0, flat, flat), (),
    )  # fmt: skip


@pytest.fixture
def readings() -> dict[int, VoiceReading]:
    """By line number."""
    return {
        1: reading_of(KETTLE, 2.4, (0.95, 1.40), [1, 7], file="cook_01.wav"),
        2: reading_of(NO_IT_DID_NOT, 1.1, None, [2], file="guest_01.wav"),
    }


@pytest.fixture
def scene() -> Scene:
    """The scene of the readings: 24 frames a second, 1001-1120."""
    clock = Clock(FrameRate(Fraction(24)), 1001, 1)
    return Scene(
        title="Night Kitchen", clock=clock, characters=("cook", "guest"),
        lines=(
            Line(1, "kettle", "cook", "cook_01.wav", 0.0, "1001",
                 say="The kettle sang before I did"),
            Line(2, "not", "guest", "guest_01.wav", 2.5, "2.5s", say="It did not"),
        ),
        shot=(1001, 1120),
        beats=(
            Beat("teasing", "cook", 1, (1, 3), None, 0.7, "guest"),
            Beat("tender", "cook", 1, (4, 6), None, 0.5),
        ),
        notes=(Note((1030, 1034), "hold this longer", "cook", "lead"),),
    )  # fmt: skip


def suggestion(of: str, frames: tuple[int, int], hit: int | None, **more: object) -> Suggestion:
    """A suggestion whose id says its kind, part, line and anchor."""
    kind, part, line, _ = of.split("/")
    why = Why("main stress on \"ket\", 5.0 semitones up", "teasing answers down",
              "the head lands 2 frames ahead", "common practice")  # fmt: skip
    fields: dict[str, object] = {
        "who": "cook" if line == "kettle" else "guest", "line": 1 if line == "kettle" else 2,
        "text": "kettle", "size": 0.6, "direction": "", "path": "", **more,
    }  # fmt: skip
    return Suggestion(id=of, kind=kind, part=part, frames=frames, hit=hit, because=why,
                      **fields)  # type: ignore[arg-type] # fmt: skip


BASE = (
    suggestion("pose/whole/kettle/b1", (1001, 1006), 1006, text="teasing", beat=0),
    suggestion("anticipation/head/kettle/w2s1", (1003, 1006), 1005, direction="up"),
    suggestion("accent/head/kettle/w2s1", (1006, 1012), 1007, direction="down", path="dip",
               beat=0, rides_on="pose/whole/kettle/b1",
               timing_chart=(ChartMark(1006, 0.0, "key"), ChartMark(1007, 1.0, "key"))),
    suggestion("settle/head/kettle/w2s1", (1012, 1020), 1020),
    suggestion("hold/head/kettle/p1", (1020, 1034), None),
    suggestion("breath/chest/kettle/p1", (1025, 1033), 1031, direction="up"),
    suggestion("accent/head/kettle/w6s1", (1043, 1050), 1044, direction="down", beat=1),
    suggestion("pose/whole/not/b3", (1060, 1066), 1066, text="it did not"),
    suggestion("accent/head/not/w3s1", (1069, 1076), 1070, direction="up", path="dip"),
)  # fmt: skip


def fixed_plan(scene: Scene, *_: object) -> Planned:
    """The plan written by hand, with the scene's decisions applied to it."""
    kept, dropped = [], []
    for one in BASE:
        made = {d.do: d for d in scene.decisions if d.of == one.id}
        by = made["move"].by or 0 if "move" in made else 0
        first, last = one.frames[0] + by, one.frames[1] + by
        if "length" in made:
            last = first + (made["length"].frames or 1) - 1
        new = replace(one, frames=(first, last), hit=None if one.hit is None else one.hit + by,
                      decision=next(iter(made), None))  # fmt: skip
        (dropped if "drop" in made else kept).append(new)
    stresses = (Stress(1, "ket", 1007, "strong", True), Stress(7, "did", 1046, "strong", True))
    plan = Plan(
        "24", 1001, 1, (1001, 1120),
        (LinePlan(1, "kettle", "cook", (1001, 1058), stresses),
         LinePlan(2, "not", "guest", (1061, 1087), (Stress(2, "not", 1071, "strong", True),))),
        tuple(kept), tuple(dropped),
    )  # fmt: skip
    return Planned(scene, plan, fixed_verdicts(scene), None)


def fixed_verdicts(scene: Scene) -> Verdicts:
    """A pose lands from four frames before 1007 to one after; others are early or late."""
    verdicts, problems = [], []
    for pose in scene.poses:
        by = pose.frame - 1007
        name = "lands" if -4 <= by <= 1 else "early" if by < 0 else "late"
        verdicts.append(PoseVerdict(name, by, "ket", 1007, True))
        if name != "lands":
            problems.append(Problem((pose.frame, pose.frame), pose.who, name,
                                    f"{pose.part}: {verdicts[-1].text()}", True))  # fmt: skip
    return Verdicts(tuple(verdicts), tuple(problems), "a check written by hand")


@pytest.fixture
def planned() -> Callable[[Desk], Desk]:
    """Brings a desk's plan up to its scene, as the thread does."""

    def up_to_date(desk: Desk) -> Desk:
        made = fixed_plan(desk.scene)
        assert made.plan is not None
        return with_plan(desk, desk.scene, made.plan, made.verdicts)

    return up_to_date


@pytest.fixture
def desk(scene: Scene, readings: dict[int, VoiceReading]) -> Desk:
    """A desk on the small scene."""
    made = fixed_plan(scene)
    assert made.plan is not None
    return replace(open_desk(scene, readings, made.plan), verdicts=made.verdicts)


@pytest.fixture
def demo(tmp_path: Path, demo_scenes: Path) -> Path:
    """A copy of the demo scene that may be written to."""
    folder = tmp_path / "lost_umbrella"
    shutil.copytree(demo_scenes / "lost_umbrella", folder)
    return folder / "scene.yaml"


class Ear:
    """A sound device for tests: remembers what it was given."""

    def __init__(self) -> None:
        self.played: list[tuple[int, bool]] = []
        self.stops = 0

    def start(self, samples: np.ndarray, rate_hz: int, *, over_and_over: bool) -> float:
        self.played.append((len(samples), over_and_over))
        return 0.0

    def stop(self) -> None:
        self.stops += 1


@pytest.fixture
def scene_file(tmp_path: Path, scene: Scene) -> Path:
    """The small scene as a file, with a remark of the user's."""
    from planner.scene_file import scene_to_text

    path = tmp_path / "scene.yaml"
    path.write_text("# written by a person\n" + scene_to_text(scene), encoding="utf-8")
    return path


@pytest.fixture
def make_app(scene_file: Path, readings: dict[int, VoiceReading]) -> Callable[..., DeskApp]:
    """An app on the small scene's file; its plan is the one written by hand."""
    from planner.desk.app import DeskApp
    from planner.desk.on_disk import Keeper
    from planner.scene_file import read_scene_and_text

    def make(**more: object) -> DeskApp:
        scene, text = read_scene_and_text(scene_file)
        made = fixed_plan(scene)
        assert made.plan is not None
        desk = replace(open_desk(scene, readings, made.plan), verdicts=made.verdicts)
        app = DeskApp(
            desk, Keeper(scene_file, text), planner=fixed_plan, **{"look": "dark", **more}
        )  # type: ignore[arg-type]
        app.player.make_out = Ear
        return app

    return make
