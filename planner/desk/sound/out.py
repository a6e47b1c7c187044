"""Sound: what is being played, where its cursor is, and the device that plays it.

`Playing` is plain data and arithmetic; `SoundOut` speaks to `sounddevice` (an extra). Without it,
or without a device, nothing is heard and the cursor still runs in time.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from audio.errors import LinebeatError
from planner.frames import Clock
from planner.scene import Scene

Samples = NDArray[np.float32]
STEP_SOUND_S = 0.08  # sounded at a step of the cursor: one frame alone is a click


@dataclass(frozen=True, slots=True)
class Playing:
    """Frames being played, inclusive. `since_s`: when it began, on the caller's clock."""

    first: int
    last: int
    over_and_over: bool
    speed: float
    since_s: float

    def frame_at(self, now_s: float, clock: Clock) -> int | None:
        """The frame that sounds now; None when it is over."""
        played_s = max(0.0, now_s - self.since_s) * self.speed
        count = self.last - self.first + 1
        index = clock.rate.index_at(played_s)
        if self.over_and_over:
            return self.first + index % count
        return self.first + index if index < count else None


class Out(Protocol):
    """What plays samples."""

    def start(self, samples: Samples, rate_hz: int, *, over_and_over: bool) -> float:
        """Play from now on; returns the delay until it is heard, in seconds."""

    def stop(self) -> None:
        """Be silent."""


class SoundOut:
    """The default device of `sounddevice`. Raises LinebeatError if there is none."""

    def __init__(self) -> None:
        try:
            import sounddevice

            sounddevice.check_output_settings()
        except ImportError:
            raise LinebeatError(
                "no sound: sounddevice is missing", mend="pip install 'linebeat[play]'"
            ) from None
        except Exception as problem:  # noqa: BLE001 - PortAudioError, and OSError where it is absent
            reason = str(problem).splitlines()[0] if str(problem) else "no device"
            raise LinebeatError(f"no sound: {reason}") from None
        self._device = sounddevice

    def start(self, samples: Samples, rate_hz: int, *, over_and_over: bool) -> float:
        """Play from now on; returns the delay until it is heard, in seconds."""
        self._device.play(samples, rate_hz, loop=over_and_over)
        latency = self._device.get_stream().latency
        return float(latency if isinstance(latency, float) else latency[-1])

    def stop(self) -> None:
        """Be silent."""
        self._device.stop()


class Silence:
    """No device: plays nothing, in time."""

    def start(self, samples: Samples, rate_hz: int, *, over_and_over: bool) -> float:
        """Nothing to hear, at once."""
        return 0.0

    def stop(self) -> None:
        """Silent already."""


@dataclass(frozen=True, slots=True)
class Mix:
    """All lines of a scene in one track, mono, from the scene's first frame on."""

    samples: Samples
    rate_hz: int

    @classmethod
    def silent(cls) -> Mix:
        """Nothing to hear."""
        return cls(np.zeros(1, dtype=np.float32), 16_000)

    def between(self, start_s: float, end_s: float) -> Samples:
        """The part from start_s to end_s, filled with silence where nothing is."""
        first, last = round(start_s * self.rate_hz), round(end_s * self.rate_hz)
        part = np.zeros(max(1, last - first), dtype=np.float32)
        low, high = max(0, first), min(last, len(self.samples))
        if low < high:
            part[low - first : high - first] = self.samples[low:high]
        return part


def mix_scene(scene: Scene) -> Mix:
    """Lay the sounds of all lines on one track. Raises LinebeatError for a sound that is gone."""
    from audio.clip import ANALYSIS_RATE_HZ, load_clip

    placed: list[tuple[int, Samples]] = []
    for line in scene.lines:
        start_s, end_s = line.clip_s or (None, None)
        clip = load_clip(Path(scene.folder) / line.sound, start_s=start_s, end_s=end_s)
        placed.append((round(line.at_s * ANALYSIS_RATE_HZ), clip.samples))
    length = max((at + len(samples) for at, samples in placed), default=1)
    track = np.zeros(max(1, length), dtype=np.float32)
    for at, samples in placed:
        low = max(0, at)
        track[low : at + len(samples)] += samples[low - at :]
    return Mix(np.clip(track, -1.0, 1.0), ANALYSIS_RATE_HZ)


def slowed(samples: Samples, speed: float) -> Samples:
    """Samples stretched to 1/speed of their length at the same pitch (phase vocoder of librosa)."""
    if speed == 1.0 or len(samples) < 2:
        return samples
    import librosa

    stretched: Samples = librosa.effects.time_stretch(samples, rate=speed).astype(np.float32)
    return stretched
