"""What a pipeline expects of a check: rules such as "95% of main accents".

Grammar, upper or lower case alike:

    RULE    =  AMOUNT ["of"] THING          all the THINGs by default count as wanted or unwanted
    AMOUNT  =  N% | N | all | at least N | at least N%          for what is wanted
            |  no | at most N | at most N%                      for what is unwanted
    THING   =  main accents | stresses | poses                  wanted: those that land
            |  early poses | late poses | missed accents        unwanted
            |  findings | certain findings | KIND               unwanted (a kind of finding)

"95% of main accents" and "at least 95% of main accents" are the same. Of nothing, all is met.
Shares are exact fractions: 19 of 20 is 95 %. Shares of poses leave out the free ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from audio.errors import UsageError
from planner.check.findings import finding_rules
from planner.check.result import CheckResult
from planner.told.wording import nearest

EXAMPLE = '"95% of main accents", "no late poses", "at most 2 findings"'
_RULE = re.compile(
    r"(?:(at least|at most)\s+)?(?:(all|no)|([0-9]{1,6}(?:\.[0-9]{1,6})?)\s*(%)?)"
    r"\s+(?:of\s+)?(?:the\s+)?(.+)"
)

Count = Callable[[CheckResult], tuple[int, int]]


def _verdicts(word: str) -> Count:
    def count(result: CheckResult) -> tuple[int, int]:
        timed = [p for p in result.poses if p.verdict != "free"]
        return sum(p.verdict == word for p in timed), len(timed)

    return count


def _findings(kind: str | None, certain: bool = False) -> Count:
    def count(result: CheckResult) -> tuple[int, int]:
        wanted = [f for f in result.findings if kind in (None, f.kind)]
        return sum(f.certain or not certain for f in wanted), len(wanted)

    return count


_WANTED: dict[str, Count] = {
    "main accents": lambda r: (r.summary.main_landed, r.summary.main_accents),
    "stresses": lambda r: (r.summary.landed, r.summary.stresses),
    "poses": _verdicts("lands"),
}
_UNWANTED: dict[str, Count] = {
    "early poses": _verdicts("early"),
    "late poses": _verdicts("late"),
    "missed accents": lambda r: (sum(s.main for s in r.missed), r.summary.main_accents),
    "findings": _findings(None),
    "certain findings": _findings(None, certain=True),
    **{rule.kind: _findings(rule.kind) for rule in finding_rules()},
}
THINGS = (*_WANTED, *_UNWANTED)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule as read: how much of what, at least or at most. `share` is 0..1, `count` whole."""

    text: str
    thing: str
    at_least: bool
    share: Fraction | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """Whether a rule is met, and what was found, in words: "18 of 20"."""

    rule: Rule
    met: bool
    found: str


def parse_rule(text: str) -> Rule:
    """Read a rule. Raises UsageError with an example if it is none."""
    plain = " ".join(text.split())
    match = _RULE.fullmatch(plain.lower())
    if not match:
        raise _wrong(plain, f"is no rule; write it as {EXAMPLE}")
    bound, word, number, percent, named = match.groups()
    thing = _thing(plain, named)
    at_least = thing in _WANTED if not bound else bound == "at least"
    if word == "no":
        if bound or thing in _WANTED:
            raise _wrong(plain, f'does not go with "no"; write it as {EXAMPLE}')
        return Rule(plain, thing, False, count=0)
    if word == "all":
        if bound or thing not in _WANTED:
            raise _wrong(plain, f'does not go with "all"; write it as {EXAMPLE}')
        return Rule(plain, thing, True, share=Fraction(1))
    if thing in _UNWANTED and not bound:
        raise _wrong(plain, f"names what is unwanted; write at most {number}{percent or ''}")
    if percent:
        share = Fraction(number) / 100
        if share > 1:
            raise _wrong(plain, "asks for more than 100%; write a share from 0% to 100%")
        return Rule(plain, thing, at_least, share=share)
    if "." in number:
        raise _wrong(plain, "asks for a part of one; write a whole number or a percentage")
    return Rule(plain, thing, at_least, count=int(number))


def _thing(text: str, named: str) -> str:
    spaced = named.strip().replace("_", " ")
    for name in (spaced, spaced.replace(" ", "-"), f"{spaced}s", f"{spaced}es"):
        if name in THINGS:
            return name
    single = spaced.replace(" ", "-").removesuffix("s")
    if single in THINGS:
        return single
    raise _wrong(text, f'has nothing called "{named[:60]}"; {nearest(named, THINGS)}')


def _wrong(text: str, what: str) -> UsageError:
    return UsageError(f'--expect "{text[:80]}" {what}')


def judge(rule: Rule, result: CheckResult) -> Outcome:
    """Hold a rule against a check."""
    count, total = {**_WANTED, **_UNWANTED}[rule.thing](result)
    found = f"{count} of {total}"
    if rule.share is not None:
        value = Fraction(count, total) if total else Fraction(int(rule.at_least))
        asked = rule.share
    else:
        value, asked = Fraction(count), Fraction(rule.count or 0)
        found = str(count) if rule.thing in _UNWANTED else found
    met = value >= asked if rule.at_least else value <= asked
    return Outcome(rule, met, found)
