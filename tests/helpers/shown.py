"""Facts for the exports: a small two-hander, and one whose texts try to break out of any format."""

from __future__ import annotations

from dataclasses import replace

from made_voices import scene, voice

from audio.reading import Glide, VoiceReading
from planner.export.facts import ShotFacts, shot_facts
from planner.scene import Beat, Cue, KeyPose, Note, Scene
from planner.shot import shot_of

FORMULA = "=1+1"
MARKUP = "<script>alert(\"x\")</script> & 'so on'"
HEBREW = "שלום עולם"
EMOJI = '👩\u200d🚀 says, "hi"'
CUE_END = "--> 00:00:01.000"
NASTY = (FORMULA, "+1", "-1", "@sum(a1)", "\tx", MARKUP, HEBREW, EMOJI, CUE_END, "a,b;c", "]]>",
         "\u202eevil", "line\nbreak", "{brace}", "*star* _under_ # hash")  # fmt: skip


def two_hander(*, rate: str = "24", step: int = 1) -> tuple[Scene, dict[int, VoiceReading]]:
    """A clerk and a visitor, a line each, with beats, a cue, poses and notes."""
    made = scene(
        (("clerk", 0.0), ("visitor", 3.0)), rate=rate, step=step,
        beats=(
            Beat("teasing", "clerk", 1, (1, 4), None, 0.7, "visitor", "enjoys it"),
            Beat("amused", "clerk", 1, (5, 7), None, 0.4),
            Beat("surprised", "visitor", 2, (1, 2), None, 1.0, "clerk"),
        ),
        cues=(Cue("visitor", 1, 4, "surprised", 0.8),),
        poses=(
            KeyPose(1020, "clerk", "head", "chin down"), KeyPose(1080, "visitor", "head", "up"),
        ),
        notes=(
            Note((1011, 1016), "soften this", "clerk", "lead"),
            Note((1030, 1040), "done already", None, "lead", True),
        ),
        stage={"clerk": "left", "visitor": "right"},
    )  # fmt: skip
    says = ("That is the third umbrella this week.", "The third? But I lost one.")
    lines = tuple(replace(line, say=say) for line, say in zip(made.lines, says, strict=True))
    glide = Glide(0.8, 1.1, 5.0, "rise", True, (3,))
    readings = {
        1: voice("That is the THIRD umbrella this ~week.", glides=(glide,)),
        2: voice("The THIRD. But I ~lost ONE."),
    }
    return replace(made, title="The Lost Umbrella", lines=lines), readings


def facts(**more: object) -> ShotFacts:
    """The facts of the two-hander."""
    rate, step = str(more.pop("rate", "24")), int(str(more.pop("step", 1)))
    return shot_facts(shot_of(*two_hander(rate=rate, step=step)), **more)  # type: ignore[arg-type]


def nasty_facts(**more: object) -> ShotFacts:
    """The two-hander with hostile names, words, notes and pose names."""
    made, readings = two_hander()
    names = {"clerk": FORMULA, "visitor": HEBREW}
    word = readings[1].words[3]
    words = (*readings[1].words[:3], replace(word, text=MARKUP), *readings[1].words[4:])
    syllable = replace(readings[1].syllables[3], text=MARKUP)
    readings[1] = replace(
        readings[1], words=words,
        syllables=(*readings[1].syllables[:3], syllable, *readings[1].syllables[4:]),
    )  # fmt: skip
    made = replace(
        made, title=MARKUP, characters=tuple(names.values()),
        lines=tuple(replace(x, who=names[x.who]) for x in made.lines),
        beats=tuple(
            replace(b, who=names[b.who], toward=names.get(b.toward or ""), note=note)
            for b, note in zip(made.beats, NASTY, strict=False)
        ),
        cues=(),
        stage={},
        poses=tuple(
            KeyPose(1010 + i, FORMULA, "head", text) for i, text in enumerate(NASTY)
        ),
        notes=tuple(
            Note((1020 + i, 1021 + i), text, HEBREW, EMOJI) for i, text in enumerate(NASTY)
        ),
    )  # fmt: skip
    return shot_facts(shot_of(made, readings), **more)  # type: ignore[arg-type]
