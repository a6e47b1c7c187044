"""Small differences from case to case, taken from the material itself: no chance, no metronome.

The same words in the same place always give the same share; nothing else does. What is varied stays
inside the range its source gives.
"""

from __future__ import annotations

from hashlib import blake2b


def share_of(*material: object) -> float:
    """A share, 0 to under 1, that depends on the material alone."""
    text = "/".join(str(m) for m in material)
    return int.from_bytes(blake2b(text.encode(), digest_size=4).digest(), "big") / 2**32


def between(low: float, high: float, *material: object) -> float:
    """A value from `low` to `high` that depends on the material alone."""
    return low + (high - low) * share_of(*material)
