"""How right the reading is, beside other methods run in the same process: a table.

    python -m tests.benchmarks.accuracy [--quick] [--only onsets count words stress pitch]

Every task is scored by mir_eval or scipy, clean and with noise at 20 and 10 dB. What is listened to
and what is true of it: material.py, trials.py. Optional peers (findsylls, emphases) need torch and
are printed as "not installed" elsewhere. `--quick` takes a fifth of the trials.
"""

from __future__ import annotations

import argparse
import sys
import warnings
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import mir_eval
import numpy as np
from rich.console import Console
from rich.table import Table
from scipy import stats

from tests.benchmarks import peers, stress_peers
from tests.benchmarks.lean import Move, with_noise
from tests.benchmarks.material import Line, arctic, demo, librivox, spoken
from tests.benchmarks.trials import SEED, SERIES, Series, Trial, draw, rank_of, read
from tests.references.conftest import fetch_source

NOISES: tuple[float | None, ...] = (None, 20.0, 10.0)
WINDOW_S = 0.05  # mir_eval's onset window
TRIALS = 100
TASKS = ("onsets", "count", "words", "stress", "pitch")
ABSENT = "not installed"
Finder = Callable[[np.ndarray, int], np.ndarray]
Cell = str
Row = tuple[str, list[Cell]]


def noisy(samples: np.ndarray, snr_db: float | None, seed: int) -> np.ndarray:
    """Samples with noise under them, or as they are."""
    return samples if snr_db is None else 0.7 * with_noise(samples, snr_db, seed)


def by_linebeat(samples: np.ndarray, rate_hz: int) -> np.ndarray:
    """Vowel onsets from sound alone."""
    return np.array([s.nucleus_s for s in read(samples, rate_hz, None).syllables])


def finders() -> dict[str, Finder | None]:
    """Every way to find syllables without a transcript; None where not installed."""
    found: dict[str, Finder | None] = {
        "linebeat, no transcript": by_linebeat,
        "De Jong & Wempe 2010": peers.de_jong_wempe,
        "intensity peaks": peers.intensity_peaks,
        "librosa onsets": peers.librosa_onsets,
    }
    for envelope in peers.ENVELOPES:
        name = f"findsylls, {envelope}"
        found[name] = peers.findsylls_finder(envelope) if peers.has_findsylls() else None
    return found


def best_shift(truth: Sequence[np.ndarray], found: Sequence[np.ndarray]) -> float:
    """The constant by which a method's times lie off (median to the nearest): peaks come late."""
    off = [
        float(t[np.argmin(np.abs(t - x))] - x)
        for t, f in zip(truth, found, strict=True)
        for x in f
        if len(t)
    ]
    near = [o for o in off if abs(o) < 0.15]
    return float(np.median(near)) if near else 0.0


def onset_rows(lines: Sequence[Line]) -> list[Row]:
    """F1 of vowel onsets within 50 ms as given, the same with a method's constant shift removed.

    Peaks come later than onsets; the shift is the best for these very lines, which favours peers.
    Last the median error of what was found, shift removed.
    """
    truth = [np.array(line.vowels_s) for line in lines]
    rows: list[Row] = []
    for name, finder in finders().items():
        cells: list[Cell] = []
        for snr in NOISES:
            if finder is None:
                cells.append(ABSENT)
                continue
            found = [finder(noisy(x.samples, snr, i), x.rate_hz) for i, x in enumerate(lines)]
            shift = best_shift(truth, found)
            moved = [np.sort(np.maximum(f + shift, 0.0)) for f in found]
            errors = [
                abs(t[a] - f[b])
                for t, f in zip(truth, moved, strict=True)
                for a, b in mir_eval.util.match_events(t, f, WINDOW_S)
            ]
            median_ms = 1000 * float(np.median(errors)) if errors else float("nan")
            cells.append(f"{_f1(truth, found):.2f}  {_f1(truth, moved):.2f}  {median_ms:.0f} ms")
        rows.append((name, cells))
    return rows


def _f1(truth: Sequence[np.ndarray], found: Sequence[np.ndarray]) -> float:
    pairs = zip(truth, found, strict=True)
    scores = [mir_eval.onset.f_measure(t, np.sort(f), window=WINDOW_S)[0] for t, f in pairs]
    return float(np.mean(scores))


def count_rows(lines: Sequence[Line]) -> list[Row]:
    """Correlation of syllable counts with the truth, and mean error of the count."""
    truth = [len(x.vowels_s) or len(read(x.samples, x.rate_hz, x.text).syllables) for x in lines]
    rows: list[Row] = []
    for name, finder in finders().items():
        cells: list[Cell] = []
        for snr in NOISES:
            if finder is None:
                cells.append(ABSENT)
                continue
            found = [len(finder(noisy(x.samples, snr, i), x.rate_hz)) for i, x in enumerate(lines)]
            off = np.mean(np.abs(np.array(found) - truth) / np.array(truth))
            cells.append(f"r {stats.pearsonr(found, truth).statistic:.3f}  off {100 * off:.0f} %")
        rows.append((name, cells))
    return rows


def word_rows(line: Line) -> list[Row]:
    """Median and 90th percentile of the error of word boundaries."""
    truth = np.array([t for span in line.words_s for t in span])
    span = (truth[0], truth[-1])
    letters = np.cumsum([0, *(len(w) for w in line.text.split())])
    even = span[0] + letters / letters[-1] * (span[1] - span[0])
    guess = np.array([t for pair in pairwise(even) for t in pair])
    cells: dict[str, list[Cell]] = {"linebeat": [], "true ends, a share a letter": []}
    for snr in NOISES:
        words = read(noisy(line.samples, snr, 0), line.rate_hz, line.text).words
        heard = np.array([t for w in words for t in (w.start_s, w.end_s)])
        for name, times in (("linebeat", heard), ("true ends, a share a letter", guess)):
            error = 1000 * np.abs(times - truth)
            cells[name].append(f"{np.median(error):.0f} ms, 90 % {np.percentile(error, 90):.0f}")
    return list(cells.items())


def auc(scores: Sequence[float], truth: Sequence[bool]) -> float:
    """Area under the ROC curve (Mann-Whitney)."""
    s, t = np.array(scores), np.array(truth, dtype=bool)
    if t.all() or not t.any():
        return float("nan")
    u = stats.mannwhitneyu(s[t], s[~t]).statistic
    return float(u / (t.sum() * (~t).sum()))


def stress_rows(trials: Sequence[Trial], series: Series) -> list[Row]:
    """Share of trials whose syllable is the phrase's strongest; for words, AUC of moved or not."""
    first: dict[str, list[list[bool]]] = {}
    area: dict[str, list[list[float]]] = {}
    for column, snr in enumerate(NOISES):
        for number, trial in enumerate(trials):
            sound = noisy(trial.sound(series), snr, number)
            for name, (hit, value) in _heard_by_all(sound, trial, series).items():
                first.setdefault(name, [[] for _ in NOISES])[column].append(hit)
                area.setdefault(name, [[] for _ in NOISES])[column].append(value)
    rows: list[Row] = []
    for name, columns in first.items():
        values = area[name]
        cells = [
            f"{100 * np.mean(c):.0f} %" + (f"  AUC {np.nanmean(a):.2f}" if any(a) else "")
            for c, a in zip(columns, values, strict=True)
        ]
        rows.append((name, cells))
    if "emphases" not in first:
        rows.append(("emphases", [ABSENT] * len(NOISES)))
    return rows


def _heard_by_all(sound: np.ndarray, trial: Trial, series: Series) -> dict[str, tuple[bool, float]]:
    rate = trial.line.rate_hz
    heard = read(sound, rate, trial.line.text)
    alone = read(sound, rate, None)
    truth = [i == trial.word for i in range(len(heard.words))]
    by_word = [
        max((s.prominence for s in heard.syllables if s.word == i), default=0.0)
        for i in range(len(heard.words))
    ]
    out = {
        "linebeat": (rank_of(trial, heard, series) == 0, auc(by_word, truth)),
        "linebeat, no transcript": (rank_of(trial, alone, series) == 0, 0.0),
    }
    phrase = next(
        (p.words for p in heard.phrases if p.words and p.words[0] <= trial.word <= p.words[1]),
        (0, len(heard.words) - 1),
    )
    others: dict[str, list[float] | None] = {
        "dictionary alone": stress_peers.dictionary(heard),
        "highest word": stress_peers.highest(heard),
        "loudest word": stress_peers.loudest(heard),
        "longest word": stress_peers.longest(heard),
        "emphases": stress_peers.emphases_words(sound, rate, heard.words),
    }
    for name, scores in others.items():
        if scores is not None:
            own = scores[phrase[0] : phrase[1] + 1]
            out[name] = (scores[trial.word] >= max(own), auc(scores, truth))
    return out


def cue_rows(trials: Sequence[Trial]) -> list[Row]:
    """What each cue does alone in a flat reading: share of trials won, with words and without."""
    rows: list[Row] = []
    for only in ("nothing", "pitch", "length", "level"):
        wins = np.zeros((2, len(trials)), dtype=bool)
        for number, trial in enumerate(trials):
            sound = trial.sound("flat", only=only)
            for way, text in enumerate((trial.line.text, None)):
                heard = read(sound, trial.line.rate_hz, text)
                wins[way, number] = rank_of(trial, heard, "flat") == 0
        told, alone = 100 * wins.mean(axis=1)
        rows.append((f"{only} moved", [f"{told:.0f} %, no transcript {alone:.0f} %"]))
    return rows


def larger_rows(trials: Sequence[Trial]) -> list[Row]:
    """The larger a move is, the oftener it wins over all that stays as read."""
    rows: list[Row] = []
    for move in (Move(4.0, 1.4, 3.5), Move(6.0, 1.5, 5.0), Move(8.0, 1.6, 6.0)):
        won: dict[str, list[bool]] = {}
        for trial in (replace(t, move=move) for t in trials):
            heard = _heard_by_all(trial.sound("as read"), trial, "as read")
            for name in ("linebeat", "linebeat, no transcript", "highest word", "loudest word"):
                won.setdefault(name, []).append(heard[name][0])
        cell = ", ".join(f"{name} {100 * np.mean(wins):.0f} %" for name, wins in won.items())
        name = f"{move.pitch_st:.0f} st, {move.length} times, {move.gain_db} dB"
        rows.append((name, [cell]))
    return rows


def lean_rows(lines: Sequence[Line]) -> list[Row]:
    """Leans of the acted demo lines: share heard as strong, and AUC among all words."""
    rows: dict[str, list[Cell]] = {}
    for snr in NOISES:
        found: dict[str, list[float]] = {}
        truth: list[bool] = []
        strong: list[bool] = []
        for number, line in enumerate(lines):
            sound = noisy(line.samples, snr, number)
            heard = read(sound, line.rate_hz, line.text)
            middle = [(w.start_s + w.end_s) / 2 for w in heard.words]
            truth += [any(a <= m < b for a, b in line.leans_s) for m in middle]
            own = [[s for s in heard.syllables if s.word == i] for i in range(len(heard.words))]
            strong += [any(s.degree == "strong" for s in group) for group in own]
            scores = {
                "linebeat": [max((s.prominence for s in g), default=0.0) for g in own],
                "dictionary alone": stress_peers.dictionary(heard),
                "emphases": stress_peers.emphases_words(sound, line.rate_hz, heard.words),
            }
            for name, values in scores.items():
                found.setdefault(name, []).extend(values or [])
        hit = np.mean(np.array(strong)[np.array(truth)])
        for name, values in found.items():
            cell = f"AUC {auc(values, truth):.2f}" if values else ABSENT
            if name == "linebeat":
                cell = f"{100 * hit:.0f} % strong  {cell}"
            rows.setdefault(name, []).append(cell)
    return list(rows.items())


def pitch_rows(lines: Sequence[Line]) -> list[Row]:
    """Frames kept and right (within 20 %) where swift-f0 and pYIN agree on the clean sound.

    Those two say what is true, so they are not scored themselves.
    """
    rows: dict[str, list[Cell]] = {name: [] for name in peers.TRACKERS}
    truths = [peers.agreed_pitch(x.samples, x.rate_hz) for x in lines]
    for snr in NOISES:
        for name, tracker in peers.TRACKERS.items():
            wrong = both = known = 0
            for number, (line, (times, hz)) in enumerate(zip(lines, truths, strict=True)):
                got = tracker(noisy(line.samples, snr, number), line.rate_hz, times)
                sure = np.isfinite(hz)
                joint = sure & np.isfinite(got)
                wrong += int(np.sum(np.abs(got[joint] / hz[joint] - 1) > 0.2))
                both += int(joint.sum())
                known += int(sure.sum())
            right, gross = (both - wrong) / max(known, 1), wrong / max(both, 1)
            rows[name].append(f"right {100 * right:.1f} %  gross {100 * gross:.1f} %")
    return list(rows.items())


def show(console: Console, title: str, rows: Sequence[Row]) -> None:
    """Print one task's table."""
    table = Table(title=title, title_justify="left")
    for heading in ("method", "clean", "20 dB", "10 dB")[: 1 + len(rows[0][1])]:
        table.add_column(heading)
    for name, cells in rows:
        table.add_row(name, *cells)
    console.print(table)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the tasks named, or all."""
    parser = argparse.ArgumentParser(description="Accuracy of the reading beside other methods.")
    parser.add_argument("--seed", type=int, default=SEED, help="another draw of stress trials")
    parser.add_argument("--quick", action="store_true", help="a fifth of the trials")
    parser.add_argument(
        "--only", nargs="*", default=["onsets", "count", "words", "stress", "pitch"]
    )
    chosen = parser.parse_args(arguments)
    warnings.simplefilter("ignore")

    def fetch(name: str, version: str) -> Path:
        return fetch_source(name, version)

    console = Console(width=110)
    made, read_aloud, labelled, acted = spoken(), librivox(fetch), arctic(fetch), demo()
    if "onsets" in chosen.only:
        rows = onset_rows([*made, labelled])
        show(
            console,
            "Vowel onsets: F1 (50 ms) as given, shift removed; median error (espeak-ng, ARCTIC)",
            rows,
        )
    if "count" in chosen.only:
        rows = count_rows([*made, labelled, *read_aloud, *acted])
        show(console, "Syllables counted (espeak-ng, ARCTIC, LibriVox, demo)", rows)
    if "words" in chosen.only:
        show(console, "Word boundaries (ARCTIC)", word_rows(labelled))
    if "stress" in chosen.only:
        trials = draw([*read_aloud, labelled], TRIALS // 5 if chosen.quick else TRIALS, chosen.seed)
        title = f"{len(trials)} syllables moved by overlap-add"
        for series in SERIES:
            rows = stress_rows(trials, series)
            show(console, f"{title}, {series}: strongest in its phrase", rows)
        show(console, "One cue alone, flat reading: strongest in its phrase", cue_rows(trials))
        show(console, "Larger moves, as read: strongest in its phrase", larger_rows(trials))
        show(console, "Leans of the acted demo lines", lean_rows(acted))
    if "pitch" in chosen.only:
        title = "Pitch, where swift-f0 and pYIN agree on the clean sound (LibriVox)"
        show(console, title, pitch_rows(read_aloud))
    return 0


if __name__ == "__main__":
    sys.exit(main())
