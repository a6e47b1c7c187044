"""The broken sound files of pocketsphinx's own tests (source distribution 5.1.1)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from audio.clip import load_clip
from audio.errors import ClipError

pytestmark = pytest.mark.reference


@pytest.mark.parametrize("name", ["awful.wav", "bad.wav", "evil.wav", "null.wav", "goforward.raw",
                                  "defective.dic", "turtle.lm.bin"])  # fmt: skip
def test_broken_files_are_one_clear_line(
    source_package: Callable[[str, str], Path], name: str
) -> None:
    path = source_package("pocketsphinx", "5.1.1") / "test" / "data" / name
    assert path.is_file()
    with pytest.raises(ClipError) as caught:
        load_clip(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)


def test_telephone_speech_is_read_with_a_warning(
    source_package: Callable[[str, str], Path],
) -> None:
    path = source_package("pocketsphinx", "5.1.1") / "test" / "data" / "vad" / "leak-test.wav"
    clip = load_clip(path)
    assert clip.sample_rate_hz == 8000
    assert any("8000 Hz" in warning for warning in clip.warnings)
