"""A plan as text for a terminal: line by line, in the order of frames, each with its reason."""

from __future__ import annotations

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
UNSIZED = ("blink", "look", "hold", "settle")  # nobody asks how big these are


def print_plan(
    scene: Scene,
    plan: Plan,
    *,
    who: str | None = None,
    brief: bool = False,
    console: Console | None = None,
) -> None:
    """Print a plan on standard output, in the order of frames.

    who : only this character's; brief : a line a suggestion, without the reasons.
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
            out.print(_table(own, brief=brief, alone=len(scene.characters) < 2))
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


def _table(suggestions: list[Suggestion], *, brief: bool, alone: bool) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("frames", no_wrap=True, header_style="dim")
    table.add_column("hit", no_wrap=True, header_style="dim")
    table.add_column("part", header_style="dim", no_wrap=True)
    table.add_column("what" if brief else "what, and why here", header_style="dim", ratio=1)
    told: set[tuple[str, str]] = set()
    for entry in sorted(suggestions, key=lambda s: (s.frames[0], s.hit or s.frames[0], s.id)):
        part = part_of(entry) if alone else f"{entry.who}: {part_of(entry)}"
        words = Text(what(entry), style="bold" if entry.kind in ("accent", "pose") else "")
        if not entry.must and entry.certainty < NICE:
            words.append("  (if wanted)", style="dim")
        if entry.decision:
            words.append(f"  [{entry.decision}]")
        if not brief:
            words.append("\n" + why(entry, told), style="not bold dim")
            if entry.via and entry.kind in PATHS_SAID:
                words.append(f"\npath: {entry.via}", style="not bold dim")
        hit = "" if entry.hit is None else str(entry.hit)
        table.add_row(f"{entry.frames[0]}-{entry.frames[1]}", hit, part, words)
    return table


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
