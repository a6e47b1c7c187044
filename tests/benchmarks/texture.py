"""How a plan is acted, in figures: `python -m tests.benchmarks.texture [--json FILE]`.

Three plans are measured: a neutral monologue, the bundled two-hander, and one sentence under every
shipped intent (and the bundled scene on twos). Each figure has its limit; limits are common
practice of the trade, but for the blinks of a minute (Doughty 2001, bands of talk). `in`, `stay`
and `back` of an accent are read off its timing chart. Prints a table; exit 1 where a figure is over
its limit.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from pathlib import Path

from planner.intents import load_intents
from planner.plan.make import make_plan
from planner.plan.suggestion import Plan, Suggestion
from planner.shot import shot_of
from tests.benchmarks.acted_lines import monologue, sentence

ROOT = Path(__file__).resolve().parents[2]
FREE_FRAMES = 5  # an anticipation can be had
NEAR_FRAMES = 2  # two moves on frames as near are one
ALIKE_SHARE = 0.6
LONG_HOLD = 30  # frames
VOWEL_FRAMES = 2  # a stressed vowel, from its onset
BODY = ("whole", "head", "chest")
TAKES = ("surprised", "frightened")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure, its limit, and whether it holds."""

    name: str
    value: float | str
    limit: str
    ok: bool


def is_accent(s: Suggestion) -> bool:
    """Whether a suggestion lands a stress."""
    return s.kind == "accent"


def carrier(s: Suggestion) -> str:
    """What carries an accent."""
    named = getattr(s, "carrier", None)
    if named:
        return str(named)
    return "hand" if "hand" in s.part or "fingers" in s.part else s.part.rstrip("s")


def lengths(s: Suggestion) -> tuple[int, int, int]:
    """Frames in, staying and back."""
    keys = [m for m in s.timing_chart if m.mark == "key"]
    hit = s.hit if s.hit is not None else s.frames[1]
    leaves = max((m.frame for m in keys if m.at > 0.5 and m.frame >= hit), default=hit)
    return hit - s.frames[0], leaves - hit, s.frames[1] - leaves


def accents_of(plan: Plan) -> list[Suggestion]:
    """One accent a stress, the larger where two parts land it, in order of time."""
    found: dict[tuple[str, int | None, str], Suggestion] = {}
    for s in plan.suggestions:
        if is_accent(s):
            key = (s.who, s.line, s.id.rsplit("/", 1)[1])
            if key not in found or s.size > found[key].size:
                found[key] = s
    return sorted(found.values(), key=lambda s: (s.who, s.hit or 0))


def shares(plan: Plan) -> Counter[str]:
    """How many accents each carrier has."""
    return Counter(carrier(s) for s in accents_of(plan))


def alike(plan: Plan) -> float:
    """Share of consecutive accents with carrier, direction and length the same."""
    pairs = [
        (a, b) for a, b in pairwise(accents_of(plan)) if a.who == b.who
    ]  # fmt: skip
    same = [
        (carrier(a), a.direction, lengths(a)) == (carrier(b), b.direction, lengths(b))
        for a, b in pairs
    ]
    return sum(same) / len(same) if same else 0.0


def spread(values: Sequence[float]) -> float:
    """Coefficient of variation."""
    mean = statistics.fmean(values) if values else 0.0
    return statistics.pstdev(values) / mean if mean else 0.0


def anticipated(plan: Plan) -> tuple[int, int]:
    """Of the attitudes of .4 and more and the takes with five free frames: prepared, chances."""
    good = chances = 0
    for s in plan.suggestions:
        take = s.kind == "reaction" and any(t in s.because.intent for t in TAKES)
        if not ((s.kind == "pose" and s.size >= 0.4) or take) or s.hit == s.frames[0]:
            continue
        own = [o for o in plan.suggestions if o.who == s.who and o.part in BODY and o.id != s.id]
        before = [o for o in own if o.kind == "anticipation" or (
            o.kind == "breath" and "anticipation" in o.because.rule)]  # fmt: skip
        ready = [o for o in before if s.frames[0] - 2 <= o.frames[1] <= (s.hit or 0)
                 and o.frames[0] < s.frames[0] + 3]  # fmt: skip
        first = s.frames[0]
        busy = [o for o in own if o.kind not in ("hold", "breath", "blink") and o not in ready
                and o.frames[0] < first and o.frames[1] > first - FREE_FRAMES]  # fmt: skip
        low = plan.shot[0]
        if not ready and (busy or s.frames[0] - low < FREE_FRAMES):
            continue
        chances += 1
        good += bool(ready) or "no anticipation" in s.because.rule.lower()
    return good, chances


def sudden(plan: Plan) -> int:
    """Whole-body changes in fewer than three exposures."""
    return sum(
        1 for s in plan.suggestions
        if s.part == "whole" and s.kind == "pose" and s.hit is not None
        and 0 < s.hit - s.frames[0] < 3 * plan.step
    )  # fmt: skip


def gaze_gaps(plan: Plan) -> int:
    """Frames of the shot on which it is not said where somebody's eyes are."""
    whole = plan.shot[1] - plan.shot[0] + 1
    gaze = getattr(plan, "gaze", ())
    everyone = {s.who for s in plan.suggestions}
    missing = 0
    for who in everyone:
        known: set[int] = set()
        for g in gaze:
            if g.who == who:
                known |= set(range(g.frames[0], g.frames[1] + 1))
        missing += whole - len(known & set(range(plan.shot[0], plan.shot[1] + 1)))
    return missing


def blinks(plan: Plan) -> tuple[float, int, tuple[float, ...]]:
    """Different lengths in ten, how many shut over a stressed vowel, and a minute's by person."""
    own = [s for s in plan.suggestions if s.kind == "blink"]
    kinds = [s.frames[1] - s.frames[0] for s in own]
    tens = [len(set(kinds[i : i + 10])) for i in range(max(len(kinds) - 9, 1))]
    minute = (plan.shot[1] - plan.shot[0] + 1) / frames_per_s(plan) / 60
    over = 0
    vowels = {p.who: [t.frame for q in plan.lines if q.who == p.who for t in q.stresses
                      if t.degree == "strong"] for p in plan.lines}  # fmt: skip
    for s in own:
        hit = s.hit or s.frames[0]
        over += any(v <= hit + 1 and v + VOWEL_FRAMES >= hit - 1 for v in vowels.get(s.who, ()))
    talk = {p.who for p in plan.lines}
    rates = tuple(sum(s.who == who for s in own) / minute for who in sorted(talk))
    return (min(tens) if kinds else 0), over, rates


def frames_per_s(plan: Plan) -> float:
    """Frames a second of a plan."""
    top, _, low = plan.rate.replace("df", "").partition("/")
    return float(top) / float(low or 1)


def dead_holds(plan: Plan) -> int:
    """Holds over thirty frames in which nothing of that character happens."""
    found = 0
    for s in plan.suggestions:
        if s.kind != "hold" or s.frames[1] - s.frames[0] <= LONG_HOLD:
            continue
        cuts = sorted(
            [s.frames[0], s.frames[1]]
            + [o.frames[0] for o in plan.suggestions if o.who == s.who and o.kind != "hold"
               and s.frames[0] < o.frames[0] < s.frames[1]]
        )  # fmt: skip
        found += len(cuts) == 2
    return found


def peak_ratios(plan: Plan) -> list[float]:
    """Each phrase's main accent's size over the next largest accent in it."""
    found: list[float] = []
    accents = accents_of(plan)
    for line in plan.lines:
        mains = [t.frame for t in line.stresses if t.main]
        own = [s for s in accents if s.line == line.line and s.who == line.who]
        for k, frame in enumerate(mains):
            low = (mains[k - 1] + frame) / 2 if k else -1e9
            high = (mains[k + 1] + frame) / 2 if k + 1 < len(mains) else 1e9
            near = [s for s in own if low < (s.hit or 0) <= high]
            main = [s for s in near if -6 <= (s.hit or 0) - frame <= 2]
            rest = [s.size for s in near if s not in main]
            if main and rest and max(rest) > 0:
                found.append(max(s.size for s in main) / max(rest))
    return found


def still_before(plan: Plan) -> float:
    """Share of main accents with three frames before them in which head and body rest or are
    held back."""
    moves = [s for s in plan.suggestions if s.part in BODY and s.kind not in ("hold", "settle")]
    mains = [s for s in accents_of(plan) if s.certainty >= 0.85]
    still = 0
    for s in mains:
        first = s.frames[0]
        still += not any(
            o.who == s.who and o.id != s.id and lively(o, first - 3, first) for o in moves
        )
    return still / len(mains) if mains else 0.0


def lively(s: Suggestion, first: int, last: int) -> bool:
    """Whether a suggestion's chart changes between two frames."""
    if s.frames[1] <= first or s.frames[0] >= last or s.direction == "still":
        return False
    marks = [m for m in s.timing_chart if m.frame <= last]
    inside = [m.at for m in marks if m.frame >= first] + [m.at for m in marks if m.frame < first][
        -1:
    ]
    return len({round(v, 3) for v in inside}) > 1


def likeness(a: Plan, b: Plan) -> float:
    """Share of the moves of the fuller plan that the other has too: kind, part, frame near."""
    rows = [
        [(s.kind, s.part, s.hit if s.hit is not None else s.frames[0])
         for s in plan.suggestions if s.who == "one"]
        for plan in (a, b)
    ]  # fmt: skip
    left = list(rows[1])
    both = 0
    for kind, part, frame in rows[0]:
        same = [r for r in left if r[:2] == (kind, part)]
        match = next((r for r in same if abs(r[2] - frame) <= NEAR_FRAMES), None)
        if match:
            left.remove(match)
            both += 1
    return both / max(len(rows[0]), len(rows[1]), 1)


def intents_alike() -> tuple[float, float]:
    """Share of pairs of shipped intents that are too much alike on one sentence; mean likeness."""
    plans = [make_plan(shot_of(*sentence(name))) for name in load_intents()]
    shared = [likeness(a, b) for a, b in combinations(plans, 2)]
    return sum(v > ALIKE_SHARE for v in shared) / len(shared), statistics.fmean(shared)


def moves_per_s(plan: Plan) -> float:
    """Suggestions a second of shot and character, holds and settles left out."""
    counted = [s for s in plan.suggestions if s.kind not in ("hold", "settle")]
    seconds = (plan.shot[1] - plan.shot[0] + 1) / frames_per_s(plan)
    return len(counted) / seconds / max(len({s.who for s in plan.suggestions}), 1)


def figures_of(plan: Plan, *, monologue: bool = False) -> list[Figure]:
    """All figures of one plan."""
    found: list[Figure] = []

    def add(name: str, value: float, limit: str, ok: bool, told: str = "") -> None:
        found.append(Figure(name, told or round(value, 3), limit, ok))

    own = shares(plan)
    total = sum(own.values()) or 1
    largest = max(own.values(), default=0) / total
    told = ", ".join(f"{n} {k / total:.2f}" for n, k in own.most_common())
    limit = "<= .5" if monologue else ""
    add("carriers of accents", largest, limit, largest <= 0.5 or not limit, f"{told} (of {total})")
    value = alike(plan)
    add("consecutive accents alike", value, "<= .15", value <= 0.15)
    ins = [float(lengths(s)[0]) for s in accents_of(plan)]
    outs = [float(sum(lengths(s)[1:])) for s in accents_of(plan)]
    add("spread of in", spread(ins), ">= .25", spread(ins) >= 0.25)
    add("spread of stay + back", spread(outs), ">= .25", spread(outs) >= 0.25)
    good, chances = anticipated(plan)
    share = good / chances if chances else 1.0
    add("anticipated", share, ">= .95", share >= 0.95, f"{good} of {chances}")
    add("sudden whole-body changes", sudden(plan), "0", sudden(plan) == 0)
    gaps = gaze_gaps(plan)
    add("frames without a gaze", gaps, "0", gaps == 0)
    kinds, over, rates = blinks(plan)
    add("blink lengths in ten", kinds, ">= 3", kinds >= 3)
    add("blinks over a stressed vowel", over, "0", over == 0)
    add("blinks a minute", max(rates), "8-35", all(8 <= r <= 35 for r in rates),
        ", ".join(f"{r:.0f}" for r in rates))  # fmt: skip
    add("dead holds over 30 frames", dead_holds(plan), "0", dead_holds(plan) == 0)
    ratios = peak_ratios(plan)
    least = min(ratios, default=9.0)
    add("main over next largest, least", least, ">= 1.25", least >= 1.25)
    add("stillness before main accents", still_before(plan), "", True)
    add("moves a second and character", moves_per_s(plan), "", True)
    return found


def demo_plan(name: str) -> Plan:
    """The plan of a bundled scene."""
    from planner.commands._shared import load_shot

    return make_plan(load_shot(str(ROOT / "demo_scenes" / name)))


def tables() -> dict[str, list[Figure]]:
    """All tables by name."""
    share, mean = intents_alike()
    return {
        "monologue, neutral": figures_of(make_plan(shot_of(*monologue())), monologue=True),
        "two-hander": figures_of(demo_plan("lost_umbrella")),
        "alone, on twos": figures_of(demo_plan("night_kitchen")),
        f"one sentence, {len(load_intents())} intents": [
            Figure("pairs that share more than 60 %", round(share, 3), "<= .1", share <= 0.1),
            Figure("mean share of two intents", round(mean, 3), "", True),
        ],
    }


def show(found: dict[str, list[Figure]], out: Callable[[str], object] = print) -> None:
    """The tables as text."""
    for name, figures in found.items():
        out(f"\n{name}")
        for f in figures:
            mark = "" if not f.limit else "ok" if f.ok else "OVER"
            out(f"  {f.name:<34} {f.value!s:<44} {f.limit:<8} {mark}")


def main(arguments: Iterable[str]) -> int:
    """Print the tables; 1 where a figure is over its limit."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", metavar="FILE")
    options = parser.parse_args(list(arguments))
    found = tables()
    show(found)
    if options.json:
        told = {n: [[f.name, f.value, f.limit, f.ok] for f in fs] for n, fs in found.items()}
        Path(options.json).write_text(json.dumps(told, indent=1), encoding="utf-8")
    return 0 if all(f.ok for figures in found.values() for f in figures) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
