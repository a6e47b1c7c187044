"""Decoding: numbers, times, both directions, and what is no movie."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from made_movies import FACE_COUNT, face_shot, write_movie

from audio.errors import MovieError
from planner.cli import main
from planner.picture.movie import open_movie


def numbered(count: int, size: tuple[int, int] = (64, 48)):  # type: ignore[no-untyped-def]
    """Flat pictures whose grey tells their number."""
    for number in range(count):
        yield np.full((size[1], size[0], 3), 20 + 5 * number, np.uint8)


def greys(pictures) -> list[int]:  # type: ignore[no-untyped-def]
    """The numbers of pictures as their grey tells them (luma in the studio range: 16 + .859 g)."""
    return [round(((float(p.mean()) - 16) / 0.859 - 20) / 5) for _, p in pictures]


def test_pictures_have_exact_numbers_both_ways(tmp_path: Path) -> None:
    """Also from the middle, past key pictures and pictures stored out of order."""
    movie = open_movie(write_movie(tmp_path / "n.mp4", numbered(40), gop=12, crf=1))

    assert movie.count == 40
    assert greys(movie.forward(0, 39)) == list(range(40))
    assert greys(movie.forward(17, 30)) == list(range(17, 31))
    assert greys(movie.backward(33, 5)) == list(range(33, 4, -1))
    assert [n for n, _ in movie.at({38, 2, 21, 99})] == [2, 21, 38]


def test_backwards_in_chunks_is_forwards_turned(
    face_movie: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.picture.movie.CHUNK_BYTES", 7 * 480 * 320)
    movie = open_movie(face_movie)

    forth = list(movie.forward(0, FACE_COUNT - 1))
    back = list(movie.backward(FACE_COUNT - 1, 0))

    assert [n for n, _ in back] == list(range(FACE_COUNT - 1, -1, -1))
    assert all(np.array_equal(a, b) for (_, a), (_, b) in zip(forth, back[::-1], strict=True))


def test_times_of_a_varying_rate_are_exact(tmp_path: Path) -> None:
    """Times in an odd base (1/90000 s, in Matroska rounded to 1/1000 s)."""
    times = [Fraction(n, 24) + (Fraction(1, 12) if n > 5 else 0) for n in range(12)]
    file = write_movie(tmp_path / "v.mkv", numbered(12), times=times)

    movie = open_movie(file)

    assert movie.times_s == pytest.approx([float(t) for t in times], abs=0.0006)
    assert not movie.even


@pytest.mark.parametrize("rate", [Fraction(24000, 1001), Fraction(25), Fraction(30000, 1001)])
@pytest.mark.parametrize("ending", ["mp4", "mov", "avi"])
def test_rates_in_several_containers(tmp_path: Path, rate: Fraction, ending: str) -> None:
    codec = "mjpeg" if ending == "avi" else "libx264"
    movie = open_movie(write_movie(tmp_path / f"r.{ending}", numbered(9), rate=rate, codec=codec))

    assert movie.count == 9
    assert movie.even
    assert movie.rate == pytest.approx(float(rate), rel=1e-3)


def test_a_raw_stream_without_times_is_counted(tmp_path: Path) -> None:
    movie = open_movie(write_movie(tmp_path / "raw.h264", numbered(14), crf=1))

    assert movie.count == 14
    assert greys(movie.backward(9, 7)) == [9, 8, 7]


def sound_only(path: Path) -> Path:
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=16000)
        frame = av.AudioFrame.from_ndarray(
            np.zeros((1, 16000), np.float32), format="fltp", layout="mono"
        )
        frame.sample_rate = 16000
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def test_what_is_no_movie_gets_one_line(
    tmp_path: Path, face_movie: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = face_movie.read_bytes()
    files = {
        "empty.mp4": b"", "text.mp4": b"frame,nose.x\n1,2\n", "zeros.mov": bytes(4000),
        "half.mp4": whole[: len(whole) // 2],
        "list.m3u8": b"#EXTM3U\n#EXTINF:10,\nhttp://example.invalid/a.ts\n",
        "join.ffconcat": f"ffconcat version 1.0\nfile '{face_movie}'\n".encode(),
    }  # fmt: skip
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    sound_only(tmp_path / "sound.m4a")
    out = str(tmp_path / "t.csv")
    for name in (*files, "sound.m4a", "missing.mp4", "."):
        code = main(["track", str(tmp_path / name), "--at", "1", "nose=200,150", "-o", out])

        said = capsys.readouterr().err
        assert code == 2, name
        assert said.count("\n") == 1, said
        assert "fault" not in said
    assert not Path(out).exists()


@pytest.mark.parametrize("missing", ["av", "cv2"])
def test_without_the_extra_it_is_named(
    face_movie: Path, monkeypatch: pytest.MonkeyPatch, missing: str
) -> None:
    monkeypatch.setitem(sys.modules, missing, None)

    with pytest.raises(MovieError, match=r"linebeat\[picture-tracks\]"):
        open_movie(face_movie)


def test_damage_in_the_middle_is_survived(tmp_path: Path, face_movie: Path) -> None:
    """Broken packets lose pictures, no more."""
    content = bytearray(write_movie(tmp_path / "d.avi", face_shot().pictures(20), codec="mjpeg")
                        .read_bytes())  # fmt: skip
    dice = np.random.default_rng(5)
    for at in dice.integers(len(content) // 3, len(content) // 2, 200):
        content[at] ^= 0xFF
    (tmp_path / "d.avi").write_bytes(bytes(content))

    movie = open_movie(tmp_path / "d.avi")
    got = [n for n, _ in movie.forward(0, movie.count - 1)]

    assert got == sorted(set(got))
    assert len(got) >= 10


def test_random_damage_never_passes_as_a_fault(tmp_path: Path, face_movie: Path) -> None:
    """Forty damaged movies: pictures, or an error of one line."""
    whole = face_movie.read_bytes()
    dice = np.random.default_rng(3)
    for trial in range(40):
        content = bytearray(whole)
        for at in dice.integers(0, len(content), 1 + trial):
            content[at] = dice.integers(256)
        file = tmp_path / "damaged.mp4"
        file.write_bytes(bytes(content[: dice.integers(100, len(content)) if trial % 3 else None]))
        try:
            movie = open_movie(file)
            for _, picture in movie.forward(0, 8):
                assert picture.shape == (movie.height, movie.width)
        except MovieError as error:
            assert "\n" not in error.line()
