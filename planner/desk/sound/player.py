"""Play, over and over, half speed, the sound of a step: what the sound keys do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual.timer import Timer

from audio.errors import LinebeatError
from planner.desk.cursor import go_to
from planner.desk.sound.out import (
    STEP_SOUND_S,
    Mix,
    Out,
    Playing,
    Silence,
    SoundOut,
    mix_scene,
    slowed,
)  # fmt: skip
from planner.desk.state import say
from planner.desk.views.tone import picked_frames

if TYPE_CHECKING:
    from planner.desk.app import DeskApp

PICTURES_A_SECOND = 30
HALF = 0.5


class Player:
    """The player behind the cursor."""

    def __init__(self, app: DeskApp, now_s: Callable[[], float]) -> None:
        self._app = app
        self._now_s = now_s
        self.make_out: Callable[[], Out] = SoundOut
        self._out: Out | None = None
        self._mix: Mix | None = None
        self._timer: Timer | None = None
        self.playing: Playing | None = None
        self.half = False
        self.steps = False

    def doings(self) -> dict[str, Callable[[], Any]]:
        """Actions by their ids."""
        return {
            "play": self.play, "loop": lambda: self.play(over_and_over=True),
            "half": self.toggle_half, "steps": self.toggle_steps,
        }  # fmt: skip

    def told(self) -> str:
        """What the player does, for the top row."""
        words = ["half speed"] if self.half else []
        if self.playing:
            words.insert(0, "over and over" if self.playing.over_and_over else "playing")
        elif self.steps:
            words.insert(0, "steps sound")
        return ", ".join(words)

    def toggle_half(self) -> None:
        """Half speed on or off; what plays goes on at the new speed."""
        self.half = not self.half
        playing = self.playing
        if playing:
            self.stop()
            self.play(over_and_over=playing.over_and_over)
        self._app.apply(say(self._app.desk, "half speed" if self.half else "full speed"))

    def toggle_steps(self) -> None:
        """Hear each step of the cursor, or not."""
        self.steps = not self.steps
        told = "each step of the cursor sounds" if self.steps else "steps are silent"
        self._app.apply(say(self._app.desk, told))

    def play(self, *, over_and_over: bool = False) -> None:
        """Play from the cursor, or what is picked; a second time stops."""
        if self.playing:
            self.stop()
            self._app.paint()
            return
        desk = self._app.desk
        picked = picked_frames(desk) if over_and_over else None
        first, last = picked or (desk.cursor, desk.laid.shot[1])
        if first >= last:
            first = desk.laid.shot[0]
        self._begin(Playing(first, last, over_and_over, HALF if self.half else 1.0, 0.0))

    def _begin(self, playing: Playing) -> None:
        self.playing = playing
        self._start(playing)
        self._app.paint()

    def _start(self, playing: Playing) -> None:
        """Prepare the sound in a thread, then let the cursor run with it."""

        def prepared() -> None:
            trouble = self._prepare()
            clock = self._app.desk.scene.clock
            assert self._mix is not None
            samples = self._mix.between(
                clock.scene_s(playing.first), clock.scene_s(playing.last + 1)
            )
            samples = slowed(samples, playing.speed)
            self._app.call_from_thread(self._run, playing, samples, trouble)

        self._app.run_worker(prepared, thread=True, group="sound", exclusive=True)

    def _prepare(self) -> str:
        """The device and the mix, once; returns what is to be said about them."""
        troubles = []
        if self._out is None:
            try:
                self._out = self.make_out()
            except LinebeatError as error:
                self._out = Silence()
                troubles.append(f"{error.line()}: the cursor runs silently")
        if self._mix is None:
            try:
                self._mix = mix_scene(self._app.desk.scene)
            except LinebeatError as error:
                self._mix = Mix.silent()
                troubles.append(error.line())
        return "; ".join(troubles)

    def _run(self, playing: Playing, samples: Any, trouble: str) -> None:
        if self.playing is not playing:
            return
        assert self._out is not None and self._mix is not None
        delay_s = self._out.start(samples, self._mix.rate_hz, over_and_over=playing.over_and_over)
        self.playing = replace(playing, since_s=self._now_s() + delay_s)
        self._timer = self._app.set_interval(1 / PICTURES_A_SECOND, self._tick)
        if trouble:
            self._app.apply(say(self._app.desk, trouble))

    def _tick(self) -> None:
        if self.playing is None:
            return
        frame = self.playing.frame_at(self._now_s(), self._app.desk.scene.clock)
        if frame is None:
            self.stop()
            self._app.paint()
        elif frame != self._app.desk.cursor:
            self._app.apply(go_to(self._app.desk, frame))

    def stop(self) -> None:
        """Be silent; the cursor stays where it is."""
        self.playing = None
        if self._timer is not None:
            self._timer.stop()
            self._timer = None
        if self._out is not None:
            self._out.stop()

    def stepped(self) -> None:
        """The cursor went a step: sound it, if that is wanted."""
        if not self.steps or self.playing:
            return
        frame = self._app.desk.cursor

        def sound() -> None:
            trouble = self._prepare()
            assert self._mix is not None and self._out is not None
            start_s = self._app.desk.scene.clock.scene_s(frame)
            samples = self._mix.between(start_s, start_s + STEP_SOUND_S)
            self._out.start(samples, self._mix.rate_hz, over_and_over=False)
            if trouble:
                self._app.call_from_thread(lambda: self._app.apply(say(self._app.desk, trouble)))

        self._app.run_worker(sound, thread=True, group="sound", exclusive=True)
