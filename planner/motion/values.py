"""From rows added up to channels: what heavy parts, eyes, lips and limits make of the sums.

Conventions: arrays have a row a frame and a column a channel, in the table's order; `sums` has the
extra columns of `planner.motion.compile` behind them. What returns nothing changes its array in
place. Pure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from audio.reading import FloatArray, VoiceReading
from planner.motion.attitudes import groups_of
from planner.motion.curves import IntArray, draw_curves
from planner.motion.mouth import MOUTH
from planner.motion.orders import Rows
from planner.motion.table import MotionTable
from planner.scene import Scene

SOFT_SHARE = 0.12  # of a channel's range, over which it eases into its limit
JAW_SPEAKS_BY = 1.0
CHANGES_LEAD_S = 0.5  # over so long another part takes the lead
LIPS_ASIDE = 0.6  # of an attitude's lips while the mouth speaks


def speak(values: FloatArray, mouth: FloatArray, table: MotionTable) -> None:
    """Jaw and lips of the voice, over what the attitude does with them."""
    jaw, wide, closed, teeth = (table.index[name] for name in MOUTH)
    speaks = np.minimum(1.0, 3.0 * np.abs(mouth).max(axis=1, initial=0.0))
    values[:, jaw] = values[:, jaw] * (1 - speaks) + JAW_SPEAKS_BY * mouth[:, 0]
    values[:, jaw] *= 1 - np.maximum(mouth[:, 2], 0.8 * mouth[:, 3])
    values[:, wide] = LIPS_ASIDE * values[:, wide] + mouth[:, 1]
    values[:, closed] += mouth[:, 2]
    values[:, teeth] += mouth[:, 3]


def summed(rows: Rows, channels: int, first: int, count: int) -> FloatArray:
    """All rows added up, shape (frames, channels). What a curve has reached stays."""
    if not rows.curve:
        return np.zeros((count, channels))
    curves = draw_curves(rows.marks, rows.keys)
    steps = np.stack([curves.step, curves.in_step, curves.aside, curves.early])
    curve = np.array(rows.curve)
    length = curves.length[curve]
    ends = np.cumsum(length)
    within = np.arange(int(ends[-1])) - np.repeat(ends - length, length)
    at = np.repeat(curves.start[curve], length) + within
    value = steps[np.repeat(np.array(rows.value), length), at]
    weight = value * np.repeat(np.array(rows.amount), length)
    # What was added before the first frame is there from it on.
    frame = np.clip(curves.frame[at] + np.repeat(np.array(rows.late), length) - first, 0, count)
    place = frame * channels + np.repeat(np.array(rows.channel), length)
    total = np.bincount(place, weights=weight, minlength=(count + 1) * channels)
    found: FloatArray = np.cumsum(total.reshape(count + 1, channels)[:count], axis=0)
    return found


def rounded_off(sums: FloatArray, table: MotionTable, rate: float) -> None:
    """Heavy parts take no corner: their channels blurred a little in time (a bell, in place)."""
    groups = groups_of(table)
    for group, ms in table.raw["heavy_ms"].items():
        spread = float(ms) / 1000 * rate
        reach = int(np.ceil(2.5 * spread))
        weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(spread, 1e-6)) ** 2)
        weights /= weights.sum()
        columns = [i for i, g in enumerate(groups) if g == group and np.any(sums[:, i])]
        if not columns or reach < 1:
            continue
        for i in columns:
            padded = np.pad(sums[:, i], reach, mode="edge")
            sums[:, i] = np.convolve(padded, weights, "valid")


def leading(leads: Sequence[tuple[int, float]], first: int, count: int, rate: float) -> FloatArray:
    """Who leads on every frame: from each change of attitude on, eased over from the one before."""
    if not leads:
        return np.zeros(count)
    frames = np.array([f - first for f, _ in leads], dtype=np.float64)
    ahead = np.array([s for _, s in leads])
    steps = np.diff(ahead, prepend=ahead[:1])
    found = np.full(count, ahead[0])
    half = CHANGES_LEAD_S * rate / 2
    for at, step in zip(frames[steps != 0], steps[steps != 0], strict=True):
        low, high = max(int(at - half), 0), min(int(at + half) + 2, count)
        u = np.clip((np.arange(low, high) - at) / (2 * half) + 0.5, 0.0, 1.0)
        found[low:high] += step * u * u * (3 - 2 * u)
        found[high:] += step
    return found


def weigh(values: FloatArray, table: MotionTable) -> None:
    """Weight goes with the hips: what the hips idle, the feet bear."""
    shift, weight = table.index["hips.shift"], table.index["right foot.weight"]
    rest = table.channels[weight].rest
    values[:, weight] = 0.5 * values[:, weight] + 0.5 * (rest + 0.5 * values[:, shift])


def eyes(
    values: FloatArray, extra: FloatArray, small: tuple[FloatArray, FloatArray],
    table: MotionTable, facing: int,
) -> None:  # fmt: skip
    """Eyes in the head: where they look, less what the head has done itself; lids over them."""
    index, stay = table.index, table.raw["eyes_stay"]
    turned = values[:, index["head.turn"]] + 0.6 * values[:, index["chest.turn"]]
    raised = values[:, index["head.up"]] + 0.3 * values[:, index["chest.bend"]]
    values[:, index["eyes.turn"]] += extra[:, 0] + small[0] - float(stay["turn"]) * turned
    values[:, index["eyes.up"]] += extra[:, 1] + small[1] - float(stay["up"]) * raised
    down = np.clip(-values[:, index["eyes.up"]] / 60.0, -0.12, 0.3)  # lids go with the eyes
    for k, name in enumerate(("left lid.closed", "right lid.closed")):
        lid = np.clip(values[:, index[name]] + down, -0.2, 1.0)
        blink = np.clip(extra[:, 2 + k], 0.0, 1.0)
        values[:, index[name]] = lid + (1 - lid) * blink


def limited(values: FloatArray, table: MotionTable) -> FloatArray:
    """Channels eased into their limits rather than cut, so that nothing stops dead."""
    low = np.array([c.low for c in table.channels])
    high = np.array([c.high for c in table.channels])
    room = SOFT_SHARE * (high - low)
    rest = np.array([c.rest for c in table.channels])
    # A rest within the soft zone (lids, a jaw that is shut) stays where it is.
    soft = ~((rest - low < room) | (high - rest < room))
    found: FloatArray = np.clip(values, low, high)
    for edge, sign in ((high - room, 1.0), (low + room, -1.0)):
        frame, channel = np.nonzero((sign * (values - edge) > 0) & soft)
        over = np.abs(values[frame, channel] - edge[channel]) / room[channel]
        found[frame, channel] = edge[channel] + sign * room[channel] * np.tanh(over)
    return found


def held_frames(
    who: str, scene: Scene, readings: Mapping[int, VoiceReading], first: int, count: int
) -> IntArray:
    """For each frame the index of the frame that is shown on it: on twos every other one."""
    frames = np.arange(first, first + count)
    step = np.full(count, scene.clock.step)
    for line in scene.lines:
        if line.who == who and line.step and line.number in readings:
            low = scene.clock.frame_at(line.at_s) - first
            length = scene.rate.frames(readings[line.number].clip.duration_s)
            step[max(low, 0) : max(low + length, 0)] = line.step
    held = (frames - scene.clock.first_frame) % step
    found: IntArray = np.maximum(frames - held - first, 0)
    return found
