"""Accents: hits on stressed words, riding on the attitude, each in the part that suits it.

`hit` is the extreme, about two frames at 24 ahead of the vowel but inside its own word, hardly ever
late. It stays while tone and level still climb, and then settles back. A hit of the head that falls
together with the attitude it rides on goes the attitude's way. What carries an accent is found in
`planner.rules._carrying`. Not every stress gets a move: one main accent a phrase, others only where
the intent has the energy and there is room at its `accents_per_s`; the main one is clearly the
largest, and phrases build to the line's peak and fall from it. Of pitch accents 42 % had a nod in
Graf et al. 2002 (IEEE FG).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from planner.plan.carriers import Carried
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span, SyllableOn, peak_of
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import against as placed_against
from planner.plan.time_words import until
from planner.rules import rule
from planner.rules._accent_parts import EASED, accent_said, of_other
from planner.rules._carrying import attack_of, carriers_of, lead_of, recover_of, stays_of
from planner.rules._words import COMMON, against, stress_said
from planner.rules.pose import held_from_open, least_change_s

LIGHT_ENERGY = 0.7  # share; under it light stresses are left to the voice
SECOND_SIZE = 0.55  # of a main accent: what is not the point must not look like it
STRONG_ENERGY = 0.35  # share; under it only main accents move
FRAME_S = 1 / 24
ONE_MOVE_S = 2 / 24  # common practice: two moves of one part need that much between them
SILENT_S = 0.1  # a silence as long before a word lets its hit come a frame before it
SHORTEST_BACK_S = 0.125  # 3 frames at 24
TILT_KEPT = 0.4  # of the hit, while it is held as a tilt
TILT_STAYS_S = 0.17  # 4 frames at 24 after the phrase
TILT_BACK_S = 0.21  # 5 frames at 24
LEAST_TILT_S = 0.17  # held for less it is no idea of its own
LONGEST_STAY_S = 0.5  # 12 frames at 24; a hit that stays longer is an attitude
RIDDEN_ST = 4.0  # semitones; a rise as wide at a phrase's end asks, and the head waits with it
LONGEST_STOP_S = 0.75  # 18 frames at 24 in the pause after the rise
PROMINENCE_SHARE = 0.3  # how much of an accent's size its prominence decides
CLEARLY = 1.35  # times the next largest of its phrase: what is seen as the point
BEFORE_PEAK = 0.85  # of the full size, in the phrase farthest before the line's peak
AFTER_PEAK = 0.8  # in phrases after it: they fall from it
MORE_AGAIN = 1.2  # a word said again by an intent with energy is hit harder; else it dies away
LESS_AGAIN = 0.75


@rule("accent", order=20)
def accents(context: LineContext, board: Board) -> list[Draft]:
    """Main accents first, then what restraint leaves room for."""
    chosen = [s for s in context.syllables if s.main]
    rest = [s for s in context.syllables if not s.main and _deserves(context, s)]
    for syllable in sorted(rest, key=lambda s: (s.degree != "strong", -s.prominence, s.index)):
        gap_s = 1.0 / max(context.span_of(syllable.index).intent.accents_per_s, 0.1)
        if all(abs(syllable.beat_s - other.beat_s) >= gap_s for other in chosen):
            chosen.append(syllable)
    if held_from_open(board):
        chosen = _after_opening(context, chosen, board.low_s + least_change_s(context))
    carried = carriers_of(context, chosen, board)
    made: list[Draft] = []
    for syllable in sorted(chosen, key=lambda s: s.beat_s):
        made.append(accent(context, syllable, board, carried=carried[syllable.index], done=made))
    by_index = {s.index: d for s, d in zip(sorted(chosen, key=lambda s: s.beat_s), made,
                                           strict=True)}  # fmt: skip
    return parted(_main_first(context, [by_index[s.index] for s in chosen]))


def _after_opening(
    context: LineContext, chosen: Sequence[SyllableOn], from_s: float
) -> list[SyllableOn]:
    """What has a way in after the attitude a shot opens in, which says the first word itself.

    A phrase that loses its main accent so has its next strong stress instead.
    """

    def has_way_in(syllable: SyllableOn) -> bool:
        lead_s = context.span_of(syllable.index).intent.lead_head_ms / 1000
        return syllable.beat_s - lead_s >= from_s

    left = [s for s in chosen if has_way_in(s)]
    for lost in (s for s in chosen if s.main and s not in left):
        if all(s.phrase != lost.phrase for s in left):
            later = (s for s in context.syllables if s.phrase == lost.phrase
                     and s.degree == "strong" and has_way_in(s))  # fmt: skip
            left += sorted(later, key=lambda s: (-s.prominence, s.index))[:1]
    return left


def _main_first(context: LineContext, hits: list[Draft]) -> list[Draft]:
    """Hits with every phrase's lesser ones small enough for its main one to be the point."""
    phrase = {s.anchor: s.phrase for s in context.syllables}
    main = {phrase[d.anchor]: d.size for d in hits if d.must}
    return [
        d if d.must or phrase[d.anchor] not in main
        else replace(d, size=min(d.size, main[phrase[d.anchor]] / CLEARLY))
        for d in hits
    ]  # fmt: skip


def parted(hits: list[Draft]) -> list[Draft]:
    """Hits of one part that do not run into each other: one is going back when the next starts."""
    found = list(hits)
    for part in dict.fromkeys(d.part for d in hits):
        own = [i for i in range(len(hits)) if hits[i].part == part]
        _part_from_next(found, sorted(own, key=lambda i: hits[i].start_s))
    return found


def _part_from_next(found: list[Draft], in_time: list[int]) -> None:
    for i, j in pairwise(in_time):
        next_s, hit = found[j].start_s, found[i]
        if hit.end_s > next_s and hit.hit_s is not None:
            leaves_s = max(hit.hit_s, min(hit.leaves_s, next_s - SHORTEST_BACK_S))
            end_s = max(next_s, leaves_s)
            kept = hit.keys[2][1] if hit.keys else 1.0
            keys = _keys(hit.start_s, hit.hit_s, leaves_s, end_s, kept)
            found[i] = replace(hit, end_s=end_s, keys=keys)


def _deserves(context: LineContext, syllable: SyllableOn) -> bool:
    energy = context.span_of(syllable.index).intent.energy_ratio
    if syllable.degree == "strong":
        return energy >= STRONG_ENERGY
    return syllable.degree == "light" and energy >= LIGHT_ENERGY


def accent(
    context: LineContext, syllable: SyllableOn, board: Board, *, must: bool | None = None,
    carried: Carried | None = None, done: Sequence[Draft] = (),
) -> Draft:  # fmt: skip
    """The accent of a syllable, whether or not restraint would choose it.

    carried : what carries it, the head if nothing is said; done : the line's accents before it.
    """
    carried = carried or Carried("head", None, "")
    must = syllable.main if must is None else must
    made = None
    if carried.carrier != "head":
        head_s = hit_of(context, syllable, None, board.low_s)
        within_s = (_word_from_s(context, syllable), syllable.beat_s + FRAME_S)
        made = of_other(context, syllable, board, carried, done, head_s, within_s)
    if made is None:
        made = _of_head(context, syllable, board, replace(carried, carrier="head"), done)
    return replace(made, size=_size(context, syllable, carried), must=must)


def _size(context: LineContext, syllable: SyllableOn, carried: Carried) -> float:
    """Its size: the intent's, by prominence, by where the phrase stands to the line's peak."""
    intent = context.span_of(syllable.index).intent
    size = intent.accent_size * (1 - PROMINENCE_SHARE * (1 - syllable.prominence))
    size *= 1.0 if syllable.main else SECOND_SIZE
    peak = peak_of(context.syllables)
    if peak is not None and syllable.phrase != context.syllables[peak].phrase:
        last = context.syllables[peak].phrase
        before = syllable.phrase < last
        size *= BEFORE_PEAK + (1 - BEFORE_PEAK) * syllable.phrase / last if before else AFTER_PEAK
    if carried.why.startswith("again"):
        size *= MORE_AGAIN if carried.why.endswith("more") else LESS_AGAIN
    return intent.sized(min(size, 1.0))


def _of_head(
    context: LineContext, syllable: SyllableOn, board: Board, carried: Carried,
    done: Sequence[Draft],
) -> Draft:  # fmt: skip
    """An accent of the head."""
    span = context.span_of(syllable.index)
    intent = span.intent
    pose = _pose_under(board, span)
    hit_s = hit_of(context, syllable, pose, board.low_s)
    start_s = hit_s - attack_of(context, syllable)
    stays_s, rides = _stays_until_s(context, syllable, hit_s)
    if rides is None:
        stays_s += stays_of(context, syllable)
    back_s = stays_s + recover_of(context, syllable)
    tilt_s = None if rides is not None else _tilt_until_s(context, syllable, board, back_s)
    direction, chosen = direction_of(context, syllable, pose, start_s, hit_s)
    if carried.direction:
        direction = chosen = carried.direction
    elif rides is None:
        direction, chosen = _another_way(context, syllable, done, direction, chosen)
    does = (
        f"Hit {placed_against(syllable.beat_s)} the vowel, "
        f"{'' if syllable.main else 'smaller, '}on top of the attitude, never after the sound. "
    )
    if rides is not None:
        does += f"The voice rises {rides:.1f} st on it: ride up and stop there through the pause."
    else:
        does += "Stay there while the tone and the vowel last, easing, then settle back"
        does += "." if tilt_s is None else f" to a tilt and keep it through {until('leaves')}."
    return context.draft(
        "accent", "head", syllable.anchor, span=span, text=syllable.word,
        at_s=(start_s, hit_s, back_s if tilt_s is None else tilt_s + TILT_BACK_S),
        size=0.1, direction=direction,
        path=intent.path,
        because=Why(
            stress_said(context, syllable),
            accent_said(context, syllable, carried, chosen),
            does, COMMON,
        ),
        keys=_keys(start_s, hit_s, stays_s, back_s, 1.0 if rides is not None else EASED, tilt_s),
        rides_on=context.pose_of(span), ease=intent.ease, least_s=0.0,
        certainty=0.9 if syllable.main else 0.7, carrier="head",
        hit_within_s=(_word_from_s(context, syllable), syllable.beat_s + FRAME_S),
    )  # fmt: skip


def _another_way(
    context: LineContext, syllable: SyllableOn, done: Sequence[Draft], direction: str, chosen: str
) -> tuple[str, str]:
    """The intent's other way, where the head has just gone the first; never up from a low head."""
    intent = context.span_of(syllable.index).intent
    heads = [d for d in done if d.part == "head"]
    other = intent.accent_other
    if intent.head == "low" and direction == "up":
        return other, f"{other}, for the head is held low"
    if heads and heads[-1].direction == direction and other != direction and chosen == direction:
        return other, f"{other}, since the last one went {direction}"
    return direction, chosen


def hit_of(
    context: LineContext, syllable: SyllableOn, pose: Draft | None, earliest_s: float
) -> float:
    """When a hit is at its extreme: its lead ahead of the vowel, but inside its own word.

    The attitude is there first: no hit comes before the pose it rides on, if that is in time.
    """
    lead_s = lead_of(context, syllable)
    pose_s = (pose.hit_s or 0.0) if pose else earliest_s
    hit_s = max(syllable.beat_s - lead_s, min(pose_s, syllable.beat_s), earliest_s)
    return max(hit_s, min(_word_from_s(context, syllable), syllable.beat_s))


def _word_from_s(context: LineContext, syllable: SyllableOn) -> float:
    """From when a hit belongs to its word: its start; after a silence up to a frame before it."""
    start_s = syllable.word_s[0]
    before_s = max((s.end_s for s in context.syllables[: syllable.index] if s.end_s <= start_s),
                   default=-1.0)  # fmt: skip
    return start_s - FRAME_S if start_s - before_s >= SILENT_S else start_s


def _pose_under(board: Board, span: Span) -> Draft | None:
    poses = [d for d in board.kind("pose") if d.span <= span.number - 1]
    return max(poses, key=lambda d: d.hit_s or 0.0, default=None)


def _stays_until_s(
    context: LineContext, syllable: SyllableOn, hit_s: float
) -> tuple[float, float | None]:
    """Until when the head stays on its hit, and the rise (semitones) it rides, if there is one.

    It stays while the tone or the level still climbs. A long audible rise that ends its phrase
    carries it on through the pause.
    """
    stays_s = max(syllable.peak_s, hit_s)
    phrase = context.phrases[syllable.phrase] if context.phrases else None
    for glide in context.glides:
        long = glide.shape == "rise" and glide.semitones >= RIDDEN_ST
        if not long or syllable.index not in glide.syllables:
            continue
        stays_s = max(stays_s, glide.end_s)
        ends = phrase is not None and phrase.last in glide.syllables and phrase.ending == "rise"
        if ends and phrase is not None:
            quiet = [e for n, _, e in context.pauses() if n == phrase.number]
            return min([*quiet, glide.end_s + LONGEST_STOP_S]), glide.semitones
    return min(stays_s, hit_s + LONGEST_STAY_S), None


def _tilt_until_s(
    context: LineContext, syllable: SyllableOn, board: Board, back_s: float
) -> float | None:
    """Until when a playful intent keeps a little of its last main hit, after the word; or None."""
    span = context.span_of(syllable.index)
    later = [s for s in context.in_span(span) if s.index > syllable.index and s.main]
    if span.intent.off_beat != "held tilt" or not syllable.main or later:
        return None
    poses = [d.start_s for d in board.kind("pose") if d.span > span.number - 1]
    phrase = context.phrases[syllable.phrase] if context.phrases else None
    wanted_s = phrase.end_s + TILT_STAYS_S if phrase else back_s
    until_s = min([wanted_s, board.high_s - TILT_BACK_S, *(s - TILT_BACK_S for s in poses)])
    return until_s if until_s - back_s >= LEAST_TILT_S else None


def _keys(
    start_s: float, hit_s: float, stays_s: float, back_s: float, kept: float,
    tilt_s: float | None = None,
) -> tuple[tuple[float, float], ...]:  # fmt: skip
    """In, on the hit, easing while it stays, back. No stay where it would be under a frame."""
    if tilt_s is not None:
        return (
            (start_s, 0.0), (hit_s, 1.0), (max(stays_s, hit_s + FRAME_S), kept),
            (back_s, TILT_KEPT), (tilt_s, TILT_KEPT), (tilt_s + TILT_BACK_S, 0.0),
        )  # fmt: skip
    if stays_s - hit_s < FRAME_S:
        return ()
    return ((start_s, 0.0), (hit_s, 1.0), (stays_s, kept), (back_s, 0.0))


def direction_of(
    context: LineContext, syllable: SyllableOn, pose: Draft | None, start_s: float, hit_s: float
) -> tuple[str, str]:
    """The way a hit goes, and how that is said: the intent's, unless the attitude decides."""
    wanted = context.span_of(syllable.index).intent.accent_direction
    if pose is not None and _at_once(pose, start_s, hit_s) and against(pose.direction, wanted):
        way = pose.direction.split(" ", maxsplit=1)[0]
        return way, f"{way} with the attitude, which arrives on the same frames"
    return _with_the_tune(context, syllable, wanted)


def _with_the_tune(context: LineContext, syllable: SyllableOn, wanted: str) -> tuple[str, str]:
    """Up with a wide rise on the hit's own vowel; against rise and fall where the intent opposes.

    A fall is how most accents end: it turns no hit of an intent that follows the tune.
    """
    answer = context.span_of(syllable.index).intent.head_answers_tone
    if wanted not in ("up", "down") or answer == "stay":
        return wanted, wanted
    for glide in context.glides:
        own = syllable.index in glide.syllables and glide.start_s >= syllable.start_s - FRAME_S
        answers = ("rise",) if answer == "follow" else ("rise", "fall")
        if own and glide.shape in answers and abs(glide.semitones) >= RIDDEN_ST:
            up = (glide.semitones > 0) == (answer == "follow")
            verb = "with" if answer == "follow" else "against"
            way = "up" if up else "down"
            return way, f"{way} {verb} the {glide.shape} of {abs(glide.semitones):.1f} st on it"
    return wanted, wanted


def _at_once(pose: Draft, start_s: float, hit_s: float) -> bool:
    """Whether an attitude is taken up so near a hit that both are one move to the eye."""
    arrives_s = pose.hit_s if pose.hit_s is not None else pose.end_s
    return pose.end_s > pose.start_s and arrives_s > start_s - ONE_MOVE_S and pose.start_s < hit_s
