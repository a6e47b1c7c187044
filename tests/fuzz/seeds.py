"""Small whole inputs of every kind, for the fuzzers to begin from."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_scenes" / "lost_umbrella"

BVH = """HIERARCHY
ROOT hips
{
 OFFSET 0 90 0
 CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
 JOINT chest
 {
  OFFSET 0 20 0
  CHANNELS 3 Zrotation Xrotation Yrotation
  End Site
  {
   OFFSET 0 25 0
  }
 }
}
MOTION
Frames: 3
Frame Time: 0.0416667
0 0 0 0 0 0 0 0 0
1 0 0 1 0 0 2 0 0
2 0 0 2 0 0 4 0 0
"""
TRACKS = "frame,clerk head.x,clerk head.y,clerk chest.x,clerk chest.y\n" + "".join(
    f"{1001 + k},{10 * np.sin(k / 4):.3f},{3 * np.cos(k / 4):.3f},{k},{k * k / 9:.2f}\n"
    for k in range(24)
)
POSES = 'frame,who,part,name\n1011,clerk,head,chin down\n1020,visitor,left hand,"up, open"\n'
TEXTS = (
    "That is the third umbrella this week.",
    "Dr. Tobin's 3 o'clock, $12.50 -- [sighs] I-I can't... (laughs) NASA's 21st caf\u00e9!",
    "\u201cWell\u2014\u201d don\u2019t 1984 e.g. rock'n'roll A.M. 3/4 50% &c @home",
)


def sounds() -> tuple[bytes, ...]:
    """A tenth of a second in several formats."""
    import soundfile

    tone = 0.3 * np.sin(np.arange(1600) / 9.0)
    made = []
    kinds = (("WAV", "PCM_16"), ("WAV", "FLOAT"), ("WAVEX", "PCM_24"), ("AIFF", "PCM_16"),
             ("FLAC", "PCM_16"), ("OGG", "VORBIS"), ("CAF", "PCM_16"), ("AU", "ULAW"),
             ("W64", "PCM_16"), ("RF64", "PCM_16"))  # fmt: skip
    for kind, subtype in kinds:
        out = io.BytesIO()
        soundfile.write(out, tone, 16000, format=kind, subtype=subtype)
        made.append(out.getvalue())
    return tuple(made)


SEEDS: dict[str, tuple[bytes, ...]] = {
    "scene": (
        (ROOT / "tests" / "planner" / "data" / "whole_scene.yaml").read_bytes(),
        (DEMO / "scene.yaml").read_bytes(),
    ),
    "poses": (POSES.encode(), POSES.replace(",", ";").encode(), b"frame,part\n1,head\n"),
    "tracks": (TRACKS.encode(), TRACKS.replace(",", "\t").encode()),
    "bvh": (BVH.encode(),),
    "transcript": tuple(text.encode() for text in TEXTS),
    "sound": sounds(),
}
