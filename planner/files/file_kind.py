"""What a file that is no text holds, from its first bytes: said where another file was meant.

Source of the marks: each format's own specification (RIFF, AIFF, FLAC, Ogg, ID3, PNG, JPEG, GIF,
TIFF, PDF, ZIP, ISO base media). It does not judge whether the file is whole.
"""

from __future__ import annotations

_MARKS = (
    (b"RIFF", 0, "a sound"), (b"RIFX", 0, "a sound"), (b"RF64", 0, "a sound"),
    (b"FORM", 0, "a sound"), (b"fLaC", 0, "a sound"), (b"OggS", 0, "a sound"),
    (b"ID3", 0, "a sound"), (b"caff", 0, "a sound"),
    (b"\xff\xfb", 0, "a sound"), (b"\xff\xf3", 0, "a sound"), (b"\xff\xf2", 0, "a sound"),
    (b"\x89PNG", 0, "a picture"), (b"\xff\xd8\xff", 0, "a picture"), (b"GIF8", 0, "a picture"),
    (b"II*\0", 0, "a picture"), (b"MM\0*", 0, "a picture"),
    (b"%PDF", 0, "a PDF"), (b"PK\x03\x04", 0, "a packed archive"), (b"ftyp", 4, "a video"),
)  # fmt: skip
HEAD_BYTES = 12  # as many as the marks need
_PICTURES_IN_RIFF = {b"WEBP": "a picture", b"AVI ": "a video"}


def kind_of(head: bytes) -> str | None:
    """What the file with these first bytes is ("a sound"), or None if it is not known.

    >>> kind_of(b"RIFF\\x24\\0\\0\\0WAVE"), kind_of(b"frame,who,part")
    ('a sound', None)
    """
    if head[:4] == b"RIFF" and head[8:12] in _PICTURES_IN_RIFF:
        return _PICTURES_IN_RIFF[head[8:12]]
    return next((kind for mark, at, kind in _MARKS if head[at : at + len(mark)] == mark), None)
