"""A plan as text for a terminal: line by line, each row with its reason.

In full, a line's rows stand under the pose they belong to, who speaks before who listens, what
must be there before what is nice to have; the word that sounds on a hit stands under its frame.
In brief, a row a suggestion in the order of frames.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.plan.suggestion import LinePlan, Plan, Stress, Suggestion
from planner.scene import Line, Scene
from planner.scene.words import bare
from planner.told.wording import quoted

SMALLEST_SHOWN = 0.05  # below this a size says nothing to a person
NICE = 0.65  # certainty; under it a row that the plan does not stand on is marked so
PATHS_SAID = ("accent", "gesture", "head-move")
LONGEST_WORD = 12  # characters under a hit
SaidWord = tuple[int, int, str]  # first and last frame, and the word
UNSIZED = ("blink", "look", "hold", "settle")  # nobody asks how big these are


def print_plan(
    scene: Scene,
    plan: Plan,
    *,
    who: str | None = None,
    brief: bool = False,
    said: Sequence[SaidWord] = (),
    console: Console | None = None,
) -> None:
    """Print a plan on standard output.

    who : only this character's; brief : a line a suggestion, in the order of frames, without the
    reasons; said : the words on their frames, to stand under the hits.
    """
    from planner.told.shown_console import console as plain_console

    out = console or plain_console()
    first, last = plan.shot
    exposed = "" if plan.step == 1 else f", exposed on {_ordinal(plan.step)}"
    out.print(
        f"{scene.title or scene.file}: frames {first}-{last} at {plan.rate}{exposed}, "
        f"{len(plan.suggestions)} suggestions (size: 1 is all the character has)"
    )
    left = [s for s in plan.suggestions if who in (None, s.who)]
    for placed, own in _blocks(plan, left):
        if who is None or placed.who == who or own:
            out.print()
            out.print(_line_head(scene.lines[placed.line - 1], placed))
            out.print(_stress_line(scene.lines[placed.line - 1], placed))
            for told in [] if brief else _opening(plan, placed):
                out.print(told)
            alone = len(scene.characters) < 2
            out.print(_brief(own, alone) if brief else _full(own, placed, said, alone))
    if plan.dropped:
        out.print()
        out.print(f"dropped by you: {', '.join(s.id for s in plan.dropped)}")
    for decision in plan.unplaced_decisions:
        out.print(f"kept, but without a place now: {decision.get('do')} {decision.get('of')}")


def _blocks(plan: Plan, suggestions: list[Suggestion]) -> list[tuple[LinePlan, list[Suggestion]]]:
    """Each line with its suggestions; what belongs to no line goes with the line before it."""
    lines = sorted(plan.lines, key=lambda placed: (placed.frames, placed.line))
    own: dict[int, list[Suggestion]] = {placed.line: [] for placed in lines}
    for entry in suggestions:
        line = entry.line
        if line is None:
            begun = [p.line for p in lines if p.frames[0] <= entry.frames[0]]
            line = begun[-1] if begun else lines[0].line
        own[line].append(entry)
    return [(placed, own[placed.line]) for placed in lines]


def _ordinal(step: int) -> str:
    return {2: "twos", 3: "threes", 4: "fours"}.get(step, f"every {step} frames")


def _line_head(line: Line, placed: LinePlan) -> Text:
    first, last = placed.frames
    text = Text(f"{placed.who}, line {placed.line}, frames {first}-{last}", style="bold")
    if line.say:
        text.append(f"  {quoted(line.say)}", style="not bold")
    return text


def _stress_line(line: Line, placed: LinePlan) -> Text:
    text = Text("stresses: ", style="dim")
    parts = []
    for group in _by_word(line, placed):
        word = group[0].text or "~"
        frames = " and ".join(str(stress.frame) for stress in group)
        if all(stress.degree == "light" for stress in group):
            parts.append((f"{word} {frames}", "dim"))
        else:
            main = any(stress.main for stress in group)
            parts.append((f"{word.upper()} {frames}", "bold" if main else ""))
    for index, (word, style) in enumerate(parts):
        text.append(word, style=style)
        if index < len(parts) - 1:
            text.append(", ", style="dim")
    return text


def _opening(plan: Plan, placed: LinePlan) -> list[Text]:
    """A line's idea, and the drawings it stands on, over its words."""
    found = [Text(f"idea: {placed.idea}", style="italic")] if placed.idea else []
    poses = [k for k in plan.key_poses if k.line == placed.line and k.who == placed.who]
    if poses:
        said = (f"{k.frame} {quoted(k.word)} {k.text}" if k.word else f"{k.frame} {k.text}"
                for k in poses)  # fmt: skip
        found.append(Text(f"key poses: {'; '.join(said)}"))
    return found


def _by_word(line: Line, placed: LinePlan) -> list[list[Stress]]:
    """The stresses, those of one word together; a word that comes twice is left apart."""
    from audio.words.transcript import read_transcript

    words = [bare(w) for w in read_transcript(line.say or "").words]
    groups: list[list[Stress]] = []
    for stress in placed.stresses:
        same = groups and stress.text is not None and groups[-1][0].text == stress.text
        if same and words.count(stress.text or "") == 1:
            groups[-1].append(stress)
        else:
            groups.append([stress])
    return groups


def _table(what_said: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("frames", no_wrap=True, header_style="dim")
    table.add_column("hit", no_wrap=True, header_style="dim")
    table.add_column("part", header_style="dim", no_wrap=True)
    table.add_column(what_said, header_style="dim", ratio=1)
    return table


def _brief(suggestions: Iterable[Suggestion], alone: bool) -> Table:
    """A row a suggestion, in the order of frames."""
    table = _table("what")
    for entry in sorted(suggestions, key=_in_time):
        hit = "" if entry.hit is None else str(entry.hit)
        words = _what_row(entry)
        if is_nice(entry):
            words.append("  (if wanted)", style="dim")
        table.add_row(_frames(entry), hit, _part(entry, alone), words)
    return table


def _full(
    suggestions: Sequence[Suggestion], placed: LinePlan, said: Sequence[SaidWord], alone: bool
) -> Table:
    """The rows under their poses, each with its reason."""
    table = _table("what, and why here")
    told: set[tuple[str, str]] = set()
    for number, group in enumerate(grouped(suggestions, placed.who)):
        if number:
            table.add_row()
        pose = next((s for s in group if s.kind == "pose"), None)
        for nice in (False, True):
            rows = [s for s in group if is_nice(s) == nice]
            if nice and rows:
                table.add_row("", "", Text(f"{_under(pose)}if wanted:", style="dim"), "")
            for entry in rows:
                indent = "" if entry is pose else _under(pose)
                words = _what_row(entry)
                words.append("\n" + why(entry, told), style="not bold dim")
                if entry.via and entry.kind in PATHS_SAID:
                    words.append(f"\npath: {entry.via}", style="not bold dim")
                part = f"{indent}{_part(entry, alone)}"
                table.add_row(_frames(entry), _hit(entry, said), part, words)
    return table


def grouped(suggestions: Iterable[Suggestion], speaker: str) -> list[list[Suggestion]]:
    """Suggestions by the pose they belong to, the speaker's first; a pose heads its group.

    What carries a beat belongs to that beat's pose, the rest to the pose last begun.
    """
    own: dict[str, list[Suggestion]] = {speaker: []}
    for entry in sorted(suggestions, key=_in_time):
        own.setdefault(entry.who, []).append(entry)
    found: list[list[Suggestion]] = []
    for entries in own.values():
        poses = [s for s in entries if s.kind == "pose"]
        groups: list[list[Suggestion]] = [[], *([pose] for pose in poses)]
        for entry in entries:
            if entry.kind != "pose":
                groups[_place(entry, poses)].append(entry)
        found += [group for group in groups if group]
    return found


def _place(entry: Suggestion, poses: Sequence[Suggestion]) -> int:
    """Which pose, counted from 1, a suggestion belongs to; 0 for none."""
    if entry.beat is not None:
        of_beat = [
            k for k, p in enumerate(poses, 1) if (p.beat, p.line) == (entry.beat, entry.line)
        ]
        if of_beat:
            return of_beat[0]
    return sum(pose.frames[0] <= entry.frames[0] for pose in poses)


def is_nice(entry: Suggestion) -> bool:
    """Whether the plan stands without it."""
    return not entry.must and entry.certainty < NICE


def _in_time(entry: Suggestion) -> tuple[int, int, str]:
    return entry.frames[0], entry.hit or entry.frames[0], entry.id


def _under(pose: Suggestion | None) -> str:
    return "" if pose is None else "  "


def _frames(entry: Suggestion) -> str:
    return f"{entry.frames[0]}-{entry.frames[1]}"


def _part(entry: Suggestion, alone: bool) -> str:
    return part_of(entry) if alone else f"{entry.who}: {part_of(entry)}"


def _hit(entry: Suggestion, said: Sequence[SaidWord]) -> Text:
    """The frame of the hit, and under it the word that sounds then."""
    if entry.hit is None:
        return Text()
    found = [(first, word) for first, last, word in said if first <= entry.hit <= last]
    text = Text(str(entry.hit))
    if found:
        word = max(found, key=lambda pair: pair[0])[1]
        text.append(f"\n{word[:LONGEST_WORD]}", style="dim")
    return text


def _what_row(entry: Suggestion) -> Text:
    words = Text(what(entry), style="bold" if entry.kind in ("accent", "pose") else "")
    if entry.decision:
        words.append(f"  [{entry.decision}]")
    return words


def part_of(entry: Suggestion) -> str:
    """The part as people call it: near and far hand where no side is known."""
    named = entry.via.split(",", maxsplit=1)[0]
    return named if named in ("near hand", "far hand") else entry.part


def what(entry: Suggestion) -> str:
    """The suggestion in a few words: kind, direction, path if it is more than a plain arc, size."""
    text = " ".join(w for w in (entry.kind, entry.direction) if w)
    if entry.kind == "hold" and entry.direction.startswith("on"):
        text = f"hold, easing {entry.direction}"
    if entry.kind == "pose" and entry.path == "still":
        text += ", held from the first frame"
    elif entry.path not in ("", "arc"):
        text += f", {entry.path}"
    if entry.text:
        text += f', on "{entry.text}"'
    sized = entry.kind not in UNSIZED and entry.size >= SMALLEST_SHOWN
    return f"{text}, size {entry.size:.1f}" if sized else text


def why(entry: Suggestion, told: set[tuple[str, str]] | None = None) -> str:
    """The reason: what the sound does, then what the intent makes of it.

    told : (character, sound) said already; a reason from the sound is said once, and remembered.
    """
    told = set() if told is None else told
    sound = (entry.who, entry.because.sound)
    parts = [entry.because.intent] if sound in told else [entry.because.sound, entry.because.intent]
    told.add(sound)
    return "; ".join(part for part in parts if part)
