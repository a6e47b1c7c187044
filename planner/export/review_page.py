"""The page for review: tone line, plan, findings and notes, with the sound and a moving cursor.

Above the tone line the figures move with the sound (`figure_data`).

One HTML file that works from a folder and asks the network for nothing. Without its script it is
still complete to read. Keys: space plays, left and right step a frame, up and down go from stress
to stress, Home and End to the ends.
"""

from __future__ import annotations

import json
from collections.abc import Iterable

from planner.check.compare import spaced
from planner.export.exposure import move_words
from planner.export.facts import ShotFacts, said
from planner.export.figure_data import figures_json
from planner.export.page import asset, html_page, isolated
from planner.export.plain import escaped
from planner.export.tone import tone_strip
from planner.export.tone_svg import svg_inline
from planner.plan.suggestion import Suggestion
from planner.told.check_text import summed_up, verdict_text
from planner.told.plan_text import why

MARK_PX = 5.0  # height of a finding under the tone line
STEP_PX = 16.0  # a frame across on a screen: a word has about the width it is spoken in


def review_page(facts: ShotFacts, *, sound_uri: str = "", quiet: str = "") -> str:
    """The page. sound_uri : the shot's sound as a data URI; without it `quiet` says why."""
    gutter, strip = tone_strip(facts, STEP_PX)
    marks = _marks(facts, strip.height)
    cursor = f'<line id="cursor" x1="0" x2="0" y1="0" y2="{strip.height:.0f}"/>'
    body = "\n".join(
        (
            '<a class="skip" href="#lists">to the lists</a>',
            _head(facts, quiet),
            _player(facts, sound_uri),
            f'<main id="review"{_data(facts)}>',
            _stage(facts),
            _remarks(facts),
            '<section aria-label="tone line"><div class="strip">'
            f'<div class="names" aria-hidden="true">{svg_inline(gutter, name="names")}</div>'
            '<div class="tone" id="tone" tabindex="0" role="group" '
            'aria-label="tone line; click or step to a frame">'
            f"{svg_inline(strip, name='line', extra=marks + cursor)}</div></div></section>",
            _plan(facts),
            "</main>",
            f'<script type="application/json" id="words">{_words(facts)}</script>',
            f'<script type="application/json" id="figures">{figures_json(facts)}</script>',
        )
    )
    return html_page(
        f"{facts.title}: review",
        body,
        css=asset("review.css"),
        script=asset("figures.js") + asset("review.js"),
    )


def _marks(facts: ShotFacts, height: float) -> str:
    """What was found, as bars along the foot of the tone line, the surest darkest."""
    found = [(f.kind, f.who, f.frames, f.certain) for f in facts.check.findings]
    if facts.path_review is not None:
        found += [(f.kind, f.who, f.frames, f.certain) for f in facts.path_review.findings]
    first, last = facts.frames
    bars = ""
    for kind, who, frames, certain in found:
        begin, end = max(frames[0], first), min(frames[1], last)
        if end < begin or not facts.shows(frames, who or None):
            continue
        bars += (
            f'<rect class="found{"" if certain else " perhaps"}" '
            f'x="{(begin - first) * STEP_PX:.0f}" '
            f'y="{height - MARK_PX:.0f}" width="{(end - begin + 1) * STEP_PX:.0f}" '
            f'height="{MARK_PX:.0f}"><title>{escaped(spaced(kind))} {frames[0]}-{frames[1]}'
            "</title></rect>"
        )
    return bars


def _head(facts: ShotFacts, quiet: str) -> str:
    first, last = facts.frames
    told = f'<p class="quiet">{escaped(quiet)}</p>' if quiet else ""
    return (
        f"<header><h1>{isolated(facts.title)}</h1>"
        f"<p>frames {first}-{last} at {escaped(str(facts.clock.rate))}; "
        f"{', '.join(isolated(who) for who in facts.characters)}</p>{told}"
        "<noscript><p>Scripts are off: the page can be read, but not played.</p></noscript>"
        "</header>"
    )


def _player(facts: ShotFacts, sound_uri: str) -> str:
    first, last = facts.frames
    sound = f'<audio id="sound" preload="auto" src="{sound_uri}"></audio>' if sound_uri else ""
    return (
        f'<section class="player" aria-label="player"><div class="row">{sound}'
        f'<button type="button" id="play" aria-pressed="false">Play</button>'
        '<button type="button" id="back" aria-label="one frame back">- 1</button>'
        '<button type="button" id="on" aria-label="one frame on">+ 1</button>'
        f'<button type="button" id="half" aria-pressed="false">half speed</button>'
        '<button type="button" id="loop" aria-pressed="false">loop phrase</button>'
        '<button type="button" id="ghosts" aria-pressed="false">ghosts</button>'
        f'<output id="shown" for="frame">{first}</output>'
        f'<input type="range" id="frame" min="{first}" max="{last}" step="1" value="{first}" '
        'aria-label="frame">'
        '<span id="now" aria-hidden="true"></span>'
        '<span class="keys">space plays, left and right step a frame, up and down go from stress '
        "to stress</span></div></section>"
    )


def _stage(facts: ShotFacts) -> str:
    """Where the figures move, and what can be done with them."""
    names = ", ".join(facts.characters)
    return (
        '<section class="stage" aria-label="figures"><canvas id="stage" role="img" '
        f'aria-label="{escaped(names)}, drawn as planned; the plan below says the same in words">'
        "</canvas></section>"
    )


def _data(facts: ShotFacts) -> str:
    rate = facts.clock.rate.frames_per_s
    values = {
        "first": facts.frames[0], "last": facts.frames[1], "step": STEP_PX,
        "rate-number": rate.numerator, "rate-over": rate.denominator,
    }  # fmt: skip
    return "".join(f' data-{key}="{value}"' for key, value in values.items())


def _words(facts: ShotFacts) -> str:
    """Syllables for the script; "<" is written so that no text can end the block."""
    data = [
        {
            "text": said(s),
            "first": s.frames[0],
            "last": s.frames[1],
            "hit": s.hit,
            "stressed": s.degree == "strong",
        }
        for line in facts.laid.between(*facts.frames)
        if line.who in facts.characters
        for s in line.syllables
        if facts.frames[0] <= s.hit <= facts.frames[1]
    ]
    text = json.dumps(data, ensure_ascii=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _remarks(facts: ShotFacts) -> str:
    """Notes first, then what was found, with a choice of what is shown."""
    return (
        f'<div id="lists">{_chooser(facts)}<div class="lists"><div>{_notes(facts)}</div>'
        f"<div>{_findings(facts)}</div></div></div>"
    )


def _plan(facts: ShotFacts) -> str:
    plan = [_suggestion(s) for who in facts.characters for s in facts.suggestions_of(who)]
    order = sorted(plan, key=lambda e: e[0])
    return (
        '<section class="plan" aria-labelledby="h-plan">'
        f'<h2 id="h-plan">Plan</h2>{_list(entry for _, entry in order)}</section>'
    )


def _chooser(facts: ShotFacts) -> str:
    """What is shown, and a way to keep only what is ticked: for a page to send."""
    kinds = {f.kind for f in facts.check.findings}
    if facts.path_review is not None:
        kinds |= {f.kind for f in facts.path_review.findings}
    people = "".join(f'<option value="{escaped(w)}">{escaped(w)}</option>'
                     for w in facts.characters)  # fmt: skip
    named = "".join(f'<option value="{escaped(k)}">{escaped(spaced(k))}</option>'
                    for k in sorted(kinds))  # fmt: skip
    return (
        '<section class="chooser" aria-label="what is shown"><label>person '
        f'<select id="who"><option value="">everybody</option>{people}</select></label> '
        f'<label>kind <select id="kind"><option value="">all</option>{named}</select></label> '
        '<button type="button" id="keep">keep what is ticked</button> '
        '<button type="button" id="all-back">show all again</button> '
        '<button type="button" id="save-page">save this page</button>'
        '<p class="why">Tick notes and findings, keep what is ticked, then save: the saved page '
        "shows these alone.</p></section>"
    )


def _list(entries: Iterable[str], empty: str = "nothing here") -> str:
    rows = "\n".join(entries)
    return f"<ol>{rows}</ol>" if rows else f'<p class="none">{empty}</p>'


def _entry(
    frames: tuple[int, int], what: str, more: str = "", *, at: int | None = None, kind: str = "",
    who: str = "", named: str = "", tick: str = "",
) -> str:  # fmt: skip
    """An entry of a list: its frames as a button that goes there. `what`, `more` are HTML."""
    first, last = frames
    shown = f"{first}" if first == last else f"{first}-{last}"
    why_ = f'<p class="why">{more}</p>' if more else ""
    klass = f' class="{kind}"' if kind else ""
    klass += f' data-who="{escaped(who)}"' if who else ""
    klass += f' data-kind="{escaped(named)}"' if named else ""
    box = f'<input type="checkbox" class="tick" aria-label="{escaped(tick)}">' if tick else ""
    return (
        f'<li data-first="{first}" data-last="{last}"{klass}>{box}'
        f'<button type="button" class="go" data-frame="{first if at is None else at}">{shown}'
        f'</button><div><p class="what">{what}</p>{why_}</div></li>'
    )


def _suggestion(entry: Suggestion) -> tuple[tuple[int, int], str]:
    hit = f", hits on {entry.hit}" if entry.hit is not None else ""
    text = f" at {isolated(chr(34) + entry.text + chr(34))}" if entry.text else ""
    what = (
        f"<b>{isolated(entry.who)}, {escaped(entry.part)}:</b> {isolated(move_words(entry))}"
        f"{text}{hit}"
    )
    decided = f" Your decision: {escaped(entry.decision)}." if entry.decision else ""
    return entry.frames, _entry(
        entry.frames, what, escaped(why(entry)) + decided,
        at=entry.hit if entry.hit is not None else entry.frames[0], who=entry.who,
    )  # fmt: skip


def _findings(facts: ShotFacts) -> str:
    check = facts.check
    parts = [f'<section aria-labelledby="h-check"><h2 id="h-check">Key poses against the voice</h2>'
             f"<p>{escaped(summed_up(check))}</p>"]  # fmt: skip
    judged = [
        _entry(
            (p.pose.frame, p.pose.frame),
            f"<b>{isolated(p.pose.who)}, {escaped(p.pose.part)}:</b> "
            f'{isolated(p.pose.name or "key pose")}; <span class="{p.verdict}">'
            f"{isolated(verdict_text(p))}</span>",
            who=p.pose.who,
        )
        for p in check.poses
        if facts.shows((p.pose.frame, p.pose.frame), p.pose.who)
    ]
    missed = [
        _entry((s.frame, s.frame), f'<b>{isolated(s.who)}:</b> <span class="missed">main accent '
               f"{isolated(s.word)} without a pose</span>", who=s.who)
        for s in check.missed
        if s.main and facts.shows((s.frame, s.frame), s.who)
    ]  # fmt: skip
    found = [
        _finding(f.kind, f.who, f.frames, f.text, f.certain)
        for f in check.findings
        if facts.shows(f.frames, f.who)
    ]
    parts.append(_list([*found, *missed, *judged], "no key poses yet"))
    parts.append("</section>" + _path_findings(facts))
    return "".join(parts)


def _path_findings(facts: ShotFacts) -> str:
    head = '<section aria-labelledby="h-paths"><h2 id="h-paths">Motion tracks</h2>'
    review = facts.path_review
    if review is None:
        return head + '<p class="none">no tracks were given (--tracks FILE)</p></section>'
    found = [
        _finding(f.kind, f.who, f.frames, f.text, f.certain)
        for f in review.findings
        if facts.shows(f.frames, f.who or None)
    ]
    return head + _list(found, "nothing found") + "</section>"


def _finding(kind: str, who: str, frames: tuple[int, int], text: str, certain: bool) -> str:
    sure = '<span class="sure">sure</span>' if certain else "perhaps"
    name = f"<b>{isolated(who)}:</b> " if who else ""
    return _entry(
        frames, f"{name}{escaped(spaced(kind))} ({sure})", isolated(text), who=who, named=kind,
        tick=f"choose {spaced(kind)} on frame {frames[0]}",
    )  # fmt: skip


def _notes(facts: ShotFacts) -> str:
    entries = [
        _entry(
            note.frames,
            f"{number}: {isolated(note.text)}{' (done)' if note.done else ''}",
            escaped(
                ", ".join(x for x in (note.who or "", f"by {note.by}" if note.by else "") if x)
            ),
            kind="done" if note.done else "",
            who=note.who or "",
            tick=f"choose note {number}",
        )
        for number, note in sorted(facts.notes, key=lambda n: n[1].frames)
    ]
    return (
        '<section aria-labelledby="h-notes"><h2 id="h-notes">Notes</h2>'
        f"{_list(entries, 'no notes')}</section>"
    )
