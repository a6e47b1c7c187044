"""Timecode and footage against published labels.

Source: SMPTE ST 12-1 by way of the worked examples of the public ttconv tests
(github.com/sandflow/ttconv, src/test/python/test_time_code_smpte.py: 1799, 1800, 17981, 17982 and
111582 at 29.97 drop-frame) and of docs.rs/oximedia-timecode (1798 labels a drop minute, 17982 in
ten, 107892 an hour); the other rows are the same rule worked out, and each is checked a second
time against a plain count of labels. Film: 16 frames a foot, 90 feet a minute at 24
(4-perforation 35 mm).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.frames import FrameRate, feet_and_frames, index_of_timecode, timecode

DROP_30 = FrameRate.parse("29.97df")
DROP_60 = FrameRate.parse("59.94df")

LABELS_29_97 = [
    (0, "00:00:00;00"), (1799, "00:00:59;29"), (1800, "00:01:00;02"), (3597, "00:01:59;29"),
    (3598, "00:02:00;02"), (17981, "00:09:59;29"), (17982, "00:10:00;00"),
    (107891, "00:59:59;29"), (107892, "01:00:00;00"), (111582, "01:02:03;04"),
    (2589407, "23:59:59;29"),
]  # fmt: skip
LABELS_59_94 = [
    (3599, "00:00:59;59"), (3600, "00:01:00;04"), (35963, "00:09:59;59"), (35964, "00:10:00;00"),
    (215784, "01:00:00;00"), (5178815, "23:59:59;59"),
]  # fmt: skip


def counted_labels(nominal: int, skipped: int, count: int) -> list[str]:
    """The first labels of a day by the rule's own words: skip some each minute but the tenth."""
    labels = []
    hour = minute = second = frame = 0
    while len(labels) < count:
        labels.append(f"{hour:02d}:{minute:02d}:{second:02d};{frame:02d}")
        frame += 1
        if frame == nominal:
            frame, second = 0, second + 1
        if second == 60:
            second, minute = 0, minute + 1
            frame = skipped if minute % 10 else 0
        if minute == 60:
            minute, hour, frame = 0, hour + 1, 0
    return labels


@pytest.mark.parametrize(("index", "label"), LABELS_29_97)
def test_drop_frame_labels_at_29_97(index: int, label: str) -> None:
    assert timecode(index, DROP_30) == label
    assert index_of_timecode(label, DROP_30) == index


@pytest.mark.parametrize(("index", "label"), LABELS_59_94)
def test_drop_frame_labels_at_59_94(index: int, label: str) -> None:
    assert timecode(index, DROP_60) == label
    assert index_of_timecode(label, DROP_60) == index


@pytest.mark.parametrize(
    ("rate", "skipped", "count"), [(DROP_30, 2, 107_892 + 3_600), (DROP_60, 4, 2 * 35_964 + 7_200)]
)
def test_every_label_follows_the_rule_when_counted_one_by_one(
    rate: FrameRate, skipped: int, count: int
) -> None:
    """Also where two public test files have a wrong label (frame 1798 is 00:00:59;28)."""
    expected = counted_labels(rate.nominal, skipped, count)

    assert [timecode(index, rate) for index in range(count)] == expected
    assert all(
        index_of_timecode(label, rate) == index
        for index, label in enumerate(expected)
        if index % 97 == 0 or label.endswith((";00", ";02", ";04"))
    )


@pytest.mark.parametrize(("rate", "day"), [(DROP_30, 2_589_408), (DROP_60, 5_178_816)])
def test_the_day_wraps_after_its_last_frame(rate: FrameRate, day: int) -> None:
    assert day == 24 * {30: 107_892, 60: 215_784}[rate.nominal]
    assert timecode(day, rate) == "00:00:00;00"


@pytest.mark.parametrize("label", ["00:01:00;00", "00:01:00;01", "00:59:00;01"])
def test_labels_that_drop_frame_skips_do_not_exist(label: str) -> None:
    with pytest.raises(ValueError, match="drop-frame skips"):
        index_of_timecode(label, DROP_30)


def test_drop_frame_still_drifts() -> None:
    """3600 s hold 107892.108 frames, 2.589 frames a day more than labels."""
    per_hour = 3600 * DROP_30.frames_per_s

    assert float(per_hour) == pytest.approx(107_892.108, abs=5e-4)
    assert float(24 * (per_hour - 107_892)) == pytest.approx(2.589, abs=2e-3)


@pytest.mark.parametrize("text", ["24df", "25df", "23.976df", "30df", "60df", "50df"])
def test_drop_frame_exists_for_29_97_and_59_94_only(text: str) -> None:
    """ST 12-1 (docs.rs/crate/smpte-timecode): nominal 30 and 60; at whole rates nothing drifts."""
    with pytest.raises(ValueError, match="drop-frame exists for"):
        FrameRate.parse(text)


@pytest.mark.parametrize(
    ("text", "exact", "shown"),
    [("23.976", Fraction(24000, 1001), 23.976024), ("29.97", Fraction(30000, 1001), 29.970030),
     ("59.94", Fraction(60000, 1001), 59.940060)],
)  # fmt: skip
def test_video_rates_are_exact_fractions(text: str, exact: Fraction, shown: float) -> None:
    rate = FrameRate.parse(text)

    assert rate.frames_per_s == exact
    assert float(rate.frames_per_s) == pytest.approx(shown, abs=5e-7)


def test_sixteen_frames_are_a_foot_and_ninety_feet_a_minute() -> None:
    labels = [feet_and_frames(index) for index in (0, 15, 16, 17, 1439, 1440)]

    assert labels == ["0+00", "0+15", "1+00", "1+01", "89+15", "90+00"]
    assert FrameRate.parse("24").index_at(60.0) == 1440
