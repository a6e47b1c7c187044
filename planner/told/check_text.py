"""A check as text for a terminal: each character's poses, what is missed, what to look at.

No computation beyond wording; frames are the scene's own.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.check.compare import Comparison, Problem, spaced
from planner.check.expect import Outcome
from planner.check.result import CheckResult, PoseVerdict
from planner.scene import Scene
from planner.shot.stresses import SpokenStress

STATES = {"answered": "answered", "changed": "changed there", "untouched": "untouched"}
STYLES = {"lands": "", "early": "bold yellow", "late": "bold red", "free": "dim"}


def print_check(scene: Scene, result: CheckResult, *, console: Console | None = None) -> None:
    """Print a check on standard output."""
    from planner.told.shown_console import console as plain_console

    out = console or plain_console()
    counts = result.summary
    out.print(
        f"{scene.title or scene.file}: {_many(len(result.poses), 'key pose')} against "
        f"{_many(counts.stresses, 'stress', 'stresses')} at {scene.rate}"
    )
    for who in scene.characters:
        own = [p for p in result.poses if p.pose.who == who]
        missed = [s for s in result.missed if s.who == who]
        if own or missed:
            out.print()
            out.print(Text(who, style="bold"))
            if own:
                out.print(_pose_table(own))
            _print_missed(out, missed)
    _print_findings(out, result)
    out.print()
    out.print(summed_up(result))


def _many(count: int, one: str, more: str = "") -> str:
    return f"1 {one}" if count == 1 else f"{count} {more or one + 's'}"


def _plain_table(*columns: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=bool(any(columns)))
    for name in columns:
        table.add_column(name, header_style="dim", no_wrap=name in ("frame", "frames"))
    return table


def _pose_table(own: Sequence[PoseVerdict]) -> Table:
    table = _plain_table("frame", "part", "pose", "against the voice")
    for p in own:
        table.add_row(
            str(p.pose.frame), p.pose.part, p.pose.name or "-",
            Text(verdict_text(p), style=STYLES[p.verdict]),
        )  # fmt: skip
    return table


def verdict_text(judged: PoseVerdict) -> str:
    """A verdict in words: `lands 2 ahead of "third" (1016), main accent`."""
    stress, by = judged.stress, judged.by_frames
    if stress is None or by is None:
        return f"free: {judged.reason}" if judged.reason else "free: no reason found"
    main = ", main accent" if stress.main else ""
    note = f"; {judged.reason}" if judged.reason and judged.verdict == "lands" else ""
    return f"{stands(judged.verdict, by, stress.word)} ({stress.frame}){main}{note}"


def stands(verdict: str, by_frames: int, word: str) -> str:
    """How a pose stands to a stress: `lands 2 ahead of "third"`, `late by 3 for "third"`."""
    if verdict != "lands":
        return f"{verdict} by {abs(by_frames)} for {word}"
    if by_frames == 0:
        return f"lands on {word}"
    return f"lands {abs(by_frames)} {'ahead of' if by_frames < 0 else 'after'} {word}"


def _print_missed(out: Console, missed: Sequence[SpokenStress]) -> None:
    mains = [s for s in missed if s.main]
    light = [s for s in missed if not s.main]
    if mains:
        listed = ", ".join(f"{s.word} ({s.frame})" for s in mains)
        out.print(Text(f"main accent without a pose: {listed}", style="bold red"))
    if light:
        listed = ", ".join(f"{s.word} ({s.frame})" for s in light)
        out.print(Text(f"other stresses left alone: {listed}", style="dim"))


def _print_findings(out: Console, result: CheckResult) -> None:
    if not result.findings:
        return
    out.print()
    out.print(Text("to look at (a choice can overrule any of it)", style="bold"))
    table = _plain_table("frames", "who", "what", "sure")
    for f in result.findings:
        first, last = f.frames
        table.add_row(
            str(first) if first == last else f"{first}-{last}", f.who,
            f"{spaced(f.kind)}: {f.text}", "yes" if f.certain else "perhaps",
        )  # fmt: skip
    out.print(table)


def summed_up(result: CheckResult) -> str:
    """The check in a sentence."""
    counts = result.summary
    parts = [
        f"{counts.main_landed} of {_many(counts.main_accents, 'main accent')} landed, "
        f"{counts.landed} of {_many(counts.stresses, 'stress', 'stresses')} in all"
    ]
    for word in ("early", "late"):
        count = sum(p.verdict == word for p in result.poses)
        if count:
            parts.append(f"{_many(count, 'pose')} {word}")
    sure = sum(f.certain for f in result.findings)
    perhaps = len(result.findings) - sure
    if sure:
        more = f", {perhaps} perhaps" if perhaps else ""
        parts.append(f"{_many(sure, 'finding')} for sure{more}")
    elif perhaps:
        parts.append(f"{_many(perhaps, 'finding')} perhaps")
    return "; ".join(parts)


def print_outcomes(outcomes: Sequence[Outcome], console: Console) -> None:
    """Print what became of each rule that was given."""
    console.print()
    for outcome in outcomes:
        state = "met" if outcome.met else "not met"
        console.print(Text(f"{state}: {outcome.rule.text} ({outcome.found})",
                           style="" if outcome.met else "bold red"))  # fmt: skip


def print_comparison(compared: Comparison, console: Console) -> None:
    """Print what changed since the older poses."""
    console.print()
    console.print(Text("since the older poses", style="bold"))
    for change in compared.changes:
        console.print(change.text)
    if not compared.changes:
        console.print("no pose changed")
    for title, problems in (
        ("gone", compared.gone), ("new", compared.new), ("still there", compared.kept),
    ):  # fmt: skip
        _print_problems(console, title, problems)
    _print_notes(console, compared)


def _print_notes(console: Console, compared: Comparison) -> None:
    if not compared.notes:
        return
    console.print(Text("open notes", style="bold"))
    table = _plain_table("frames", "note", "state", "what changed there")
    for note in compared.notes:
        first, last = note.frames
        table.add_row(f"{first}-{last}", f"{note.number}: {note.text}", STATES[note.state],
                      "\n".join(note.because) or "nothing")  # fmt: skip
    console.print(table)


def _print_problems(console: Console, title: str, problems: Sequence[Problem]) -> None:
    if not problems:
        return
    console.print(Text(title, style="bold"))
    table = _plain_table("frames", "who", "what")
    for problem in problems:
        table.add_row(problem.where, problem.who, problem.text)
    console.print(table)
