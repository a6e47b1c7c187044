"""Every input, damaged in every way: read, or refused in one line, soon and in little memory.

Small budgets here; `guided.py` is the long run. What either found is kept in FOUND.
"""

from __future__ import annotations

import resource
import struct
import subprocess
import sys
import wave
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
sys.path.insert(0, str(HERE))

import seeds  # noqa: E402
import targets  # noqa: E402

CPU_SECONDS = 15  # of a process, libraries loaded; the system ends it then
MEMORY_MAX = 1 << 30  # bytes beyond those of a Python that has loaded the libraries
QUICK = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip
SLOW = settings(QUICK, max_examples=25)  # pronouncing a text takes a while


@st.composite
def damaged(draw: st.DrawFn, name: str) -> bytes:
    """A whole input with some places cut, doubled, overwritten or filled."""
    data = draw(st.sampled_from(seeds.SEEDS[name]))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        length = draw(st.integers(0, 16))
        piece = draw(
            st.one_of(
                st.binary(max_size=8),
                st.sampled_from([b"\xff\xff\xff\x7f", b"\x00\x00\x00\x80", b"\xff" * 8, b"-1",
                                 b"1e999", b"nan", b"99999999999", b'"', b"\r", b"\xef\xbb\xbf",
                                 b"\xed\xa0\x80", b"\x00", b",,,,", b"{", b"}", b"\n"]),
                st.just(data[start : start + length] * 3),
            )
        )  # fmt: skip
        data = data[:start] + piece + data[start + length :]
    return data


@pytest.mark.parametrize("name", [n for n in targets.TARGETS if n != "transcript"])
@given(data=st.data())
@QUICK
def test_a_damaged_input_is_read_or_refused(name: str, data: st.DataObject) -> None:
    targets.fed(name, data.draw(damaged(name)))


@given(damaged("transcript"))
@SLOW
def test_a_damaged_transcript_is_read_or_refused(data: bytes) -> None:
    targets.fed("transcript", data)


@pytest.mark.parametrize("name", [n for n in targets.TARGETS if n != "transcript"])
@given(data=st.binary(max_size=300))
@QUICK
def test_any_bytes_are_read_or_refused(name: str, data: bytes) -> None:
    targets.fed(name, data)


WORDS = st.sampled_from(["lamp", "the", "x1b[31m", "NASA's", "1984", "\u65e5\u672c", "caf\u00e9",
                         "[sighs]", "&", "$12.50", "x" * 40, "\x1b[31m", "\u202e", "-", "a/b",
                         "zzz", "\U0001f469"])  # fmt: skip


@given(st.lists(WORDS, max_size=12).map(" ".join), st.sampled_from([0.06, 0.3, 1.2]))
@settings(max_examples=25, deadline=None)
def test_any_words_can_be_laid_on_any_sound(text: str, length_s: float) -> None:
    """As many words come back as were said, in order of time, inside the clip."""
    from audio.clip import load_clip
    from audio.read_voice import read_voice
    from audio.words.pronounce import pronounce_text

    clip = load_clip(seeds.DEMO / "clerk_01.flac", start_s=0.25, end_s=0.25 + length_s)

    reading = read_voice(clip, text=text)

    assert len(reading.words) == len(pronounce_text(text).words)
    times = [t for w in reading.words for t in (w.start_s, w.end_s)]
    assert times == sorted(times)
    assert all(0.0 <= t <= clip.duration_s + 0.011 for t in times)


# Inputs made to be too much -----------------------------------------------------------------------


def wav(
    frames: int, *, rate_hz: int = 16000, channels: int = 1, data: bytes = b"\x01\x10" * 800
) -> bytes:
    """A WAV file whose header says what it likes."""
    size = (frames * channels * 2) & 0xFFFFFFFF
    head = struct.pack("<4sI4s4sIHHIIHH4sI", b"RIFF", (size + 36) & 0xFFFFFFFF, b"WAVE", b"fmt ",
                       16, 1, channels, rate_hz, (rate_hz * channels * 2) & 0xFFFFFFFF,
                       (channels * 2) & 0xFFFF, 16, b"data", size)  # fmt: skip
    return head + data


LINE = "linebeat: 1\nrate: 24\ncharacters: [a]\n"
TOO_MUCH: dict[str, tuple[str, bytes]] = {
    "a header of 2^31 samples": ("sound", wav(1 << 31)),
    "a header of 2^31-1 bytes": ("sound", wav((1 << 30) - 20)),
    "a header of 65535 channels": ("sound", wav(1000, channels=65535)),
    "a header of 4 GHz": ("sound", wav(1000, rate_hz=0xFFFFFFFF)),
    "a header of 1 Hz": ("sound", wav(800, rate_hz=1)),
    "a header of 0 Hz": ("sound", wav(800, rate_hz=0)),
    "many empty chunks": ("sound", wav(0)[:12] + b"LIST\x00\x00\x00\x00" * 200_000),
    "aliases that multiply": ("scene", (LINE + "x0: &x0 [a,a,a,a,a,a,a,a,a]\n" + "".join(
        f"x{i}: &x{i} [{','.join([f'*x{i - 1}'] * 9)}]\n" for i in range(1, 12))).encode()),
    "brackets without end": ("scene", b"[" * 900_000),
    "dashes without end": ("scene", b"- " * 450_000),
    "keys without end": ("scene", b"? " * 450_000),
    "a line of 10 MB in a scene": ("scene", LINE.encode() + b"title: " + b"x" * 10_000_000),
    "a title of 900 kB": ("scene", LINE.encode() + b"title: " + b"x" * 900_000),
    "quotes over 900 kB": ("scene", LINE.encode() + b'title: "' + b"\\x1b" * 225_000 + b'"'),
    "100,000 characters": ("scene", b"linebeat: 1\nrate: 24\ncharacters: [" + b"".join(
        b"c%d," % i for i in range(100_000)) + b"]\n"),
    "20,000 notes": ("scene", LINE.encode() + b"notes:\n" + b"- {frames: 1, text: x}\n" * 20_000),
    "a number of 900,000 digits": ("scene", LINE.encode() + b"handles: " + b"9" * 900_000),
    "a rate of many digits": ("scene", b"linebeat: 1\nrate: 1/" + b"9" * 4000 + b"\n"),
    "a line of 10 MB of poses": ("poses", b"frame,part\n1," + b"x" * 10_000_000),
    "a quote of 10 MB": ("poses", b'frame,part\n"' + b"\n" * 10_000_000),
    "200,001 poses": ("poses", b"frame,who,part\n" + b"".join(
        b"%d,clerk,head\n" % i for i in range(200_001))),
    "100,000 columns": ("poses", b"," * 100_000),
    "a frame of 10^6 digits": ("poses", b"frame,who,part\n" + b"1" * 1_000_000 + b",clerk,head\n"),
    "a line of 10 MB of tracks": ("tracks", b"frame,a.x,a.y\n1," + b"1" * 10_000_000),
    "100,000 points": ("tracks", b"frame," + b"".join(
        b"p%d.x,p%d.y," % (i, i) for i in range(50_000)) + b"z.x,z.y\n1" + b",1" * 100_002),
    "frames far apart": ("tracks", b"frame,a.x,a.y\n1,1,1\n900000000,1,1\n"),
    "a track of 1e300": ("tracks", b"frame,a.x,a.y\n1,1e300,1\n2,-1e300,1\n"),
    "10 MB of commas": ("tracks", b"," * 10_000_000),
    "2^31 frames of motion": (
        "bvh", seeds.BVH.replace("Frames: 3", "Frames: 2147483648").encode()),
    "joints without end": (
        "bvh",
        b"HIERARCHY\nROOT a\n" + b"{\nOFFSET 0 0 0\nCHANNELS 0\nJOINT b\n" * 100_000 + b"MOTION\n"),
    "2^31 channels": ("bvh", seeds.BVH.replace("CHANNELS 6", "CHANNELS 2147483648").encode()),
    "10 MB of braces": ("bvh", b"HIERARCHY\nROOT a\n" + b"{" * 10_000_000 + b"\nMOTION\n"),
    "a line of 10 MB of text": ("transcript", b"la " * 3_333_333),
    "a word of 10 MB": ("transcript", b"a" * 10_000_000),
    "10 MB of dashes": ("transcript", b"-" * 10_000_000),
    "10 MB of brackets": ("transcript", b"[" * 10_000_000),
    "10 MB of quotes": ("transcript", b"'" * 10_000_000),
    "10 MB of digits": ("transcript", b"1" * 10_000_000),
    "a word of 20,000 letters": ("transcript", b"ab" * 10_000),
    "20,000 digits": ("transcript", b"12" * 10_000),
    "long words": ("transcript", " ".join(("ab" * 40, "12" * 40, "'a" * 40, "1," * 40, "$1." * 26,
                                           "A." * 40, "a-" * 40, "x" * 80)).encode()),
    "20,000 brackets": ("transcript", b"[(" * 10_000),
    "20,000 apostrophes": ("transcript", b"'a" * 10_000),
}  # fmt: skip

ALONE = """
import sys
sys.path[:0] = [{here!r}, {root!r}]
import numpy, scipy.signal, soundfile, soxr, yaml
import targets
targets.fed({name!r}, b"")
def peak():  # ru_maxrss would be that of the process this one was forked from
    status = open("/proc/self/status").read()
    return int(status.split("VmHWM:")[1].split()[0]) * 1024
before = peak()
said = targets.fed({name!r}, open({path!r}, "rb").read())
print(peak() - before)
print("read" if said is None else said.line()[:200])
"""


@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
@pytest.mark.parametrize("case", TOO_MUCH)
def test_what_is_too_much_is_refused_soon_and_in_little_memory(case: str, tmp_path: Path) -> None:
    """Each in a process of its own, whose memory and processor time are bounded from outside."""
    name, data = TOO_MUCH[case]
    path = tmp_path / "input"
    path.write_bytes(data)
    code = ALONE.format(here=str(HERE), root=str(ROOT), name=name, path=str(path))

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
        resource.setrlimit(resource.RLIMIT_DATA, (3 << 30, 3 << 30))

    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=600, check=False,
        preexec_fn=limit,
    )  # fmt: skip

    assert ran.returncode == 0, ran.stderr[-1500:]
    assert int(ran.stdout.split("\n")[0]) < MEMORY_MAX, ran.stdout


# What was found -----------------------------------------------------------------------------------


def test_a_text_the_decoder_gives_up_on_is_spread_over_the_sound() -> None:
    """Found by a hostile scene: 1.6 s of talk and 17 phones of nonsense raised RuntimeError."""
    from audio.clip import load_clip
    from audio.read_voice import read_voice

    clip = load_clip(seeds.DEMO / "clerk_01.flac", start_s=0.25, end_s=1.85)

    reading = read_voice(clip, text="=x \\x1b[31m")

    assert [w.text for w in reading.words] == ["x", "x1b[31m"]
    assert any("may not say these words" in warning for warning in reading.warnings)


def test_a_wave_that_python_writes_is_read(tmp_path: Path) -> None:
    """The headers above are refused for what they say, not for how they are built."""
    with wave.open(str(tmp_path / "a.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(b"\x01\x10" * 800 + b"\xff\xef" * 800)
    own = wav(1600, data=b"\x01\x10" * 800 + b"\xff\xef" * 800)

    assert (tmp_path / "a.wav").read_bytes() == own
    assert targets.fed("sound", own) is None
