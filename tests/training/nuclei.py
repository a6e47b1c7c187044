"""Makes the weights of audio.syllables.nuclei. Run by hand from a checkout, never by the user:

    python -m tests.training.nuclei

Needs torch, and what nuclei_material.py beside it names (flite, festival and its voices,
espeakng-loader). Takes a quarter of an hour on two cores. All draws are seeded; espeak-ng alone
keeps a state of its own (an eighth of its lines differ by a period here or there), so a second run
hears as well but is not the same to the byte. Nothing that tests or tables listen to is learned
from (see nuclei_material.py). `--without VOICE ...` leaves voices out, to see what is heard of one
that was not learned.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.syllables.nuclei import BANDS, DILATIONS, SCALE_DB, STEP_S, TAPS, WEIGHTS, band_frames
from tests.training.nuclei_augment import built, heard_somehow, in_noise, no_voice
from tests.training.nuclei_material import ENGLISH_FESTIVAL, FESTIVAL, FLITE, Spoken, all_spoken

FloatArray = NDArray[np.float32]
AUDIO = Path(__file__).resolve().parents[2] / "audio" / "syllables"
CHANNELS = 64
ONSET_SPREAD_S = 0.014  # the onset's target is a bell this wide
CROP = 256  # frames
BATCH = 32
STEPS = 12_000
RATE = 3e-3
DROPOUT = 0.05
PEOPLE_COPIES, MADE_COPIES = 5, 3  # how often a recorded voice and a formant voice are heard
BUILT, EMPTY = 700, 500


def targets(spoken: Spoken, count: int) -> FloatArray:
    """Onset, vowel, and the weights of both. Shape (count, 4)."""
    at = np.arange(count) * STEP_S
    result = np.zeros((count, 4), dtype=np.float32)
    result[:, 2:] = 1.0
    if spoken.onsets_s:
        away = np.abs(at[:, None] - np.array(spoken.onsets_s)[None, :]).min(axis=1)
        result[:, 0] = np.exp(-0.5 * np.square(away / ONSET_SPREAD_S))
    for start, end in spoken.vowels_s:
        result[(at >= start) & (at < end), 1] = 1.0
        for edge in (start, end):
            result[np.abs(at - edge) < 0.008, 3] = 0.3
    for start, end in spoken.unsure_s:
        result[(at >= start) & (at <= end), 2] = 0.0
    return result


def _heard(job: tuple[Spoken | str, int, list[FloatArray]]) -> tuple[NDArray[Any], NDArray[Any]]:
    what, seed, babble = job
    rng = np.random.default_rng(seed)
    import parselmouth

    parselmouth.praat.run(f"random_initializeWithSeedUnsafelyButPredictably ({seed})")
    if what == "empty":
        spoken = no_voice(rng)
    elif what == "built":
        spoken = built(rng)
        if rng.random() < 0.6:
            spoken = in_noise(spoken, rng, babble)
    else:
        assert isinstance(what, Spoken)
        spoken = heard_somehow(what, rng, babble)
    frames = band_frames(spoken.samples)
    return frames.astype(np.float16), targets(spoken, len(frames)).astype(np.float16)


def prepared(
    material: list[Spoken], *, workers: int, copies: tuple[int, int] = (PEOPLE_COPIES, MADE_COPIES)
) -> list[tuple[NDArray[Any], NDArray[Any]]]:
    """Frames and targets of everything, each voice heard several times in different ways."""
    people = {*ENGLISH_FESTIVAL, *FLITE, *FESTIVAL}
    rng = np.random.default_rng(5)
    babble = [material[i].samples for i in rng.integers(0, len(material), 24)]
    whats: list[Spoken | str] = []
    for one in material:
        whats += [one] * (copies[0] if one.voice in people else copies[1])
    whats += ["built"] * BUILT + ["empty"] * EMPTY
    jobs = [(what, 1000 + n, babble) for n, what in enumerate(whats)]
    if workers == 1:
        return [_heard(job) for job in jobs]
    with ProcessPoolExecutor(workers) as pool:
        return list(pool.map(_heard, jobs, chunksize=16))


def network(channels: int = CHANNELS) -> Any:
    """The network of audio.syllables.nuclei as torch has it."""
    import torch
    from torch import nn
    from torch.nn.functional import dropout

    class Net(nn.Module):  # type: ignore[misc,unused-ignore]
        def __init__(self) -> None:
            super().__init__()
            sizes = [BANDS, *([channels] * len(DILATIONS))]
            self.over_time = nn.ModuleList(
                nn.Conv1d(a, b, TAPS, dilation=d, padding=d * (TAPS // 2))
                for a, b, d in zip(sizes, sizes[1:], DILATIONS, strict=False)
            )
            self.last = nn.Conv1d(channels, 2, 1)

        def forward(self, frames: Any) -> Any:
            values = frames
            for n, layer in enumerate(self.over_time):
                made = dropout(torch.relu(layer(values)), DROPOUT, self.training)
                values = made if n == 0 else values + made
            return self.last(values)

    return Net()


def varied(frames: FloatArray, rng: np.random.Generator) -> FloatArray:
    """A crop as another mouth, microphone or level might have given it. Shape kept."""
    at = np.arange(BANDS)
    if rng.random() < 0.6:  # a longer or shorter tract, all bands moved along
        place = at * rng.uniform(0.93, 1.07) + rng.uniform(-1.0, 1.0)
        low = np.clip(np.floor(place).astype(int), 0, BANDS - 2)
        share = np.clip(place - low, 0.0, 1.0).astype(np.float32)
        frames = frames[:, low] * (1 - share) + frames[:, low + 1] * share
    if rng.random() < 0.6:
        gains = np.interp(at, np.linspace(0, BANDS - 1, 6), rng.normal(0.0, 3.0 / SCALE_DB, 6))
        frames = np.maximum(frames + gains.astype(np.float32) * (frames > 0), 0.0)
    if rng.random() < 0.4:
        frames = np.maximum(frames + np.float32(rng.uniform(-6, 4) / SCALE_DB) * (frames > 0), 0.0)
    if rng.random() < 0.2:
        first = int(rng.integers(0, BANDS))
        frames = frames.copy()
        frames[:, first : first + int(rng.integers(1, 5))] = 0.0
    return frames


def learn(
    data: list[tuple[NDArray[Any], NDArray[Any]]], *, steps: int = STEPS, seed: int = 3,
    channels: int = CHANNELS, watch: Callable[[Any, int], None] | None = None,
) -> Any:  # fmt: skip
    """The network after `steps` batches of crops (AdamW, one-cycle rate)."""
    import torch
    from torch.nn import functional

    torch.manual_seed(seed)
    rng = np.random.default_rng(seed)
    net = network(channels)
    optimizer = torch.optim.AdamW(net.parameters(), lr=RATE, weight_decay=1e-3)
    schedule = torch.optim.lr_scheduler.OneCycleLR(
        optimizer, RATE, total_steps=steps, pct_start=0.1
    )
    lengths = np.array([len(frames) for frames, _ in data], dtype=np.float64)
    chances = np.minimum(lengths, CROP * 2) / np.minimum(lengths, CROP * 2).sum()
    running = 0.0
    for step in range(steps):
        frames = np.zeros((BATCH, CROP, BANDS), dtype=np.float32)
        wanted = np.zeros((BATCH, CROP, 4), dtype=np.float32)
        for row, pick in enumerate(rng.choice(len(data), BATCH, p=chances)):
            one, truth = data[pick]
            at = int(rng.integers(-20, max(1, len(one) - CROP + 20)))
            first, last = max(at, 0), min(at + CROP, len(one))
            frames[row, first - at : last - at] = varied(one[first:last].astype(np.float32), rng)
            wanted[row, first - at : last - at] = truth[first:last]
            if at > 0:
                wanted[row, :12, 2:] = 0
            if at + CROP < len(one):
                wanted[row, -12:, 2:] = 0
        known = torch.from_numpy(wanted).transpose(1, 2)
        scores = net(torch.from_numpy(frames).transpose(1, 2))
        loss = (
            functional.binary_cross_entropy_with_logits(
                scores, known[:, :2], weight=known[:, 2:], reduction="sum"
            )
            / known[:, 2:].sum()
        )
        optimizer.zero_grad()
        loss.backward()
        optimizer.step()
        schedule.step()
        running = 0.99 * running + 0.01 * float(loss.detach()) if step else float(loss.detach())
        if step % 500 == 499:
            print(f"{step + 1:6d} {running:.4f}", flush=True)
            if watch is not None:
                watch(net, step + 1)
    net.eval()
    return net


def arrays_of(net: Any) -> dict[str, NDArray[np.float16]]:
    """The arrays of the file: kernels (taps, in, out) and biases, half precision."""
    layers = [*net.over_time, net.last]
    result = {}
    for n, layer in enumerate(layers):
        result[f"kernel{n}"] = layer.weight.detach().numpy().transpose(2, 1, 0).astype(np.float16)
        result[f"bias{n}"] = layer.bias.detach().numpy().astype(np.float16)
    return result


def main(arguments: list[str] | None = None) -> int:
    """Write the weights beside this module, or where `--to` says."""
    import torch

    parser = argparse.ArgumentParser(description="Learn the weights of audio.syllables.nuclei.")
    parser.add_argument("--to", type=Path, default=AUDIO / WEIGHTS)
    parser.add_argument("--without", nargs="*", default=[], help="voices to leave out")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    chosen = parser.parse_args(arguments)
    torch.set_num_threads(1)  # sums in one order
    material = [one for one in all_spoken() if one.voice not in chosen.without]
    print(f"{len(material)} lines", flush=True)
    net = learn(prepared(material, workers=chosen.workers))
    arrays: dict[str, Any] = arrays_of(net)
    np.savez_compressed(chosen.to, **arrays)
    return 0


if __name__ == "__main__":
    sys.exit(main())
