"""Saving, unsaved work, the file changed on disk meanwhile, a picture, leaving, breaking down."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from audio.errors import LinebeatError
from audio.shown import shown_line
from planner.desk import left_off
from planner.desk.dialogs.ask import Ask
from planner.desk.dialogs.choose import Choose
from planner.desk.on_disk import Keeper, Unsaved
from planner.desk.state import Desk, edit_whole, say, with_saved, with_scene_from_disk
from planner.desk.svg import standalone
from planner.files.safe_write import free_name, safe_write
from planner.scene import Scene

if TYPE_CHECKING:
    from planner.desk.app import DeskApp

KEEP_EVERY_S = 2.0  # unsaved work is written this often, so that a crash loses less than 5 s
LOOK_EVERY_S = 2.0  # the file on disk is looked at this often


class Session:
    """One scene file for as long as the desk is open."""

    def __init__(self, app: DeskApp, keeper: Keeper) -> None:
        self._app = app
        self.keeper = keeper
        self._kept: Scene | None = None
        self._disk_changed = False
        self._gone = False
        self._left = False
        self.parting = ""  # what is still to be said once the desk is left
        self._refused = ""  # what stood on disk and could not be read as a scene
        self._alone = threading.Lock()  # between keeping in a thread and saving or leaving

    def doings(self) -> dict[str, Callable[[], Any]]:
        """Actions by their ids."""
        return {
            "save": self.save, "save_as": self.save_as, "file": self.which, "quit": self.leave,
            "picture": self.picture,
        }  # fmt: skip

    def told(self) -> str:
        """A warning for the top row, if there is one."""
        if self._gone:
            return "gone from disk: save rewrites"
        return "changed on disk: F asks which" if self._disk_changed else ""

    @property
    def left(self) -> bool:
        """True once the desk is being left: no key counts any more."""
        return self._left

    def begin(self) -> None:
        """Offer what an earlier desk left unsaved; then keep and look every few seconds."""
        unsaved = self.keeper.unsaved()
        if unsaved is not None:
            self._offer(unsaved)
        self._app.set_interval(KEEP_EVERY_S, self.keep)
        self._app.set_interval(LOOK_EVERY_S, self.look)

    def _offer(self, unsaved: Unsaved) -> None:
        when = datetime.fromtimestamp(unsaved.time_s).strftime("%d %B, %H:%M")
        fits = "" if unsaved.fits else " The file has changed since."
        question = f"Unsaved work of {when} is here.{fits} Take it up?"
        answers = (
            ("take", "t", "take it up; nothing is saved until you save"),
            ("aside", "a", f"put it aside, as {self.keeper.unsaved_path.name}~"),
        )

        def then(answer: str | None) -> None:
            if answer == "take":
                self._app.apply(edit_whole(self._app.desk, unsaved.scene, "unsaved work taken up"))
            else:  # left lying, it would be written over by the next change
                self.keeper.set_aside()

        self._app.push_screen(Choose(question, answers, otherwise="puts it aside too"), then)

    def keep(self) -> None:
        """Keep unsaved work in a thread, if there is any that is not kept yet."""
        desk = self._app.desk
        if desk.scene is self._kept or not desk.changed:
            return
        self._kept = desk.scene
        self._app.run_worker(lambda: self._keep(desk.scene), thread=True, group="keep")

    def _keep(self, scene: Scene) -> None:
        told = ""
        try:
            with self._alone:
                if scene is self._app.desk.scene and not self._left:
                    told = self._elsewhere(self.keeper.keep(scene))
        except LinebeatError as error:
            told = f"unsaved work could not be kept: {error.line()}"
        if told:  # outside the lock, which the screen may wait for
            self._app.call_from_thread(lambda: self._app.apply(say(self._app.desk, told)))

    def _elsewhere(self, kept: Path) -> str:
        """What there is to say about where unsaved work lies, if it is not beside the scene."""
        return "" if kept == self.keeper.unsaved_path else f"unsaved work is kept in {kept}"

    def look(self) -> None:
        """Notice that somebody else changed the file.

        With nothing unsaved it is taken over quietly; else the top row says so, and `F` asks: a
        question that comes by itself would take keys that were meant for the desk.
        """
        changed, gone = self.keeper.changed_on_disk(), self.keeper.is_gone()
        if changed and not self._app.desk.changed and self.keeper.noticed != self._refused:
            self._read_again()
            changed = self.keeper.changed_on_disk()
        if (changed, gone) != (self._disk_changed, self._gone):
            self._disk_changed, self._gone = changed, gone
            self._app.paint()

    def which(self) -> None:
        """Ask what to do about a file that was changed, if it was."""
        if self.keeper.changed_on_disk():
            self._ask_which()
        else:
            self._app.apply(say(self._app.desk, "the file is as it was read or saved last"))

    def _ask_which(self) -> None:
        name = self._app.desk.scene.file
        mine = "keep what is on the desk, and go on"
        answers = (
            ("theirs", "t", "take the file; what is on the desk stays one undo away"),
            ("mine", "k", mine),
            ("over", "w", "write the desk over the file now; the file stays beside it, with ~"),
        )

        def then(answer: str | None) -> None:
            if answer == "theirs":
                self._read_again()
            elif answer == "over":
                self.save(over=True)

        question = f"{Path(name).name} was changed on disk. Which one?"
        self._app.push_screen(Choose(question, answers, otherwise="decides later"), then)

    def _read_again(self) -> None:
        from planner.commands._shared import read_lines

        try:
            scene = self.keeper.read_again()
            readings = read_lines(scene)
        except LinebeatError as error:
            self._refused = self.keeper.noticed
            self._app.apply(say(self._app.desk, error.line()))
            return
        self._disk_changed = False
        self._app.apply(with_scene_from_disk(self._app.desk, scene, readings))

    def save(self, *, over: bool = False) -> bool:
        """Save; asks if the file changed meanwhile. True if it was saved."""
        desk = self._app.desk
        if not over and self.keeper.changed_on_disk():
            self._disk_changed = True
            self._app.paint()
            self._ask_which()
            return False
        said = self._anew()
        try:
            with self._alone:
                self.keeper.save(desk.scene, over=over)
        except LinebeatError as error:
            self._app.apply(say(desk, f"not saved: {error.line()}{self._kept_instead(desk)}"))
            return False
        self._disk_changed = self._gone = False
        self._kept = desk.scene
        self._app.apply(say(with_saved(desk), said))
        return True

    def save_as(self) -> None:
        """Ask for another name beside this one, and save there; the desk goes on with that file."""
        here = self.keeper.path

        def wrong(text: str) -> str:
            name = text.strip()
            if not name or Path(name).name != name:
                return "a name without a folder: sounds are looked up beside the scene"
            return f"{name} is there already" if here.with_name(name).exists() else ""

        ask = Ask("Save as, beside this scene", value=f"{here.stem}_2{here.suffix}", wrong=wrong)
        self._app.push_screen(ask, lambda name: self._save_as(name.strip()) if name else None)

    def _save_as(self, name: str) -> None:
        desk, old = self._app.desk, self.keeper
        new = Keeper(old.path.with_name(name), old.text)
        try:
            with self._alone:
                safe_write(new.path, old.text)
                new.save(desk.scene)
        except LinebeatError as error:
            self._app.apply(say(desk, f"not saved: {error.line()}"))
            return
        old.give_up()
        self.keeper = new
        self._disk_changed = self._gone = False
        self._kept = desk.scene
        self._app.apply(say(with_saved(desk), f"saved as {name}; the desk goes on with it"))

    def _kept_instead(self, desk: Desk) -> str:
        """Keep what could not be saved, and say where it lies."""
        if not desk.changed:
            return ""
        try:
            with self._alone:
                kept = self.keeper.keep(desk.scene)
        except LinebeatError:
            return "; it could not be kept either"
        self._kept = desk.scene
        return f"; {self._elsewhere(kept) or f'unsaved work is kept in {kept.name}'}"

    def _anew(self) -> str:
        """What there is to say once it is saved: whether the file had to be written anew."""
        name = self.keeper.path.name
        if self.keeper.is_folder_gone():
            return f"saved; its folder was gone and is made anew, with {name} alone"
        return f"saved; {name} was gone and is written anew" if self.keeper.is_gone() else "saved"

    def picture(self) -> None:
        """Save what is seen as SVG, beside the scene; what is there stays as it is."""
        scene = self._app.desk.scene
        stem = f"{Path(scene.file).stem}-{self._app.desk.cursor}"
        path = free_name(Path(scene.folder), stem, ".svg")
        title = shown_line(scene.title)
        try:
            safe_write(path, standalone(self._app.export_screenshot(title=title)), unasked=True)
        except LinebeatError as error:
            self._app.apply(say(self._app.desk, error.line()))
        else:
            self._app.apply(say(self._app.desk, f"picture: {path.name}"))

    def leave(self) -> None:
        """Leave; ask first if there are changes."""
        if not self._app.desk.changed:
            self._go()
            return
        answers = (
            ("save", "s", "save and quit"),
            ("later", "q", "quit; the changes are kept, and offered at the next start"),
            ("drop", "n", "quit without the changes; they are gone"),
        )

        def then(answer: str | None) -> None:
            if answer == "drop" or (answer == "save" and self.save()):
                self._go()
            elif answer == "later":
                self._go_for_now()

        question = "There are changes that are not saved."
        self._app.push_screen(Choose(question, answers, otherwise="stays at the desk"), then)

    def _go_for_now(self) -> None:
        """Leave, with the changes kept beside the scene; stay if they cannot be kept."""
        try:
            with self._alone:
                kept = self.keeper.keep(self._app.desk.scene)
        except LinebeatError as error:
            told = f"not left: the changes could not be kept: {error.line()}"
            self._app.apply(say(self._app.desk, told))
        else:
            if self.keeper.is_gone() or self._elsewhere(kept):
                self.parting = f"unsaved work is kept in {kept}"
            self._go(give_up=False)

    def _go(self, *, give_up: bool = True) -> None:
        self._app.player.stop()
        left_off.keep(self.keeper.path, self._app.desk, self._app.look.name)
        with self._alone:
            self._left = True
            if give_up:
                self.keeper.give_up()
        self._app.exit(0)

    def saved_from_breaking(self) -> str:
        """Keep unsaved work after the desk broke down, and say what became of it."""
        desk = self._app.desk
        if not desk.changed or self._left:
            return "nothing was unsaved"
        try:
            with self._alone:
                self._left = True
                kept = self.keeper.keep(desk.scene)
        except LinebeatError as error:
            return f"unsaved work could not be kept: {error.line()}"
        where = self._elsewhere(kept) or f"unsaved work is kept in {kept.name}"
        return f"{where}: open the desk again"
