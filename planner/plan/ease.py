"""Named eases: how a move's way is shared out over its time.

Conventions: an ease takes u, the share of the time (0..1), and gives the share of the way (0..1);
it starts at 0, ends at 1 and never goes back. In-out eases are symmetric: half the way at half the
time. "out" eases start fast and stop softly, "in" eases start softly and arrive fast.
Method and source: plain polynomials and the minimum-jerk profile 10u^3 - 15u^4 + 6u^5 (Flash &
Hogan 1985, J. Neurosci. 5:1688-1703). Overshoot is no ease: a settle has its own keys.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

EASE_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "linear": "even spacing",
        "cubic": "slow out, slow in",
        "sine": "soft at both ends",
        "minimum-jerk": "slow out, slow in, fast between",
        "quadratic": "slow out, slow in, fastest half way",
        "quadratic-in": "slow out, stopped hard",
        "quadratic-out": "starts fast, slow in",
        "cubic-in": "slow out, stopped very hard",
        "cubic-out": "starts very fast, slow in",
    }
)

Ease = Callable[[float], float]


def _quadratic(u: float) -> float:
    return 2 * u * u if u < 0.5 else 1 - 2 * (1 - u) ** 2


EASES: Mapping[str, Ease] = MappingProxyType(
    {
        "linear": lambda u: u,
        "cubic": lambda u: u * u * (3 - 2 * u),
        "sine": lambda u: (1 - math.cos(math.pi * u)) / 2,
        "minimum-jerk": lambda u: u**3 * (10 - 15 * u + 6 * u * u),
        "quadratic": _quadratic,
        "quadratic-in": lambda u: u * u,
        "quadratic-out": lambda u: u * (2 - u),
        "cubic-in": lambda u: u**3,
        "cubic-out": lambda u: 1 - (1 - u) ** 3,
    }
)
