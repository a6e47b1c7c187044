"""Any sound file, as one voice clip: mono, float32, 16 kHz for analysis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

ANALYSIS_RATE_HZ = 16_000  # the acoustic model's rate; speech cues used here lie below 8 kHz


@dataclass(frozen=True, slots=True)
class VoiceClip:
    """A clip ready to be read.

    samples : shape (n,), float32, mono, at ANALYSIS_RATE_HZ, not writeable.
    sample_rate_hz : the file's own rate. sha256 : of the file's bytes and the part taken.
    """

    file: str
    samples: NDArray[np.float32]
    sample_rate_hz: int
    sha256: str
    warnings: tuple[str, ...] = ()

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / ANALYSIS_RATE_HZ
