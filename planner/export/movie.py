"""The movie: figures as planned, the words with the one that is said, the frame number, the sound.

MP4 (ISO/IEC 14496-12) with H.264 where the machine has an encoder, else MPEG-4 Part 2, and AAC. A
picture a frame at the scene's own rate; on twos two pictures are the same. The sound starts with
the first picture. Needs PyAV and Pillow (the extra `video`). Reads the scene's sound files; gives
bytes.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import numpy as np

from audio.errors import LinebeatError, OutputError
from planner.export.drawing import FAINT, INK, SOFT, WARM, Label, Stroke, Weight
from planner.export.facts import ShotFacts, shown_frame
from planner.export.figure_drawing import figure_strokes
from planner.export.plain import one_line
from planner.export.raster import Canvas, pillow
from planner.export.shot_sound import shot_flac
from planner.motion.figure import BOTTOM, TOP
from planner.motion.picture import WIDTH as PICTURE_WIDTH
from planner.motion.picture import places

WIDTH, HEIGHT = 1280, 720
FIGURES_TOP, FIGURES_FOOT = 36.0, 600.0
WORDS_AT, WORD_PX = 668.0, 34.0
SOUND_HZ = 48_000
CODECS = ("libx264", "libopenh264", "mpeg4")
QUALITY = {"libx264": {"crf": "20", "preset": "veryfast"}}
BIT_RATE = 2_500_000


def movie_bytes(facts: ShotFacts, *, sound: bool = True) -> bytes:
    """The movie of the frames shown. Raises OutputError without PyAV or Pillow."""
    pillow()
    try:
        import av as found
    except ImportError:
        raise OutputError("a movie needs PyAV", mend="pip install 'linebeat[video]'") from None
    av: Any = found
    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as movie:
        rate = facts.clock.rate.frames_per_s
        picture = movie.add_stream(codec_of(av), rate=rate)
        picture.width, picture.height, picture.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        picture.bit_rate = BIT_RATE
        picture.options = QUALITY.get(picture.codec_context.name, {})
        voice = movie.add_stream("aac", rate=SOUND_HZ, layout="mono") if sound else None
        for k, image in enumerate(_images(facts)):
            frame = av.VideoFrame.from_image(image)
            frame.pts, frame.time_base = k, 1 / rate
            movie.mux(picture.encode(frame))
        movie.mux(picture.encode(None))
        if voice is not None:
            _sound(av, facts, movie, voice)
    return out.getvalue()


def codec_of(av: Any) -> str:
    """The first encoder that is there."""
    for name in CODECS:
        try:
            av.codec.Codec(name, "w")
        except (ValueError, LookupError):
            continue
        return name
    raise OutputError("PyAV has no encoder for a movie", mend="install another build of av")


def _sound(av: Any, facts: ShotFacts, movie: Any, voice: Any) -> None:
    """The shot's sound from its first frame on."""
    import soundfile
    import soxr

    try:
        samples, rate_hz = soundfile.read(io.BytesIO(shot_flac(facts)), dtype="float32")
    except LinebeatError:
        return  # a picture without its sound is still the plan
    samples = soxr.resample(samples, rate_hz, SOUND_HZ).astype(np.float32)
    size = voice.codec_context.frame_size or 1024
    for start in range(0, len(samples), size):
        block = np.zeros((1, size), dtype=np.float32)
        part = samples[start : start + size]
        block[0, : len(part)] = part
        frame = av.AudioFrame.from_ndarray(block, format="fltp", layout="mono")
        frame.sample_rate, frame.pts = SOUND_HZ, start
        movie.mux(voice.encode(frame))
    movie.mux(voice.encode(None))


def _images(facts: ShotFacts) -> Iterator[Any]:
    """A picture a frame."""
    at = places(facts.scene, tuple(f.motion.who for f in facts.figures))
    for frame in range(facts.frames[0], facts.frames[1] + 1):
        canvas = Canvas(WIDTH, HEIGHT)
        draw_frame(canvas, facts, frame, at)
        yield canvas.pixels()


def draw_frame(canvas: Canvas, facts: ShotFacts, frame: int, at: Any) -> None:
    """One picture: figures, floor line, words, numbers."""
    head = (FIGURES_FOOT - FIGURES_TOP) / (BOTTOM - TOP)
    hips = FIGURES_TOP - TOP * head
    for figure in facts.figures:
        x = at[figure.motion.who] / PICTURE_WIDTH * WIDTH
        canvas.strokes(figure_strokes(figure.shapes, figure.on(frame), x, hips, head))
        canvas.labels([Label(x, FIGURES_FOOT + 22, one_line(figure.motion.who), 17, ink=SOFT,
                             anchor="middle")])  # fmt: skip
    canvas.strokes([Stroke(((0, FIGURES_FOOT + 30), (WIDTH, FIGURES_FOOT + 30)), 1.5, FAINT)])
    _words(canvas, facts, frame)
    second = shown_frame(facts.clock, frame, "seconds")
    canvas.labels([
        Label(24, 34, str(frame), 26, "bold"),
        Label(WIDTH - 24, 34, second, 20, ink=SOFT, anchor="end"),
        Label(WIDTH / 2, 30, one_line(facts.title), 17, ink=SOFT, anchor="middle"),
    ])  # fmt: skip


def _words(canvas: Canvas, facts: ShotFacts, frame: int) -> None:
    """The phrase that is said: the word of this frame dark, a strong stress heavy on a line."""
    spoken = [x for x in facts.laid.between(frame, frame) if x.who in facts.characters and x.words]
    if not spoken:
        return
    line = max(spoken, key=lambda x: x.words[0].frames[0])
    phrase = next((p for p in line.phrases if p.words and p.frames[1] + 6 >= frame), None)
    words = line.words if phrase is None or phrase.words is None else (
        line.words[phrase.words[0] - 1 : phrase.words[1]]
    )  # fmt: skip
    strong = {s.word: s for s in line.syllables if s.degree == "strong"}
    widths = [
        canvas.width_of(one_line(w.text) + " ", WORD_PX, bold=w.number in strong) for w in words
    ]
    shrink = min(1.0, (WIDTH - 60) / max(sum(widths), 1.0))
    x = (WIDTH - shrink * sum(widths)) / 2
    for word, wide in zip(words, widths, strict=True):
        now = word.frames[0] <= frame <= word.frames[1]
        main = word.number in strong and strong[word.number].main
        ink = (WARM if main else INK) if now else "#8d96a3"
        weight: Weight = "bold" if word.number in strong else "normal"
        canvas.labels([Label(x, WORDS_AT, one_line(word.text), WORD_PX * shrink, weight, ink=ink)])
        if word.number in strong and now:
            end = x + shrink * (wide - 8)
            canvas.strokes([Stroke(((x, WORDS_AT + 10), (end, WORDS_AT + 10)), 4.0, ink)])
        x += shrink * wide
