"""Everything the desk can do, as data: keys, names, what it is for, where it applies.

Bindings, the line of keys at the bottom and the list of all actions are made from this table, so
that none of them can say what another does not. `doing.py` holds what an action does.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.desk.state import Desk, Panel, Way

LOOK, PICK, SHAPE, LEAD, SOUND, FILE = (
    "look around", "choose and tag", "shape the plan", "poses and notes", "sound", "file and help",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Action:
    """An action. `keys`: the first is the one shown. `panels`, `ways`: where it applies, or all.

    `rank` orders the line of keys: the lower the sooner; None leaves it to the list of actions.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    tip: str
    group: str
    panels: tuple[Panel, ...] = ()
    ways: tuple[Way, ...] = ()
    rank: int | None = None

    def applies(self, desk: Desk) -> bool:
        """True if the action does something in this panel and way."""
        return (not self.panels or desk.panel in self.panels) and (
            not self.ways or desk.way in self.ways
        )


_FRAMED: tuple[Way, ...] = ("move", "mend")  # the ways that show frames
_TAGGED: tuple[Panel, ...] = ("script", "words", "beats", "plan")

ACTIONS: tuple[Action, ...] = (
    Action("mean", ("1",), "mean", "the script, phrase by phrase: give each its meaning", LOOK),
    Action("move", ("2",), "move", "tone line, beats and plan: what moves, when, and why", LOOK),
    Action("mend", ("3",), "mend", "key poses with verdicts, notes, what does not land", LOOK),
    Action("later", ("right",), "a frame on", "a frame later; in the script, a word on", LOOK),
    Action("earlier", ("left",), "a frame back", "a frame earlier; or a word back", LOOK),
    Action("on", ("pagedown",), "a screen on", "most of a screen later", LOOK, ways=_FRAMED),
    Action("back", ("pageup",), "a screen back", "most of a screen earlier", LOOK, ways=_FRAMED),
    Action("start", ("home",), "start", "the cursor to the first frame of the shot", LOOK),
    Action("end", ("end",), "end", "the cursor to the last frame of the shot", LOOK),
    Action("goto", ("g",), "go to", "the cursor to a frame, timecode, 1.5s or feet+frames", LOOK),
    Action("nearer", ("plus", "equals_sign"), "nearer", "fewer frames a column", LOOK,
           ways=_FRAMED),
    Action("farther", ("minus",), "farther", "more frames a column, to 16", LOOK, ways=_FRAMED),
    Action("whole", ("0",), "whole shot", "as much of the shot as fits", LOOK, ways=_FRAMED),
    Action("unit", ("u",), "unit", "the ruler in frames, timecode, seconds or feet+frames", LOOK),
    Action("who", ("w",), "whose", "the plan of one character, or of everyone", LOOK, ways=_FRAMED),
    Action("panel", ("tab",), "next panel", "the keys to the next panel", LOOK, rank=90),
    Action("panel_back", ("shift+tab",), "panel before", "the keys to the panel before", LOOK),
    Action("next", ("full_stop",), "next", "the next word, beat, suggestion, pose, note or problem",
           PICK, rank=10),
    Action("previous", ("comma",), "previous", "the one before", PICK, rank=11),
    Action("down", ("down",), "row down", "a row down: the next phrase, or another part's plan",
           PICK),
    Action("up", ("up",), "row up", "a row up", PICK),
    Action("word_more", ("greater_than_sign",), "a word more", "pick a word more at the end", PICK,
           panels=("script", "words"), rank=20),
    Action("word_less", ("less_than_sign",), "a word less", "pick a word less", PICK,
           panels=("script", "words")),
    Action("pick_on", ("shift+right",), "pick frames", "pick frames from the cursor on", PICK,
           ways=_FRAMED),
    Action("pick_back", ("shift+left",), "pick back", "pick frames from the cursor back", PICK,
           ways=_FRAMED),
    Action("none", ("escape",), "let go", "choose nothing", PICK),
    Action("tag", ("t",), "tag", "an intent for what is picked, from a list with reasons", PICK,
           panels=_TAGGED, rank=15),
    Action("stronger", ("shift+up", "S"), "stronger", "the beat stronger by a tenth", PICK,
           panels=_TAGGED, rank=30),
    Action("weaker", ("shift+down", "W"), "weaker", "the beat weaker by a tenth", PICK,
           panels=_TAGGED),
    Action("write", ("r",), "write", "write a beat's remark, a pose's name, a note anew", PICK,
           rank=45),
    Action("edge", ("e",), "other edge", "nudge the beat's other edge from now on", PICK,
           panels=("beats",), rank=25),
    Action("nudge_back", ("left_square_bracket", "alt+left"), "nudge back",
           "the suggestion, edge or pose a frame earlier", SHAPE,
           panels=("plan", "beats", "poses"), rank=16),
    Action("nudge_on", ("right_square_bracket", "alt+right"), "nudge on",
           "the suggestion, edge or pose a frame later", SHAPE,
           panels=("plan", "beats", "poses"), rank=17),
    Action("shorter", ("left_curly_bracket", "alt+down"), "shorter",
           "the suggestion a frame shorter; a beat's edge a word back", SHAPE,
           panels=("plan", "beats"), rank=33),
    Action("longer", ("right_curly_bracket", "alt+up"), "longer",
           "the suggestion a frame longer; a beat's edge a word on", SHAPE,
           panels=("plan", "beats"), rank=32),
    Action("keep", ("k",), "keep", "keep the suggestion through new plans (again: take back)",
           SHAPE, panels=("plan",), rank=18),
    Action("lock", ("l",), "lock", "lock the suggestion where it is (again: unlock)", SHAPE,
           panels=("plan",), rank=19),
    Action("drop", ("d",), "drop", "drop what is chosen; a dropped suggestion comes back", SHAPE,
           rank=21),
    Action("dropped", ("v",), "show dropped", "show what was dropped, struck through", SHAPE,
           panels=("plan",), rank=40),
    Action("why", ("enter",), "why", "all that is known about what is chosen", SHAPE, rank=22),
    Action("undo", ("z", "ctrl+z"), "undo", "take the last change back, without end", SHAPE,
           rank=70),
    Action("redo", ("y", "ctrl+y"), "redo", "do it again after all", SHAPE),
    Action("next_problem", ("x",), "next problem", "to the next thing that does not land", LEAD,
           ways=("mend",), rank=12),
    Action("last_problem", ("X",), "problem before", "to the problem before", LEAD,
           ways=("mend",)),
    Action("pose", ("a",), "add pose", "a key pose at the cursor: part, then name", LEAD,
           ways=("mend",), rank=23),
    Action("poses", ("i",), "bring poses", "key poses from a file, in place of the scene's", LEAD,
           ways=("mend",), rank=41),
    Action("note", ("n",), "note", "a note on what is chosen, or at the cursor", LEAD, rank=50),
    Action("check_off", ("c",), "check off", "the note is done, or open again", LEAD,
           ways=_FRAMED, rank=51),
    Action("play", ("space",), "play", "play from the cursor, or stop", SOUND, rank=60),
    Action("loop", ("o",), "over and over", "play what is picked over and over", SOUND),
    Action("half", ("h",), "half speed", "half speed at the same pitch, on or off", SOUND),
    Action("murmur", ("m",), "sound steps", "hear each frame as the cursor steps, on or off",
           SOUND),
    Action("save", ("s", "ctrl+s"), "save", "save the scene file; only what changed is written",
           FILE, rank=71),
    Action("picture", ("p",), "picture", "save what is seen as an SVG picture", FILE),
    Action("actions", ("question_mark", "f1"), "all keys", "every action, to search and to do",
           FILE, rank=1),
    Action("quit", ("q", "ctrl+q"), "quit", "leave the desk; changes are asked about", FILE,
           rank=80),
)  # fmt: skip

BY_ID = {action.id: action for action in ACTIONS}

KEY_NAMES = {
    "full_stop": ".", "comma": ",", "greater_than_sign": ">", "less_than_sign": "<",
    "plus": "+", "equals_sign": "=", "minus": "-", "left_square_bracket": "[",
    "right_square_bracket": "]", "left_curly_bracket": "{", "right_curly_bracket": "}",
    "question_mark": "?", "pagedown": "page down", "pageup": "page up", "escape": "esc",
    "left": "←", "right": "→", "up": "↑", "down": "↓",
}  # fmt: skip


def key_name(key: str) -> str:
    """A key as it is printed on the keyboard."""
    *modifiers, last = key.split("+")
    return "+".join((*modifiers, KEY_NAMES.get(last, last)))
