"""Actions that ask something first: the question, and what the core does with the answer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from audio.errors import LinebeatError
from planner.desk import moving, noting, posing, tagging
from planner.desk.actions import ACTIONS
from planner.desk.dialogs.ask import Ask
from planner.desk.dialogs.page import Page
from planner.desk.dialogs.pick import Pick
from planner.desk.goto import frame_of_text
from planner.desk.picking import action_entries, intent_entries
from planner.desk.state import BeatAt, Frames, NoteAt, PoseAt, SuggestionOf, Words, say
from planner.desk.why_view import why_text

if TYPE_CHECKING:
    from planner.desk.app import DeskApp

WELCOME = """\
Each syllable stands at the height of its pitch, over its frames. Where it is stressed it is \
heavier, with > above it, or ^ where its phrase is strongest, and a stem goes down to the frame.

1 Mean   the script: pick words, say what they mean
2 Move   the tone line, the beats, what moves when, and why
3 Mend   key poses, what does not land, notes

Try this:  .  picks a word,  >  a word more,  t  tags them with an intent.  tab  goes to the \
beats and the plan; there  .  steps,  [  and  ]  nudge by a frame.
s  saves,  z  takes back,  ?  lists every key.
"""


class Questions:
    """What is asked before something is done."""

    def __init__(self, app: DeskApp) -> None:
        self._app = app

    def doings(self) -> dict[str, Callable[[], Any]]:
        """Actions by their ids."""
        return {
            "goto": self.goto, "tag": self.tag, "write": self.write, "why": self.why,
            "pose": self.pose, "poses": self.poses, "note": self.note, "actions": self.actions,
        }  # fmt: skip

    def welcome(self) -> None:
        """The hint of the first run."""
        self._app.push_screen(Page("Welcome", WELCOME))

    def _ask(self, ask: Ask, then: Callable[[str], Any]) -> None:
        self._app.push_screen(ask, lambda text: None if text is None else then(text))

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
            ask, lambda t: self._app.apply(moving.go_to(self._app.desk, frame_of_text(t, clock)))
        )

    def tag(self) -> None:
        """Ask for an intent."""
        desk = self._app.desk
        beat = tagging.beat_of(desk)
        if beat is None and not isinstance(desk.choice, Words | Frames):
            self._app.apply(say(desk, "pick words or frames first"))
            return
        chosen = "" if beat is None else desk.scene.beats[beat].intent
        self._app.push_screen(
            Pick(
                "What does this mean?", intent_entries(desk.scene), chosen=chosen,
                none="no such intent; esc",
            ),
            self._tag,
        )  # fmt: skip

    def _tag(self, intent: str | None) -> None:
        if intent:
            self._app.apply(tagging.tag(self._app.desk, intent))

    def write(self) -> None:
        """Ask for the words of what is chosen: a beat's remark, a pose's name, a note."""
        desk = self._app.desk
        match desk.choice:
            case PoseAt(index):
                ask = Ask("Write the pose's name", value=desk.scene.poses[index].name)
                self._ask(ask, lambda t: self._app.apply(posing.name_pose(self._app.desk, t)))
            case NoteAt(index):
                ask = Ask("Write the note anew", value=desk.scene.notes[index].text)
                self._ask(ask, lambda t: self._app.apply(noting.reword(self._app.desk, t)))
            case BeatAt() | Words() | SuggestionOf() if (b := tagging.beat_of(desk)) is not None:
                ask = Ask("Write a remark on this beat", value=desk.scene.beats[b].note)
                self._ask(ask, lambda t: self._app.apply(tagging.remark(self._app.desk, t)))
            case _:
                self._app.apply(say(desk, "choose a beat, a pose or a note first"))

    def why(self) -> None:
        """Everything about what is chosen."""
        self._app.push_screen(Page("What is chosen, and why", why_text(self._app.desk)))

    def pose(self) -> None:
        """Ask for a part and a name."""

        def wrong(text: str) -> str:
            return "" if posing.split_part(text)[0] else "begin with a part: head, chest, eyes..."

        at = self._app.desk.cursor
        ask = Ask(f"A key pose on {at}", hint="part, then name: head chin down", wrong=wrong)
        self._ask(ask, lambda t: self._app.apply(posing.add_pose(self._app.desk, t)))

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
            poses = read_poses(path, desk.scene.characters).poses
        except LinebeatError as error:
            self._app.apply(say(desk, error.line()))
        else:
            self._app.apply(posing.load_poses(desk, poses, path.name))

    def note(self) -> None:
        """Ask for a note."""
        ask = Ask("A new note", hint="on what is chosen, or at the cursor")
        self._ask(ask, lambda t: self._app.apply(noting.add_note(self._app.desk, t)))

    def actions(self) -> None:
        """All actions, to search and to do."""
        entries = action_entries(ACTIONS)
        self._app.push_screen(
            Pick("Everything the desk does", entries, none="no such action; esc"), self._do
        )

    def _do(self, name: str | None) -> None:
        """Do an action from the list, or say where it applies."""
        if not name:
            return
        action = next(a for a in ACTIONS if a.id == name)
        if action.applies(self._app.desk):
            self._app.action_do(name)
            return
        where = ", ".join((*action.panels, *(f"way in {w}" for w in action.ways)))
        self._app.apply(say(self._app.desk, f"{action.label} works in: {where}"))
