"""Actions that ask something first: the question, and what the core does with the answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from audio.errors import LinebeatError
from planner.desk import compare, cursor, find
from planner.desk.actions import ACTIONS
from planner.desk.choices import (
    BeatAt,
    Frames,
    NoteAt,
    Phrases,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
)
from planner.desk.dialogs.ask import Ask
from planner.desk.dialogs.page import Page
from planner.desk.dialogs.pick import Pick
from planner.desk.edits import beats, cues, ear, notes, poses
from planner.desk.entries import (
    Entry,
    action_entries,
    cue_entries,
    intent_entries,
    pass_entries,
    play_entries,
)
from planner.desk.frame_text import frame_of_text
from planner.desk.state import say
from planner.desk.views.why import why_text

if TYPE_CHECKING:
    from planner.desk.app import DeskApp

WELCOME = """\
Mean, the script: pick words or whole phrases and say what is meant. Each number key tags with an \
intent of the row on top, t with any; a tags the next one alike; S and W make it stronger, weaker.

Move: the pitch of the line as a curve, > at a stress, ^ at the strongest of its phrase, the frame \
below it; under that the beats, and the plan: a block a move, bright where it hits.

Mend: key poses with verdicts, what does not land, notes.

m  goes from one to the next,  tab  from panel to panel.   .  and  ,  step,  [  and  ]  nudge.
/  finds,  s  saves,  z  takes back,  ?  lists every key.
"""
PHONES = "phones with stress, as T OW1 B IH0 N; empty for as the dictionary has it"


class Questions:
    """What is asked before something is done."""

    def __init__(self, app: DeskApp) -> None:
        self._app = app

    def doings(self) -> dict[str, Callable[[], Any]]:
        """Actions by their ids."""
        return {
            "goto": self.goto, "tag": self.tag, "write": self.write, "why": self.why,
            "pose": self.pose, "poses": self.poses, "note": self.note, "actions": self.actions,
            "find": self.find, "cue": self.cue, "passes": self.passes, "said": self.said,
            "sounds": self.sounds, "compare": self.compare,
        }  # fmt: skip

    def welcome(self) -> None:
        """The hint of the first run."""
        self._app.push_screen(Page("Welcome", WELCOME))

    def _ask(self, ask: Ask, then: Callable[[str], Any]) -> None:
        self._app.push_screen(ask, lambda text: None if text is None else then(text))

    def _pick(self, pick: Pick, then: Callable[[str], Any]) -> None:
        self._app.push_screen(pick, lambda name: then(name) if name else None)

    def _say(self, text: str) -> None:
        self._app.apply(say(self._app.desk, text))

    # where one is

    def goto(self) -> None:
        """Ask for a place in time."""
        clock = self._app.desk.scene.clock

        def wrong(text: str) -> str:
            try:
                frame_of_text(text, clock)
            except ValueError as problem:
                return str(problem)
            return ""

        ask = Ask("Go to", hint="1016, 00:00:01:04, 1.5s or 2+08", wrong=wrong)
        self._ask(
            ask, lambda t: self._app.apply(cursor.go_to(self._app.desk, frame_of_text(t, clock)))
        )

    def find(self) -> None:
        """Ask what to go to."""
        found = find.places(self._app.desk)
        by_id = {entry.id: choice for entry, choice in found}
        pick = Pick("Find: words, intents, untagged, remarks, notes, problems",
                    [entry for entry, _ in found], none="nothing like that; esc")  # fmt: skip
        self._pick(pick, lambda n: self._app.apply(find.go_to_place(self._app.desk, by_id[n])))

    def why(self) -> None:
        """Everything about what is chosen."""
        if self._app.desk.choice is None:
            self._say("nothing is chosen: . steps to the next thing")
            return
        self._app.push_screen(Page("What is chosen, and why", why_text(self._app.desk)))

    # beats

    def tag(self) -> None:
        """Ask for an intent."""
        desk = self._app.desk
        beat = beats.beat_of(desk)
        if beat is None and not isinstance(desk.choice, Words | Phrases | Frames):
            self._say(beats.PICK_FIRST)
            return
        chosen = "" if beat is None else desk.scene.beats[beat].intent
        entries = intent_entries(desk.scene, desk.favourites)
        pick = Pick("What does this mean? (tab: tag and go on)", entries, chosen=chosen,
                    none="no such intent; esc", tab="on ")  # fmt: skip
        self._pick(pick, self._tag)

    def _tag(self, answer: str) -> None:
        go_on, intent = answer.startswith("on "), answer.removeprefix("on ")
        tagged = beats.tag(self._app.desk, intent)
        self._app.apply(beats.next_untagged(tagged) if go_on else tagged)

    def write(self) -> None:
        """Ask for the words of what is chosen: a remark, a name, a note, why a problem is meant."""
        desk = self._app.desk
        match desk.choice:
            case PoseAt(index):
                ask = Ask("Write the pose's name", value=desk.scene.poses[index].name)
                self._ask(ask, lambda t: self._app.apply(poses.name_pose(self._app.desk, t)))
            case NoteAt(index):
                ask = Ask("Write the note anew", value=desk.scene.notes[index].text)
                self._ask(ask, lambda t: self._app.apply(notes.reword(self._app.desk, t)))
            case ProblemAt(index) if desk.verdicts.problems[index].kind == "missed":
                self._say(notes.NOT_ACCEPTED)
            case ProblemAt():
                ask = Ask("Why is this meant?", hint="it is then no longer a problem")
                self._ask(ask, lambda t: self._app.apply(notes.accept(self._app.desk, t)))
            case BeatAt() | Words() | SuggestionOf() if (b := beats.beat_of(desk)) is not None:
                ask = Ask("Write a remark on this beat", value=desk.scene.beats[b].note)
                self._ask(ask, lambda t: self._app.apply(beats.remark(self._app.desk, t)))
            case Words() | Phrases():
                self._say("tag these words first: a remark is kept with their beat")
            case _:
                self._say("choose a beat, a pose, a note or a problem first")

    def cue(self) -> None:
        """Ask how a listener takes the chosen word."""
        desk = self._app.desk
        hearing = cues.listeners(desk)
        if not hearing or not isinstance(desk.choice, Words):
            self._say("choose a word first, with somebody there to hear it")
            return
        word = desk.facts.line[desk.choice.line].words[desk.choice.last - 1].text
        pick = Pick(f'How is "{word}" taken?', cue_entries(desk.scene, hearing), none="no such")

        def then(name: str) -> None:
            who, _, intent = name.partition("/")
            self._app.apply(cues.set_cue(self._app.desk, who, intent))

        self._pick(pick, then)

    def compare(self) -> None:
        """Ask for another version; while one is there, flip."""
        desk = self._app.desk
        if desk.other is not None:
            self._app.apply(compare.flip(desk))
            return
        entries = [*play_entries(desk), *intent_entries(desk.scene, desk.favourites)]
        if desk.past is not None:
            entries.insert(0, Entry(compare.BEFORE, "before", f"{compare.BEFORE}: {desk.past.did}"))
        if beats.beat_of(desk) is None and not isinstance(desk.choice, Words | Phrases):
            entries = entries[:1] if desk.past is not None else []
        if not entries:
            self._say("choose a beat or words first")
            return
        pick = Pick("Beside it, to compare", entries, none="no such intent; esc")
        self._pick(pick, self._compare)

    def _compare(self, name: str) -> None:
        scene = compare.other_scene(self._app.desk, name)
        if scene is None:
            self._say("that is what it is already")
            return
        told = "before" if name == compare.BEFORE else name.removeprefix(compare.PLAY)
        self._app.background.plan_beside(scene, told)

    # the ear

    def said(self) -> None:
        """Ask what the line says."""
        line = self._line()
        if line is not None:
            ask = Ask(f"What line {line.number} says", value=line.say or "")
            self._ask(ask, lambda t: self._app.background.listen_again(
                replace(line, say=" ".join(t.split()) or None)))  # fmt: skip

    def sounds(self) -> None:
        """Ask how a word sounds."""
        desk, line = self._app.desk, self._line()
        if line is None or not isinstance(desk.choice, Words):
            return
        word = desk.facts.line[line.number].words[desk.choice.last - 1].text
        ask = Ask(f'"{word}" sounds like', value=line.sounds_like.get(word, ""), hint=PHONES)

        def then(text: str) -> None:
            phones = " ".join(text.upper().split())
            kept = {w: p for w, p in line.sounds_like.items() if w != word}
            new = {**kept, word: phones} if phones else kept
            self._app.background.listen_again(replace(line, sounds_like=new))

        self._ask(ask, then)

    def _line(self) -> Any:
        choice = self._app.desk.choice
        if not isinstance(choice, Words):
            self._say(ear.PICK_FIRST)
            return None
        return self._app.desk.scene.lines[choice.line - 1]

    # poses, notes, passes

    def pose(self) -> None:
        """Ask for a part and a name."""

        def wrong(text: str) -> str:
            return "" if poses.split_part(text)[0] else "begin with a part: head, chest, eyes..."

        at = self._app.desk.cursor
        ask = Ask(f"A key pose on {at}", hint="part, then name: head chin down", wrong=wrong)
        self._ask(ask, lambda t: self._app.apply(poses.add_pose(self._app.desk, t)))

    def poses(self) -> None:
        """Ask for a file of poses."""
        ask = Ask("Key poses from which file?", hint="CSV: frame,who,part,name")
        self._ask(ask, self._load_poses)

    def _load_poses(self, text: str) -> None:
        from planner.check.pose_file import read_poses

        desk = self._app.desk
        path = Path(text.strip()).expanduser()
        if not path.is_absolute() and not path.exists():
            path = Path(desk.scene.folder) / path
        try:
            read = read_poses(path, desk.scene.characters).poses
        except LinebeatError as error:
            self._app.apply(say(desk, error.line()))
        else:
            self._app.apply(poses.load_poses(desk, read, path.name))

    def note(self) -> None:
        """Ask for a note."""
        ask = Ask("A new note", hint="on what is chosen, or at the cursor")
        self._ask(ask, lambda t: self._app.apply(notes.add_note(self._app.desk, t)))

    def passes(self) -> None:
        """Ask which pass is done, or open again."""
        entries = pass_entries(self._app.desk)
        if not entries:
            self._say("there is no phrase here")
            return
        pick = Pick("Which pass is done on this phrase, or open again?", entries)
        self._pick(pick, lambda n: self._app.apply(cues.toggle_pass(self._app.desk, n)))

    # everything

    def actions(self) -> None:
        """All actions, to search and to do; what works here comes first."""
        entries = action_entries(ACTIONS, self._app.desk)
        self._pick(Pick("Everything the desk does", entries, none="no such action; esc"), self._do)

    def _do(self, name: str) -> None:
        action = next(a for a in ACTIONS if a.id == name)
        if action.applies(self._app.desk):
            self._app.action_do(name)
        else:
            self._say(f"{action.label} works in {action.where()}")
