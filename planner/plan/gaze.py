"""Where everybody's eyes are, on every frame of the shot, and why.

Conventions: frames inclusive, one `Gaze` after the other without a gap; a dart belongs to what was
looked at before it. A look that comes back (its chart ends at rest) changes nothing for good.
`without_idle` takes out looks at what is looked at already, and lets eyes that would stay down, up
or aside come home. Eyes that leave as talk is planned and come back as it ends: Kendon 1967.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.plan.suggestion import ChartMark, Gaze, Suggestion
from planner.plan.timing_chart import timing_chart

AHEAD = "ahead"
LONGEST_AWAY_S = 2.5  # eyes that stay off longer have no thought left (common practice)
AWAY_S = 1.0  # then they come home after that
DART_S = 1 / 12  # 2 frames at 24
STAYS = ("toward", "forward", "back", "somewhere")  # nobody knows how long what is seen holds them
_WHOM = re.compile(r"^toward ([^(,]+)")


def toward_of(direction: str) -> str:
    """Whom or where a look goes: "toward visitor (right)" is visitor, "down a little, and back"
    is down a little."""
    named = _WHOM.match(direction)
    if named:
        return named.group(1).strip()
    first = direction.split(", and back", maxsplit=1)[0].split(" (toward:", maxsplit=1)[0].strip()
    return AHEAD if first in ("forward", "back again", "") else first


def comes_back(look: Suggestion) -> bool:
    """Whether the eyes are home again at its end."""
    return bool(look.timing_chart) and look.timing_chart[-1].at < 0.5


def gaze_of(
    suggestions: Iterable[Suggestion], everyone: Sequence[str], shot: tuple[int, int],
    speakers: Sequence[tuple[int, str]],
) -> tuple[Gaze, ...]:  # fmt: skip
    """The gaze of everybody over the shot. `speakers`: (first frame, who) of each line."""
    looks: dict[str, list[Suggestion]] = {who: [] for who in everyone}
    for s in suggestions:
        if s.kind == "look":
            looks.setdefault(s.who, []).append(s)
    found: list[Gaze] = []
    for who, own in looks.items():
        others = [name for _, name in sorted(speakers) if name != who]
        others += [name for name in everyone if name != who]
        home = others[0] if others else AHEAD
        found += _track(who, sorted(own, key=lambda s: s.frames), shot, home)
    return tuple(found)


def _track(who: str, looks: Sequence[Suggestion], shot: tuple[int, int], home: str) -> list[Gaze]:
    first, last = shot
    opens = f"the shot opens on {home}" if home != AHEAD else "nobody else is there"
    changes: list[tuple[int, str, str]] = [(first, home, opens)]
    now = home
    for s in looks:
        at = min(max(s.hit if s.hit is not None else s.frames[1], first), last)
        to = toward_of(s.direction)
        changes.append((at, to, s.because.intent))
        if comes_back(s):
            changes.append((min(max(s.frames[1], at), last), now, "back from it"))
        else:
            now = to
    changes.sort(key=lambda c: c[0])
    merged: list[tuple[int, str, str]] = []
    for change in changes:
        if merged and merged[-1][0] == change[0]:
            merged.pop()
        if not merged or merged[-1][1] != change[1]:
            merged.append(change)
    ends = [c[0] - 1 for c in merged[1:]] + [last]
    return [
        Gaze(who, (at, end), to, because)
        for (at, to, because), end in zip(merged, ends, strict=True)
    ]


def without_idle(
    suggestions: Sequence[Suggestion], frames_per_s: float, step: int, last: int
) -> list[Suggestion]:
    """One character's suggestions without looks at what is looked at already.

    Looks away that nothing calls back come home after a while. What the user decided stays.
    """
    looks = sorted((s for s in suggestions if s.kind == "look"), key=lambda s: s.frames)
    now: str | None = None
    gone: set[str] = set()
    changed: dict[str, Suggestion] = {}
    for k, s in enumerate(looks):
        to = toward_of(s.direction)
        if comes_back(s):
            if to == now:
                gone.add(s.id)
            continue
        if to == now:
            gone.add(s.id)
            continue
        following = looks[k + 1].frames[0] if k + 1 < len(looks) else last
        long = following - s.frames[1] > LONGEST_AWAY_S * frames_per_s
        if long and not s.direction.startswith(STAYS):
            changed[s.id] = _home_again(s, frames_per_s, step)
            continue
        now = to
    return [changed.get(s.id, s) for s in suggestions if s.id not in gone]


def _home_again(s: Suggestion, frames_per_s: float, step: int) -> Suggestion:
    """The look with its way home."""
    hit = s.hit if s.hit is not None else s.frames[1]
    back = hit + max(step, int(AWAY_S * frames_per_s / step) * step)
    end = back + max(step, int(DART_S * frames_per_s / step) * step)
    chart: tuple[ChartMark, ...] = timing_chart(
        [(s.frames[0], 0.0), (hit, 1.0), (back, 1.0), (end, 0.0)], ease="quadratic-out", step=step
    )
    return replace(
        s, frames=(s.frames[0], end), timing_chart=chart, direction=f"{s.direction}, and back",
        because=replace(s.because, rule=f"{s.because.rule} Then home: no eyes stay off for good."),
    )  # fmt: skip
