"""What a worker process does: hear one clip, or check one scene whose lines were heard.

Values in, values out, all of them picklable, so that a worker may be a process or another machine
that sees the same files. A mistake in a file leaves as its LinebeatError.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass, field

from audio.errors import TranscriptError
from audio.reading import VoiceReading
from audio.regular_file import TooLargeError, read_regular
from planner.check.result import CheckResult
from planner.scene import Scene

TEXT_BYTES_MAX = 1_000_000  # an hour of talk has about 60,000 letters
_TURN = threading.Lock()  # a cluster's worker may run several threads; the aligner is for one


@dataclass(frozen=True, slots=True)
class HearJob:
    """A sound to be heard: with `text`, or with the words in `text_file`, or without."""

    sound: str
    text: str | None = None
    text_file: str | None = None
    sounds_like: Mapping[str, str] = field(default_factory=dict)
    part_s: tuple[float, float] | None = None
    language: str = "en"


def hear(job: HearJob) -> VoiceReading:
    """The reading of a sound, from the store if it is there.

    Raises ClipError or TranscriptError for what cannot be read.
    """
    from audio.read_voice import read_file

    text = job.text if job.text_file is None else read_words(job.text_file)
    with _TURN:
        return read_file(
            job.sound,
            text=text,
            sounds_like=job.sounds_like,
            part_s=job.part_s,
            language=job.language,
        )


def read_words(path: str) -> str | None:
    """The text of a transcript file, None if there is nothing in it.

    Raises TranscriptError if it cannot be read, is no UTF-8 text, or far too long.
    """
    try:
        text = read_regular(path, TEXT_BYTES_MAX).decode("utf-8-sig").strip()
    except TooLargeError as error:
        raise TranscriptError(
            f"{error.strerror}, so not the words of a line",
            where=path, mend="keep the words of this clip alone",
        ) from None  # fmt: skip
    except OSError as error:
        raise TranscriptError(
            f"cannot be read: {error.strerror}", where=path, mend="check its permissions"
        ) from None
    except UnicodeDecodeError:
        raise TranscriptError("not a UTF-8 text", where=path, mend="save it as UTF-8") from None
    return text or None


@dataclass(frozen=True, slots=True)
class CheckJob:
    """A scene to be checked. `scene` is its file; readings by line number, from 1."""

    scene: str
    readings: Mapping[int, VoiceReading]


def check(job: CheckJob) -> tuple[Scene, CheckResult | None]:
    """The scene and its check, None if it has no key poses; planning it is part of the test.

    Raises SceneError for a scene that contradicts its readings.
    """
    from planner.check.check_poses import check_poses
    from planner.plan.make import make_plan
    from planner.scene_file import read_scene
    from planner.shot import shot_of

    scene = read_scene(job.scene)
    shot = shot_of(scene, job.readings)
    plan = make_plan(shot)
    if not scene.poses:
        return scene, None
    return scene, check_poses(shot, plan=plan)
