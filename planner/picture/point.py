"""One point on its way through the pictures: found by its patches, lost, found again.

On each picture the flow gives a first guess; then the patches that are known of the point are laid
there, so that errors do not add up. A patch at a pin is trusted most; where the point's look
changes slowly a further patch is cut and handed on, a few times at most. Where no patch fits, the
flow alone carries the point over CARRY_MAX pictures, with falling confidence, and then it is lost:
a wrong place is worse than none. A lost point is looked for near where it was.

Thresholds are of `tests.benchmarks.picture_tracks`: chosen there so that no wrong path lasts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.picture.behind import say_after
from planner.picture.patches import (
    IDENTITY,
    Laid,
    Patch,
    blurred,
    cut_patch,
    lay,
    likeness_at,
    with_say,
)
from planner.picture.search import find_patch
from planner.picture.seen import LEAST

Picture = NDArray[np.uint8]

LIKE_LEAST, LIKE_SURE = 0.70, 0.90  # correlation, as it would be without noise
SEEN_LEAST, SEEN_SURE = 0.45, 0.75  # share of the patch that fits
LIKED = 0.9  # a fit of this confidence ends the trying
CORE_LEAST, CORE_SURE = 0.35, 0.75  # the same of its middle
AGREED_PX = 1.0  # flow and patch that come this near each other bear each other out
AGREED_SEEN = 0.2  # so much less of the patch need then fit
SMALL = 0.6  # of the radius: the second, smaller patch of a pin, for what is thin
ERROR_LEAST_PX, ERROR_SURE_PX = 2.0, 0.6
BACK_PX = 0.8  # flow that comes back farther off than this is not believed alone
CARRY_MAX = 3  # pictures
CARRIED = (0.6, 0.45, 0.35)  # confidence of a point carried by the flow alone
NEW_PATCH_LIKE = 0.93  # at this likeness a further patch is cut
NEW_PATCH_SEEN = 0.8
PARENT_LIKE = 0.80
DEEPEST = 6  # hand-ons of a patch
PINS_KEPT = 4  # patches of other pins
KEPT_PATCHES = 5  # besides those of pins
LOOK_BACK_EVERY = 5  # pictures between two looks whether an older patch fits again
SHUTTER = 0.5  # of a frame (180 degrees, common practice)
BLUR_FROM_PX = 2.0  # smeared by less than this the fit does not notice
BLUR_TRIES, BLUR_WINS = 10, 0.3  # tries after which a movie without motion blur shows as such
STEADY_PX = 2.5  # a frame: no new patch is cut in a faster move
FOUND_LIKE, FOUND_SEEN = 0.88, 0.72  # asked of a find after a loss
FOUND_CONFIDENCE = 0.6  # until it has been followed for FOUND_PROVEN pictures
FOUND_PROVEN = 3
WIDER = 0.05  # of the picture's width: how far beyond its pace a sudden move is looked for
REACH_A_FRAME = 0.02  # of the picture's width: how much farther it is looked for each picture
BESIDE_REACH = 3.0  # of the radius: where points beside it say it is
BESIDE_MOST = 0.06  # of the picture's width: the same after a while
BESIDE_LONG = 24  # pictures after which it may be anywhere near
REACH_MOST = 0.15  # of the picture's width


@dataclass(slots=True)
class Point:
    """A point's state. `pinned` are the patches of its pins, `handed` those cut on the way."""

    radius: int
    pinned: list[Patch]
    place: FloatArray = field(default_factory=lambda: np.full(2, np.nan))
    form: FloatArray = field(default_factory=lambda: IDENTITY)
    pace: FloatArray = field(default_factory=lambda: np.zeros(2))
    handed: list[Patch] = field(default_factory=list)
    used: Patch | None = None
    alive: bool = False  # has been pinned in this direction since the last cut
    lost: int = 0  # pictures since it was seen
    carried: int = 0
    proven: int = FOUND_PROVEN
    confidence: float = 0.0
    blur_tried: int = 0
    blur_won: int = 0

    def pin(self, place: tuple[float, float], patches: Sequence[Patch]) -> None:
        """Set the point where the user set it; patches : as cut there, the larger first."""
        was = self.place if self.alive and not self.lost else np.full(2, np.nan)
        at = np.array(place, dtype=np.float64)
        moved = at - was
        self.pace = moved if np.isfinite(moved).all() and not self.lost else np.zeros(2)
        self.place, self.form, self.used = at, IDENTITY, patches[0]
        self.alive, self.lost, self.carried = True, 0, 0
        self.proven, self.confidence = FOUND_PROVEN, 1.0
        self.handed = list(patches[1:])
        self.pinned = [*patches[:1], *self.pinned[:PINS_KEPT]]

    def drop(self) -> None:
        """Forget where it is: another shot begins."""
        self.alive = False
        self.confidence = 0.0

    def follow(self, before: Picture, picture: Picture, there: FloatArray, off_px: float,
               number: int, noise: float, backdrop: FloatArray) -> None:  # fmt: skip
        """Take the point on to the next picture.

        there, off_px : where the flow leads and how far off it comes back; backdrop : its move.
        """
        was = self.place, self.form
        self._state_way(there - self.place if off_px < BACK_PX else np.zeros(2))
        laid = self._laid(picture, there, off_px, number, noise)
        if laid is not None:
            agreed = off_px < BACK_PX and _apart(laid, there) < AGREED_PX
            self._take(laid, picture, noise, agreed=agreed)
            self._learn(before, picture, was, laid, backdrop, noise)
            return
        if self._carry(before, picture, there, off_px, noise):
            return
        self.lost, self.confidence = 1, 0.0

    def retry(self, picture: Picture, step: FloatArray | None, number: int, noise: float) -> None:
        """Once more after a loss on this picture: where points beside it moved by `step`, or, with
        none beside it, farther round its pace (a move too fast for the flow)."""
        for patch in self._patches(number)[:2]:
            if step is None:
                at, reach = self.place + self.pace, WIDER * picture.shape[1]
                reach += 1.5 * float(np.hypot(*self.pace))
            else:
                at, reach = self.place + step, BESIDE_REACH * self.radius
            tried = [self._tried(patch, picture, at, noise)] if step is not None else []
            found = find_patch(patch, picture, _pair(at), reach, self.form, noise=noise)
            tried += [found] if found is not None else []
            for laid in tried:
                if sound_find(laid, noise, patch):
                    self.used, self.lost, self.proven = patch, 0, 0 if step is None else 1
                    self._take(laid, picture, noise)
                    return

    def doubt(self) -> None:
        """Take back what was just found: points beside it went elsewhere."""
        self.lost, self.confidence = 1, 0.0
        self.place = self.place - self.pace
        self.pace = np.zeros(2)

    def go_along(self, step: FloatArray) -> None:
        """While it is lost, it is looked for where the points beside it went."""
        self.place = self.place + step

    def _state_way(self, step: FloatArray) -> None:
        """Say of a patch just cut how fast it moved then: as on the next step."""
        for patch in (*self.pinned[:1], *self.handed):
            if patch.way is None:
                self._replace(patch, replace(patch, way=_pair(SHUTTER * step)))

    def _laid(self, picture: Picture, there: FloatArray, off_px: float, number: int,
              noise: float) -> Laid | None:  # fmt: skip
        """The best fit of a known patch near where the flow, or the pace, leads."""
        guesses = [there] if off_px < BACK_PX * 2 else []
        ahead = self.place + self.pace
        if not guesses or np.hypot(*(ahead - there)) > self.radius:
            guesses.append(ahead)
        best: tuple[float, Laid, Patch] | None = None
        for patch in self._patches(number):
            for guess in guesses:
                laid = self._tried(patch, picture, guess, noise)
                agreed = off_px < BACK_PX and _apart(laid, there) < AGREED_PX
                trust = confidence_of(laid, noise, patch, agreed=agreed)
                if best is None or trust > best[0]:
                    best = trust, laid, patch
                if trust >= LIKED:
                    break
            if best is not None and best[0] >= LIKED:
                break
        if best is not None and best[0] >= LEAST:
            self.used = best[2]
            return best[1]
        return None

    def _tried(self, patch: Patch, picture: Picture, guess: FloatArray, noise: float) -> Laid:
        """The patch laid; where it moves otherwise than when it was cut, with both smeared.

        A smeared patch in a sharp picture, or the reverse, seems larger and lies beside its place.
        """
        at = (float(guess[0]), float(guess[1]))
        laid = lay(patch, picture, at, self.form, noise=noise)
        way = SHUTTER * (guess - self.place)
        then = np.array(patch.way or (0.0, 0.0))
        if float(np.hypot(*(way - self.form @ then))) < BLUR_FROM_PX or self._sharp():
            return laid
        inner = np.linalg.inv(self.form) @ way
        smeared = blurred(patch, _pair(inner)) if np.hypot(*way) > 1.0 else patch
        turned = _pair(self.form @ then) if np.hypot(*then) > 1.0 else None
        other = lay(smeared, picture, at, self.form, noise=noise, smeared=turned)
        self.blur_tried += 1
        if confidence_of(other, noise, patch) < confidence_of(laid, noise, patch) - 0.01:
            return laid
        if other.likeness < laid.likeness:
            return laid
        self.blur_won += 1
        return other

    def _sharp(self) -> bool:
        """True once it has shown that fast moves are not smeared in this movie."""
        return self.blur_tried >= BLUR_TRIES and self.blur_won < BLUR_WINS * self.blur_tried

    def _patches(self, number: int) -> list[Patch]:
        """Which patches to try, first the one that fitted last, now and then the oldest."""
        known = sorted([*self.pinned, *self.handed], key=lambda patch: patch.depth)
        last = [self.used] if self.used is not None else []
        others = [patch for patch in known if patch is not self.used]
        if self.used is not None and self.used.depth and number % LOOK_BACK_EVERY == 0:
            return [*others[:2], *last, *others[2:4]]
        return [*last, *others[:3]]

    def _take(self, laid: Laid, picture: Picture, noise: float, *, agreed: bool = False) -> None:
        patch = self.used
        if patch is None:
            raise ValueError("a point without a patch")
        at = np.array(laid.place)
        self.pace = at - self.place if not self.lost else np.zeros(2)
        self.place, self.form = at, laid.form
        self.lost = self.carried = 0
        self.confidence = confidence_of(laid, noise, patch, agreed=agreed)
        if self.proven < FOUND_PROVEN:
            self.proven += 1
            self.confidence = min(self.confidence, FOUND_CONFIDENCE)
        self._hand_on(laid, patch, picture)

    def _learn(self, before: Picture, picture: Picture, was: tuple[FloatArray, FloatArray],
               laid: Laid, backdrop: FloatArray, noise: float) -> None:  # fmt: skip
        """Give less say to what stays behind."""
        patch = self.used
        if patch is None or self.confidence < LIKE_LEAST:
            return
        say = say_after(patch, before, picture, was, laid, backdrop, noise)
        if say is not None and np.max(np.abs(say - patch.say)) > 0.02:
            self._replace(patch, with_say(patch, say))

    def _replace(self, old: Patch, new: Patch) -> None:
        self.pinned = [new if patch is old else patch for patch in self.pinned]
        self.handed = [new if patch is old else patch for patch in self.handed]
        if self.used is old:
            self.used = new

    def _hand_on(self, laid: Laid, patch: Patch, picture: Picture) -> None:
        """Cut a further patch where the point slowly comes to look different."""
        if not (PARENT_LIKE < laid.likeness < NEW_PATCH_LIKE and laid.seen > NEW_PATCH_SEEN):
            return
        if patch.depth >= DEEPEST or np.hypot(*self.pace) > STEADY_PX or self.proven < 3:
            return
        new = cut_patch(
            picture,
            laid.place,
            patch.radius,
            self.form,
            depth=patch.depth + 1,
            way=_pair(SHUTTER * np.linalg.inv(self.form) @ self.pace),
        )
        self.handed = [*self.handed[-(KEPT_PATCHES - 1) :], new]
        self.used = new

    def _carry(self, before: Picture, picture: Picture, there: FloatArray, off_px: float,
               noise: float) -> bool:  # fmt: skip
        """Let the flow alone carry the point for a few pictures."""
        if self.carried >= CARRY_MAX or off_px > BACK_PX or self.proven < FOUND_PROVEN:
            return False
        was = cut_patch(before, tuple(self.place), self.radius)
        now = likeness_at(was, picture, tuple(there), noise=noise)
        if now.likeness < LIKE_SURE or now.seen < SEEN_SURE:
            return False
        self.confidence = CARRIED[self.carried]
        self.carried += 1
        self.pace, self.place = there - self.place, there
        return True

    def look(self, picture: Picture, number: int, noise: float, *, beside: bool) -> None:
        """Look for a lost point; more rarely the longer it is gone.

        beside : points beside it are seen, and it went along with them: it cannot be far.
        """
        self.lost += 1
        if self.lost > 24 and number % 3:
            return
        width = picture.shape[1]
        most = BESIDE_MOST if beside and self.lost < BESIDE_LONG else REACH_MOST
        reach = self.radius + min(REACH_A_FRAME * self.lost, most) * width
        at = _pair(self.place)
        # Long gone, it may look as it did at a pin rather than as it did last.
        forms = [self.form, IDENTITY] if np.abs(self.form - IDENTITY).max() > 0.1 else [self.form]
        for patch in self._patches(1)[:3]:
            for form in forms:
                found = find_patch(patch, picture, at, reach, form, noise=noise)
                if found is not None and sound_find(found, noise, patch):
                    self.used, self.proven = patch, 0
                    self._take(found, picture, noise)
                    return


def _pair(values: FloatArray) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def _apart(laid: Laid, there: FloatArray) -> float:
    return float(np.hypot(laid.place[0] - there[0], laid.place[1] - there[1]))


def confidence_of(laid: Laid, noise: float, patch: Patch, *, agreed: bool = False) -> float:
    """How far a fit is to be believed, 0..1: the weakest of likeness, shares seen and error.

    agreed : the flow came to the same place.
    """
    like = laid.likeness / likeness_ceiling(patch, noise)
    less = AGREED_SEEN if agreed else 0.0
    return min(
        _between(like, LIKE_LEAST - less, LIKE_SURE - less),
        _between(laid.seen, SEEN_LEAST - less, SEEN_SURE - less),
        _between(laid.core, CORE_LEAST, CORE_SURE),
        _between(-laid.error_px, -ERROR_LEAST_PX, -ERROR_SURE_PX),
    )


def likeness_ceiling(patch: Patch, noise: float) -> float:
    """The correlation that two noisy pictures of the same thing can reach at most."""
    signal = max(patch.contrast**2 - noise**2, 1.0)
    return float(np.clip(signal / (signal + noise**2), 0.5, 1.0))


def sound_find(laid: Laid, noise: float, patch: Patch) -> bool:
    """True for a find that may be believed without a path that leads to it."""
    like = laid.likeness / likeness_ceiling(patch, noise)
    whole = laid.core >= CORE_SURE and laid.seen >= FOUND_SEEN and laid.error_px < ERROR_LEAST_PX
    return whole and like >= FOUND_LIKE


def _between(value: float, least: float, sure: float) -> float:
    return float(np.clip((value - least) / (sure - least), 0.0, 1.0))
