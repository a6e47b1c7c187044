"""`linebeat track` and `linebeat paths` on a movie, from the command line."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from made_movies import FACE_COUNT, Sprite, face_place, face_shot, write_movie

from planner.cli import main
from planner.paths.track_file import read_tracks


@pytest.fixture(scope="module")
def movie(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_movie(
        tmp_path_factory.mktemp("track") / "face.mp4", face_shot().pictures(FACE_COUNT)
    )


def at_first() -> list[str]:
    """The points of the first frame as the command takes them."""
    true = face_shot().true_points(1)[:, 0]
    names = face_shot().points
    return [f"{n}={x:.1f},{y:.1f}" for n, (x, y) in zip(names, true, strict=True)]


def test_a_table_comes_out_that_paths_reads(
    movie: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "tracks.csv"

    asked = ["--starts", "1001", "--at", "1001", *at_first(), "-o", str(out)]
    code = main(["track", str(movie), *asked])

    said = capsys.readouterr().err
    assert code == 0
    assert f"nose: on {FACE_COUNT} of {FACE_COUNT} frames" in said
    tracks = read_tracks(out)
    assert tracks.names == tuple(face_shot().points)
    assert (tracks.first_frame, tracks.count) == (1001, FACE_COUNT)
    assert np.abs(tracks.points - face_shot().true_points(FACE_COUNT)).max() < 2.0
    assert main(["track", str(movie), "--at", "1", *at_first(), "-o", str(out)]) == 2
    assert "is there already" in capsys.readouterr().err


def test_a_second_version_is_found_by_the_first_ones_points(
    movie: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The head has been moved by (17, -9) and an eye was closed: the eye needs a new pin."""
    first, second = tmp_path / "v1.csv", tmp_path / "v2.csv"
    main(["track", str(movie), "--at", "1", *at_first(), "-o", str(first)])
    shot = face_shot()
    image = shot.sprites[0].image.copy()
    image[55:85, 25:60] = image[104, 35]

    def moved(t: float) -> tuple[float, float, float, float]:
        x, y, turn, size = face_place(t)
        return x + 17, y - 9, turn, size

    other = replace(shot, sprites=(Sprite(image, (65.0, 80.0), moved),))
    file = write_movie(tmp_path / "v2.mp4", other.pictures(FACE_COUNT))
    capsys.readouterr()

    code = main(["track", str(file), "--points", str(first), "-o", str(second)])

    said = capsys.readouterr().err
    assert code == 0
    assert "l_eye was not found on frame 1: it needs a new pin there" in said
    tracks = read_tracks(second)
    assert tracks.names == ("nose", "r_mouth")
    assert np.abs(tracks.points[0] - other.true_points(FACE_COUNT)[0]).max() < 2.0


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["-o", "t.csv"], "no points are named"),
        (["--at", "1", "nose=200,150"], "nowhere to write"),
        (["--at", "1", "nose=200", "-o", "t.csv"], "names no point"),
        (["--at", "one", "nose=2,2", "-o", "t.csv"], 'frame "one" is no whole number'),
        (["--at", "99", "nose=2,2", "-o", "t.csv"], "that frame is not in the movie"),
        (["--at", "1", "nose=900,2", "-o", "t.csv"], "is outside the picture"),
        (["--frames", "50-60", "--at", "1", "n=2,2", "-o", "t.csv"], "are not in the movie"),
        (["--points", "none.csv", "-o", "t.csv"], "no such file"),
        (["--at", "1", "nose=2,2", "-o", "no_folder/t.csv"], "no folder"),
    ],
)
def test_a_mistake_is_one_line(
    movie: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch, more: list[str], said: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)

    code = main(["track", str(movie), *more])

    error = capsys.readouterr().err
    assert code == 2
    assert error.count("\n") == 1, error
    assert said in error
    assert not list(tmp_path.iterdir())


def test_paths_follows_the_points_of_a_movie_itself(
    movie: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One step gives what `track` and `paths` give in two."""
    (tmp_path / "scene.yaml").write_text(
        f"linebeat: 1\nrate: 24\nfirst_frame: 1\nshot: 1-{FACE_COUNT}\ncharacters: [clerk]\n"
        "lines:\n  - {who: clerk, sound: not_there.wav, at: 1}\n"
    )
    points, tracks = tmp_path / "points.csv", tmp_path / "tracks.csv"
    rows = [f"1,{point.replace('=', ',')}" for point in at_first()]
    points.write_text("frame,name,x,y\n" + "\n".join(rows) + "\n")
    scene = str(tmp_path / "scene.yaml")

    main(["track", str(movie), "--points", str(points), "-o", str(tracks)])
    capsys.readouterr()
    two = main(["paths", scene, str(tracks), "--json", "-"])
    in_two = json.loads(capsys.readouterr().out)
    one = main(["paths", scene, str(movie), "--points", str(points), "--json", "-"])
    in_one = json.loads(capsys.readouterr().out)

    assert one == two
    assert in_one == in_two
    assert main(["paths", scene, str(movie)]) == 2
    assert "is a movie, and no points are named" in capsys.readouterr().err
