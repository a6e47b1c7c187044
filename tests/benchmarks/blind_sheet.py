"""A plan beside an independent contour, a row a frame, for a reader who knows nothing of the code.

    python -m tests.benchmarks.blind_sheet                 our acted lines, one sheet each
    python -m tests.benchmarks.blind_sheet SCENE           a scene file or its folder
    python -m tests.benchmarks.blind_sheet --no-directions ...   parts, frames and sizes only
    python -m tests.benchmarks.blind_sheet --out FOLDER    a text file a sheet

The contour is Praat's (parselmouth, standard settings 75-500 Hz), read off the sound itself and not
off the ear: pitch in semitones around the line's median, level in dB under its loudest frame. The
questions to ask of a sheet are the director's twelve; none of them is answered here.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from planner.plan.make import make_plan
from planner.plan.suggestion import Plan, Suggestion
from planner.shot import Shot, shot_of
from tests.benchmarks.acted_lines import ACTED, acted

HIGHEST_ST, LOWEST_ST = 12.0, -9.0
WIDTH = 22  # columns of the pitch


def contour(samples: np.ndarray, rate_hz: int, frames_per_s: float) -> list[tuple[float, float]]:
    """For each frame Praat's pitch (semitones around the median, NaN unvoiced) and level (dB)."""
    import parselmouth

    sound = parselmouth.Sound(samples, rate_hz)
    pitch = sound.to_pitch(time_step=0.005)
    level = sound.to_intensity(minimum_pitch=75.0, time_step=0.005)
    hz = pitch.selected_array["frequency"]
    median = float(np.median(hz[hz > 0])) if (hz > 0).any() else 100.0
    top = float(level.values.max())
    found = []
    for k in range(int(sound.duration * frames_per_s) + 1):
        at_s = (k + 0.5) / frames_per_s
        value = pitch.get_value_at_time(at_s)
        db = level.get_value(at_s)
        found.append((12 * np.log2(value / median) if not np.isnan(value) else np.nan,
                      db - top if not np.isnan(db) else np.nan))  # fmt: skip
    return found


def sheet(
    shot: Shot, plan: Plan, line: int, samples: np.ndarray, rate_hz: int, *, directions: bool = True
) -> str:
    """The sheet of one line: idea, key poses, gaze, and a row a frame."""
    placed = next(p for p in plan.lines if p.line == line)
    per_s = float(shot.scene.clock.rate.frames_per_s)
    rows = contour(samples, rate_hz, per_s)
    words = _words(shot, line)
    own = [s for s in plan.suggestions if _near(s, placed.frames)]
    out = [f"{placed.who}: {shot.scene.lines[line - 1].say}"]
    if directions:
        out += [f"idea: {placed.idea}", *_key_poses(plan, line)]
    last = max([placed.frames[1], *(s.frames[1] for s in own)])
    for frame in range(plan.shot[0], min(last, plan.shot[1]) + 1):
        k = frame - placed.frames[0]
        st, db = rows[k] if 0 <= k < len(rows) else (np.nan, np.nan)
        level = f"{db:5.0f}" if not np.isnan(db) else "     "
        starts = "; ".join(_said(s, directions) for s in own if s.frames[0] == frame)
        hits = "; ".join(f"HIT {s.who[:3]} {s.part} ({s.kind})" for s in own if s.hit == frame)
        out.append(f"{frame} {words.get(frame, ''):<12}{_bar(st)}{level}  "
                   f"{' | '.join(t for t in (hits, starts) if t)}".rstrip())  # fmt: skip
    if directions:
        out += ["", "reasons:"]
        out += [f"  {s.frames[0]}-{s.frames[1]} {s.who} {s.kind} {s.part}: {s.because.sound}; "
                f"{s.because.intent}. {s.because.rule}" for s in own]  # fmt: skip
        out += ["gaze:"] + [f"  {g.frames[0]}-{g.frames[1]} {g.who}: {g.toward} ({g.because})"
                            for g in plan.gaze]  # fmt: skip
    return "\n".join(out) + "\n"


def _near(s: Suggestion, frames: tuple[int, int]) -> bool:
    return s.frames[0] <= frames[1] + 30 and s.frames[1] >= frames[0] - 24


def _said(s: Suggestion, directions: bool) -> str:
    name = f"{s.who[:3]} {s.part} {s.kind}"
    if not directions:
        return f"{name} {s.frames[0]}-{s.frames[1]} size {s.size:.2f}"
    via = f" via: {s.via}" if s.via else ""
    return f"{name} {s.direction} {s.frames[0]}-{s.frames[1]} size {s.size:.2f}{via}"


def _key_poses(plan: Plan, line: int) -> Iterable[str]:
    return (f"key pose {k.frame} {k.word}: {k.text}" for k in plan.key_poses if k.line == line)


def _words(shot: Shot, line: int) -> dict[int, str]:
    """The word that begins on a frame."""
    at = shot.scene.lines[line - 1].at_s
    clock = shot.scene.clock
    return {clock.frame_at(at + w.start_s): w.text for w in shot.heard[line].words}


def _bar(st: float) -> str:
    """Pitch as a mark on a line, low to the left."""
    cells = ["."] * WIDTH
    if not np.isnan(st):
        share = (min(max(st, LOWEST_ST), HIGHEST_ST) - LOWEST_ST) / (HIGHEST_ST - LOWEST_ST)
        cells[round(share * (WIDTH - 1))] = "#"
    return "".join(cells) + (f"{st:+5.1f}" if not np.isnan(st) else "     ")


def sheets(scene: str | None, *, directions: bool) -> Iterable[tuple[str, str]]:
    """(name, text) of each sheet."""
    if scene is None:
        for line in ACTED:
            made, readings, sound, rate_hz = acted(line)
            shot = shot_of(made, readings)
            yield line.name, sheet(shot, make_plan(shot), 1, sound, rate_hz, directions=directions)
        return
    import soundfile

    from planner.commands._shared import load_shot, sound_path

    shot = load_shot(scene)
    plan = make_plan(shot)
    for entry in shot.scene.lines:
        samples, rate_hz = soundfile.read(sound_path(shot.scene, entry), always_2d=True)
        yield entry.id, sheet(shot, plan, entry.number, samples[:, 0], rate_hz,
                              directions=directions)  # fmt: skip


def main(arguments: list[str]) -> int:
    """Print the sheets, or write them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("scene", nargs="?")
    parser.add_argument("--no-directions", action="store_true")
    parser.add_argument("--out", type=Path)
    options = parser.parse_args(arguments)
    for name, text in sheets(options.scene, directions=not options.no_directions):
        if options.out:
            options.out.mkdir(parents=True, exist_ok=True)
            (options.out / f"{name.replace(' ', '_')}.txt").write_text(text, encoding="utf-8")
        else:
            print(f"=== {name}\n{text}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
