"""Poses from CSV: what is read, and one clear line for every mistake."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audio.errors import LinebeatError, TableError
from planner.check.pose_file import parse_poses, read_poses

TWO = ("clerk", "visitor")
HEADER = "frame,who,part,name\n"


def wrong(text: str, characters: tuple[str, ...] = TWO) -> str:
    with pytest.raises(TableError) as caught:
        parse_poses(text, characters, file="poses.csv")
    line = str(caught.value)
    assert "\n" not in line
    return line


def test_a_table_is_read_in_its_order_with_its_other_columns() -> None:
    table = parse_poses(
        "frame,who,part,name,by\n1016,clerk,head,chin down,ada\n1001,visitor,whole,,bo\n", TWO
    )

    first, second = table.poses
    assert (first.frame, first.who, first.part, first.name) == (1016, "clerk", "head", "chin down")
    assert dict(first.extra) == {"by": "ada"}
    assert (second.frame, second.part, second.name) == (1001, "whole", "")
    assert table.line_nos == (2, 3)


@pytest.mark.parametrize(
    "text",
    [
        "frame,who,part,name\r\n1001,clerk,head,up\r\n",
        "\ufeffframe,who,part,name\n1001,clerk,head,up\n",
        "frame;who;part;name\n1001;clerk;head;up\n",
        "frame\twho\tpart\tname\n1001\tclerk\thead\tup\n",
        "Frame, Who , PART,Name\n 1001 , clerk , Head , up \n",
        "\n\nframe,who,part,name\n\n1001,clerk,head,up\n,,,\n",
        "name,part,who,frame\nup,head,clerk,1001\n",
        'frame,who,part,name\n1001,clerk,head,"up"',
        "frame,who,part,name\r1001,clerk,head,up\r",
    ],
)
def test_tables_as_programs_write_them(text: str) -> None:
    (pose,) = parse_poses(text, TWO).poses

    assert (pose.frame, pose.who, pose.part, pose.name) == (1001, "clerk", "head", "up")


def test_a_quoted_line_break_becomes_a_space_and_later_lines_keep_their_number() -> None:
    text = HEADER + '1001,clerk,head,"chin\ndown, slowly"\n1002,clerk,hat,\n'

    assert wrong(text).startswith('poses.csv:4: unknown part "hat"')
    table = parse_poses(text.replace("hat", "chest"), TWO)
    assert table.poses[0].name == "chin down, slowly"
    assert table.line_nos == (2, 4)


def test_a_scene_with_one_character_needs_no_who() -> None:
    assert parse_poses("frame,part\n5,head\n", ("cook",)).poses[0].who == "cook"
    assert parse_poses("frame,who,part\n5,,head\n", ("cook",)).poses[0].who == "cook"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "poses.csv:1: the table is empty; begin with frame,who,part,name"),
        ("\n\n", "poses.csv:1: the table is empty; begin with frame,who,part,name"),
        ("frame,who,name\n", 'poses.csv:1: no column "part"; begin with frame,who,part,name'),
        ("frame,part\n", 'poses.csv:1: no column "who"; begin with frame,who,part,name'),
        (
            "1001,clerk,head,up\n",
            'poses.csv:1: no column "frame"; the first row looks like a pose, not a header; '
            "begin with frame,who,part,name",
        ),
        ("frame,who,part,part\n", 'poses.csv:1: the column "part" stands twice; delete one'),
        (
            HEADER + "10.5,clerk,head,\n",
            'poses.csv:2: "10.5" is not a frame; key poses stand on whole frames; write 10',
        ),
        (
            HEADER + "00:00:01:00,clerk,head,\n",
            'poses.csv:2: "00:00:01:00" is not a frame; write a whole frame such as 1001',
        ),
        (HEADER + ",clerk,head,\n", "poses.csv:2: no frame; write a whole frame such as 1001"),
        (
            HEADER + "1,clrk,head,\n",
            'poses.csv:2: unknown character "clrk"; did you mean "clerk"? (known: clerk, visitor)',
        ),
        (HEADER + "1,,head,\n", "poses.csv:2: no who; name a character (clerk, visitor)"),
        (
            HEADER + "1,clerk,head,a\n\n1,clerk,head,b\n",
            "poses.csv:4: frame 1 of clerk's head stands on line 2 too; delete one of the two rows",
        ),
        (
            HEADER + "1,clerk,head,chin, down\n",
            "poses.csv:2: 5 cells under 4 columns; put a text that has commas in double quotes",
        ),
        (HEADER + "1,clerk,\0,\n", "poses.csv:2: a NUL byte, so no text table; save it as CSV"),
    ],
)
def test_every_mistake_says_where_and_how_to_mend_it(text: str, says: str) -> None:
    assert wrong(text) == says


def test_an_unknown_part_names_the_nearest() -> None:
    assert 'unknown part "left hnd"; did you mean "left hand"?' in wrong(
        HEADER + "1,clerk,left hnd,\n"
    )


def test_an_open_quote_is_said_at_its_row() -> None:
    assert wrong(HEADER + '1,clerk,head,ok\n2,clerk,head,"never closed\n3,a,b,c\n').startswith(
        "poses.csv:3: not a CSV row"
    )


def test_a_cell_too_long_for_csv_is_one_line() -> None:
    assert "poses.csv:2: not a CSV row" in wrong(HEADER + f'1,clerk,head,"{"x" * 200_000}"\n')


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"frame,who,part,name\n1,clerk,head,caf\xe9\n", ":2: the file is not UTF-8 text"),
        ("frame,who\n".encode("utf-16"), ":1: the file is UTF-16 text; save it as UTF-8"),
        (b"x" * 20_000_001, "larger than 20 MB"),
    ],
)
def test_files_that_are_no_table(tmp_path: Path, data: bytes, says: str) -> None:
    path = tmp_path / "poses.csv"
    path.write_bytes(data)

    with pytest.raises(TableError) as caught:
        read_poses(path, TWO)

    assert says in str(caught.value)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path, says in ((tmp_path / "none.csv", "no such poses file"), (tmp_path, "is a folder")):
        with pytest.raises(TableError, match=says):
            read_poses(path, TWO)


def test_a_pose_outside_the_shot_is_kept_and_stated() -> None:
    table = parse_poses(HEADER + "999,clerk,head,\n1001,clerk,head,\n", TWO, file="p.csv")

    assert len(table.poses) == 2
    assert table.outside((1001, 1100)) == ("p.csv:2: frame 999 lies outside the shot (1001-1100)",)


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet=st.sampled_from('frame,who part\nclerk"\r;\t1\x00\ufeffé'), max_size=80))
def test_any_text_is_a_table_or_one_line(text: str) -> None:
    try:
        parse_poses(text, TWO)
    except LinebeatError as error:
        assert error.where.startswith("poses.csv")
        assert "\n" not in str(error)


def test_tables_of_spreadsheets_are_read() -> None:
    text = "# from the shot list\nsep=;\nFrame;Character;Part;Name\n1018.0;clerk;head;chin down\n"

    table = parse_poses(text, ("clerk", "visitor"))

    assert [(p.frame, p.who, p.part, p.name) for p in table.poses] == [
        (1018, "clerk", "head", "chin down")
    ]
    assert table.line_nos == (4,)


def test_a_table_counted_from_one_gets_the_hint() -> None:
    table = parse_poses("frame,who,part\n18,clerk,head\n40,clerk,head\n", ("clerk",))

    assert table.outside((1001, 1096)) == (
        "poses.csv: frames 18 and on are counted from 1, the shot is 1001-1096; add 1000 to each",
    )
