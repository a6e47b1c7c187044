"""Everything the desk can do, as data: keys, names, what it is for, where it applies, what it does.

Bindings, the line of keys at the bottom and the list of all actions are made from this table, so
that none of them can say what another does not. An action without `do` asks something, touches a
file or sounds: those stand in `questions`, `session` and `sound.player`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from planner.desk import choice, compare, cursor, focus
from planner.desk.choices import BeatAt, NoteAt, PoseAt, SuggestionOf, Words
from planner.desk.edits import beats, decisions, ear, notes, poses
from planner.desk.state import Desk, Panel, Way, redo, say, undo
from planner.desk.views.panels import PANELS_OF
from planner.desk.views.ways import WAYS

LOOK, PICK, EAR, SHAPE, LEAD, SOUND, FILE = (
    "look around", "choose and tag", "correct the ear", "shape the plan", "poses and notes",
    "sound", "file and help",
)  # fmt: skip
GROUPS = (PICK, EAR, SHAPE, LEAD, LOOK, SOUND, FILE)
MOST_OF_A_SCREEN = 0.8

Do = Callable[[Desk], Desk]


@dataclass(frozen=True, slots=True)
class Action:
    """An action. `keys`: the first is the one shown. `panels`, `ways`: where it applies, or all.

    `rank` orders the line of keys: the lower the sooner; None leaves it to the list of actions.
    `touches`: it changes what is chosen, which therefore has to be in sight. `fresh`: it keeps
    frames as the plan has them, so that the plan has to be up to date.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    tip: str
    group: str
    do: Do | None = None
    panels: tuple[Panel, ...] = ()
    ways: tuple[Way, ...] = ()
    rank: int | None = None
    touches: bool = False
    fresh: bool = False

    def applies(self, desk: Desk) -> bool:
        """True if the action does something in this panel and way."""
        return (not self.panels or desk.panel in self.panels) and (
            not self.ways or desk.way in self.ways
        )

    def where(self) -> str:
        """Where it applies, in words: "the plan", "Move and Mend"."""
        if self.panels:
            return " and ".join(f"the {panel}" for panel in self.panels)
        return " and ".join(WAYS[way] for way in self.ways) or "everywhere"


def nudge(desk: Desk, by: int, *, by_frames: bool = False) -> Desk:
    """The chosen suggestion, edge, word or pose by so many frames (a beat of words by words)."""
    match desk.choice:
        case SuggestionOf():
            return decisions.lengthen(desk, by) if by_frames else decisions.move(desk, by)
        case BeatAt():
            return beats.nudge_edge(desk, by, by_frames=by_frames)
        case Words():
            return ear.retime(desk, by)
        case PoseAt():
            return poses.move_pose(desk, by)
    return say(desk, "choose a suggestion, a beat, a word or a pose first")


def step(desk: Desk, by: int) -> Desk:
    """A frame along the ruler; a word along the script, which has no ruler."""
    return choice.step_word(desk, by) if desk.way == "mean" else cursor.step_cursor(desk, by)


def grow(desk: Desk, by: int) -> Desk:
    """Frames picked along the ruler; words along the script."""
    if desk.way == "mean":
        return choice.grow_words(desk, by)
    return cursor.grow_frames(desk, by)


def drop(desk: Desk) -> Desk:
    """Drop, untag or remove what is chosen."""
    match desk.choice:
        case SuggestionOf():
            return decisions.decide(desk, "drop")
        case PoseAt():
            return poses.remove_pose(desk)
        case NoteAt():
            return notes.remove_note(desk)
    return beats.untag(desk)


def let_go(desk: Desk) -> Desk:
    """Choose nothing; leave a comparison."""
    if desk.other is not None:
        return replace(desk, other=None, said=f"{desk.other.name}, as it is")
    return replace(desk, choice=None, said="")


def to_way(desk: Desk, way: Way) -> Desk:
    """Another way in."""
    return focus.switch_way(desk, way, PANELS_OF[way])


def next_way(desk: Desk, by: int) -> Desk:
    """The way in after this one."""
    ways = tuple(WAYS)
    return to_way(desk, ways[(ways.index(desk.way) + by) % len(ways)])


def next_panel(desk: Desk, by: int) -> Desk:
    """The keys to the next (1) or previous (-1) panel of this way."""
    panels = PANELS_OF[desk.way]
    place = panels.index(desk.panel) if desk.panel in panels else -by
    return focus.focus(desk, panels[(place + by) % len(panels)])


_FRAMED: tuple[Way, ...] = ("move", "mend")  # the ways that show frames
_TAGGED: tuple[Panel, ...] = ("script", "words", "beats", "plan")
_WORDS: tuple[Panel, ...] = ("script", "words")

ACTIONS: tuple[Action, ...] = (
    # choose and tag
    Action("next", ("full_stop",), "next", "the next word, beat, suggestion, pose, note or problem",
           PICK, lambda d: choice.step_choice(d, 1), rank=10),
    Action("previous", ("comma",), "previous", "the one before", PICK,
           lambda d: choice.step_choice(d, -1), rank=11),
    Action("down", ("down",), "row down", "the next phrase, or another part's plan", PICK,
           lambda d: choice.step_row(d, 1)),
    Action("up", ("up",), "row up", "the phrase or the row before", PICK,
           lambda d: choice.step_row(d, -1)),
    Action("word_more", ("greater_than_sign",), "a word more", "pick a word more at the end", PICK,
           lambda d: choice.grow_words(d, 1), panels=_WORDS, rank=26),
    Action("word_less", ("less_than_sign",), "a word less", "pick a word less", PICK,
           lambda d: choice.grow_words(d, -1), panels=_WORDS),
    Action("phrase_more", ("shift+down",), "a phrase more", "pick several phrases, downward", PICK,
           lambda d: choice.grow_phrases(d, 1), panels=("script",), rank=28),
    Action("phrase_less", ("shift+up",), "a phrase less", "pick upward, or a phrase less", PICK,
           lambda d: choice.grow_phrases(d, -1), panels=("script",)),
    Action("pick_on", ("shift+right",), "pick on", "pick frames from the cursor on; words in Mean",
           PICK, lambda d: grow(d, 1)),
    Action("pick_back", ("shift+left",), "pick back", "pick frames back; a word less in Mean", PICK,
           lambda d: grow(d, -1)),
    Action("none", ("escape",), "let go", "choose nothing; leave a comparison", PICK, let_go),
    Action("tag", ("t",), "tag", "an intent for what is picked, from a list with reasons", PICK,
           panels=_TAGGED, rank=12, touches=True),
    Action("again", ("a",), "tag again", "the last tag on this too, then on to the next untagged",
           PICK, beats.tag_again, panels=_WORDS, rank=14, touches=True),
    *(
        Action(f"tag{n}", (str(n),), f"favourite {n}", f"tag with intent {n} of the row of tags",
               PICK, partial(beats.tag_favourite, number=n), panels=_TAGGED, touches=True)
        for n in range(1, 10)
    ),
    Action("untagged", ("U",), "untagged", "to the next phrase without a beat", PICK,
           lambda d: beats.next_untagged(say(d, "")), panels=_WORDS),
    Action("stronger", ("S",), "stronger", "the beat stronger by a tenth", PICK,
           lambda d: beats.change_strength(d, 1), panels=_TAGGED, rank=20, touches=True),
    Action("weaker", ("W",), "weaker", "the beat weaker by a tenth", PICK,
           lambda d: beats.change_strength(d, -1), panels=_TAGGED, rank=21, touches=True),
    Action("toward", ("f",), "toward", "toward whom the beat is played: the next one, or nobody",
           PICK, beats.face, panels=_TAGGED, touches=True),
    Action("write", ("r",), "write", "a beat's remark, a pose's name, a note, why it is meant",
           PICK, rank=24, touches=True),
    Action("edge", ("e",), "other edge", "the beat's, or the word's, other edge moves from now on",
           PICK, beats.other_edge, panels=("beats", "words"), rank=25),
    Action("cue", ("C",), "cue", "a listener reacts to this word, and how", PICK, panels=_WORDS,
           touches=True),
    # correct the ear
    Action("stress", ("exclamation_mark",), "stressed?", "you hear the word stressed, not, or as "
           "read", EAR, ear.next_stress, panels=_WORDS, rank=34, touches=True),
    Action("said", ("E",), "what is said", "write anew what the line says, and listen again", EAR,
           panels=_WORDS, touches=True),
    Action("sounds", ("apostrophe",), "sounds like", "how a word sounds, in phones (T OW1 B IH0 N)",
           EAR, panels=_WORDS, touches=True),
    # shape the plan
    Action("nudge_back", ("left_square_bracket", "alt+left"), "nudge back",
           "the suggestion or pose a frame earlier; an edge of a word or a beat back", SHAPE,
           lambda d: nudge(d, -1), panels=("plan", "beats", "poses", "words"), rank=16,
           touches=True),
    Action("nudge_on", ("right_square_bracket", "alt+right"), "nudge on",
           "the suggestion or pose a frame later; an edge of a word or a beat on", SHAPE,
           lambda d: nudge(d, 1), panels=("plan", "beats", "poses", "words"), rank=17,
           touches=True),
    Action("shorter", ("left_curly_bracket", "alt+down"), "shorter",
           "the suggestion a frame shorter; a beat's edge a frame back", SHAPE,
           lambda d: nudge(d, -1, by_frames=True), panels=("plan", "beats"), rank=33,
           touches=True, fresh=True),
    Action("longer", ("right_curly_bracket", "alt+up"), "longer",
           "the suggestion a frame longer; a beat's edge a frame on", SHAPE,
           lambda d: nudge(d, 1, by_frames=True), panels=("plan", "beats"), rank=32,
           touches=True, fresh=True),
    Action("keep", ("k",), "keep", "keep the suggestion through new plans (again: take back)",
           SHAPE, lambda d: decisions.decide(d, "keep"), panels=("plan",), rank=18, touches=True),
    Action("lock", ("l",), "lock", "lock the suggestion where it is (again: unlock)", SHAPE,
           lambda d: decisions.decide(d, "lock"), panels=("plan",), rank=19, touches=True,
           fresh=True),
    Action("drop", ("d",), "drop", "drop, untag or remove what is chosen; a dropped one comes back",
           SHAPE, drop, rank=29, touches=True),
    Action("dropped", ("v",), "show dropped", "show what was dropped, struck through", SHAPE,
           cursor.toggle_dropped, panels=("plan",), rank=40),
    Action("compare", ("equals_sign",), "compare", "another play or intent beside; again: flip",
           SHAPE, panels=_TAGGED, rank=35),
    Action("take", ("T",), "take", "take the version that is compared", SHAPE, compare.take,
           rank=None),
    Action("why", ("enter",), "why", "all that is known about what is chosen", SHAPE, rank=30),
    Action("undo", ("z", "ctrl+z"), "undo", "take the last change back, without end", SHAPE, undo,
           rank=70),
    Action("redo", ("y", "ctrl+y"), "redo", "do it again after all", SHAPE, redo),
    # poses and notes
    Action("next_problem", ("x",), "next problem", "to the next thing that does not land", LEAD,
           lambda d: choice.step_problem(d, 1), ways=("mend",), rank=12),
    Action("last_problem", ("X",), "problem before", "to the problem before", LEAD,
           lambda d: choice.step_problem(d, -1), ways=("mend",)),
    Action("pose", ("a",), "add pose", "a key pose at the cursor: part, then name", LEAD,
           panels=("poses", "problems"), rank=23),
    Action("poses", ("i",), "bring poses", "key poses from a file, in place of the scene's", LEAD,
           ways=("mend",), rank=41),
    Action("note", ("n",), "note", "a note on what is chosen, or at the cursor", LEAD, rank=50),
    Action("check_off", ("c",), "check off", "the note is done, or open again", LEAD,
           notes.toggle_done, rank=51, touches=True),
    Action("passes", ("P",), "passes", "which passes of polish are done on this phrase", LEAD),
    # look around
    Action("way", ("m",), "Mean, Move, Mend", "the next way in", LOOK, lambda d: next_way(d, 1),
           rank=85),
    Action("way_back", ("M",), "way before", "the way in before", LOOK, lambda d: next_way(d, -1)),
    Action("mean", ("f2",), "Mean", "the script, phrase by phrase: give each its meaning", LOOK,
           lambda d: to_way(d, "mean")),
    Action("move", ("f3",), "Move", "tone line, beats and plan: what moves, when, and why", LOOK,
           lambda d: to_way(d, "move")),
    Action("mend", ("f4",), "Mend", "key poses with verdicts, notes, what does not land", LOOK,
           lambda d: to_way(d, "mend")),
    Action("find", ("slash",), "find", "words, intents, remarks, notes, problems, the untagged",
           LOOK, rank=60),
    Action("later", ("right",), "a frame on", "a frame later; in the script, a word on", LOOK,
           lambda d: step(d, 1)),
    Action("earlier", ("left",), "a frame back", "a frame earlier; or a word back", LOOK,
           lambda d: step(d, -1)),
    Action("on", ("pagedown",), "a screen on", "most of a screen later", LOOK,
           lambda d: cursor.page(d, MOST_OF_A_SCREEN)),
    Action("back", ("pageup",), "a screen back", "most of a screen earlier", LOOK,
           lambda d: cursor.page(d, -MOST_OF_A_SCREEN)),
    Action("start", ("home",), "start", "the cursor to the first frame of the shot", LOOK,
           lambda d: cursor.to_end(d, -1)),
    Action("end", ("end",), "end", "the cursor to the last frame of the shot", LOOK,
           lambda d: cursor.to_end(d, 1)),
    Action("goto", ("g",), "go to", "the cursor to a frame, timecode, 1.5s or feet+frames", LOOK),
    Action("nearer", ("plus",), "nearer", "fewer frames a column", LOOK,
           lambda d: cursor.zoom(d, -1), ways=_FRAMED),
    Action("farther", ("minus",), "farther", "more frames a column, to 16", LOOK,
           lambda d: cursor.zoom(d, 1), ways=_FRAMED),
    Action("whole", ("0",), "whole shot", "as much of the shot as fits", LOOK, cursor.whole_shot,
           ways=_FRAMED),
    Action("unit", ("u",), "unit", "the ruler in frames, timecode, seconds or feet+frames", LOOK,
           cursor.next_unit),
    Action("who", ("w",), "whose", "the plan of one character, or of everyone", LOOK,
           cursor.next_who, ways=_FRAMED),
    Action("panel", ("tab",), "next panel", "the keys to the next panel", LOOK,
           lambda d: next_panel(d, 1), ways=_FRAMED, rank=84),
    Action("panel_back", ("shift+tab",), "panel before", "the keys to the panel before", LOOK,
           lambda d: next_panel(d, -1), ways=_FRAMED),
    Action("light", ("L",), "dark, light", "the next set of colours", LOOK),
    # sound
    Action("play", ("space",), "play", "play from the cursor, or stop", SOUND, rank=62),
    Action("loop", ("o",), "over and over", "play what is picked over and over", SOUND),
    Action("half", ("h",), "half speed", "half speed at the same pitch, on or off", SOUND),
    Action("steps", ("b",), "hear steps", "hear each frame as the cursor steps, on or off", SOUND),
    # file and help
    Action("save", ("s", "ctrl+s"), "save", "save the scene file; only what changed is written",
           FILE, rank=71),
    Action("save_as", ("A",), "save as", "save as another scene file beside this one", FILE),
    Action("file", ("F",), "the file", "the file changed on disk: which one?", FILE),
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
    "question_mark": "?", "exclamation_mark": "!", "apostrophe": "'", "slash": "/",
    "pagedown": "page down", "pageup": "page up", "escape": "esc",
    "left": "←", "right": "→", "up": "↑", "down": "↓",
}  # fmt: skip


def key_name(key: str) -> str:
    """A key as it is printed on the keyboard."""
    *modifiers, last = key.split("+")
    return "+".join((*modifiers, KEY_NAMES.get(last, last)))


def action_of_key(desk: Desk, key: str) -> Action | None:
    """The action of a key: the one that applies here, else one that does elsewhere."""
    found = [action for action in ACTIONS if key in action.keys]
    return next((a for a in found if a.applies(desk)), found[0] if found else None)
