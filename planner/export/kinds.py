"""Which export an ending or a kind means, and how each is made.

A writer takes the facts and how they are to be shown, and gives text or bytes; the one place that
writes files is `planner.commands.sheet`.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from pathlib import PurePath

from audio.errors import LinebeatError, UsageError
from audio.shown import shown, shown_json
from planner.export.facts import ShotFacts
from planner.told.wording import nearest


@dataclass(frozen=True, slots=True)
class Shown:
    """How an export is shown: what stands beside frames, the paper, rows a sheet, sound or not."""

    show: str = "feet"
    paper: str = "A4"
    rows: int | None = None
    sound: bool = True


Writer = Callable[[ShotFacts, Shown], str | bytes]


@dataclass(frozen=True, slots=True)
class Export:
    """A kind of export in one of its endings.

    `usual`: what the ending alone means; `slow`: made only when it is asked for by name; `each`: a
    file for each character.
    """

    kind: str
    ending: str
    write: Writer
    usual: bool
    about: str
    slow: bool = False
    each: bool = False

    def made(self, facts: ShotFacts, how: Shown) -> str | bytes:
        """What goes into the file; in a text nothing that steers a terminal."""
        data = self.write(facts, how)
        if isinstance(data, bytes):
            return data
        return shown_json(data) if self.ending in (".json", ".otio") else shown(data)

    def file_name(self, stem: str) -> str:
        """The name it has in a folder: `lost_umbrella_exposure.csv`."""
        return f"{stem}_{self.kind}{self.ending}"


def _exposure_csv(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.exposure_csv import exposure_csv

    return exposure_csv(facts)


def _exposure_page(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.exposure_page import exposure_page

    return exposure_page(facts, show=shown.show, paper=shown.paper, rows=shown.rows)


def _exposure_pdf(facts: ShotFacts, shown: Shown) -> bytes:
    from planner.export.exposure_print import exposure_pdf

    return exposure_pdf(facts, show=shown.show, paper=shown.paper, rows=shown.rows)


def _tone_svg(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.tone import tone_drawings
    from planner.export.tone_svg import svg_text

    return svg_text(tone_drawings(facts), title=f"{facts.title}: tone line")


def _tone_png(facts: ShotFacts, shown: Shown) -> bytes:
    from planner.export.tone import tone_drawings
    from planner.export.tone_picture import png_bytes

    return png_bytes(tone_drawings(facts))


def _tone_pdf(facts: ShotFacts, shown: Shown) -> bytes:
    from planner.export.tone import tone_drawings
    from planner.export.tone_picture import pdf_bytes

    return pdf_bytes(tone_drawings(facts), paper=shown.paper, title=f"{facts.title}: tone line")


def _review(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.review_page import review_page
    from planner.export.shot_sound import shot_flac_uri

    if not shown.sound:
        return review_page(facts, quiet="made without the sound (--no-sound)")
    try:
        return review_page(facts, sound_uri=shot_flac_uri(facts))
    except LinebeatError as error:
        return review_page(facts, quiet=f"no sound: {error.what}")


def _markers(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.marks import markers_csv

    return markers_csv(facts)


def _poses(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.marks import poses_csv

    return poses_csv(facts)


def _beats(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.marks import beats_csv

    return beats_csv(facts)


def _timeline(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.timeline import otio_text

    return otio_text(facts)


def _edl(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.timeline import edl_text

    return edl_text(facts)


def _captions(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.captions import captions_vtt

    return captions_vtt(facts)


def _json(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _plan(facts: ShotFacts, shown: Shown) -> str:
    data = facts.plan.to_json()
    if facts.who:
        for key in ("suggestions", "dropped", "lines"):
            data[key] = [entry for entry in data[key] if entry["who"] == facts.who]
    return _json(data)


def _check(facts: ShotFacts, shown: Shown) -> str:
    return _json(facts.check.to_json())


def _script_md(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.script import script_text

    return script_text(facts, markdown=True)


def _script_txt(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.script import script_text

    return script_text(facts, markdown=False)


def _strip_svg(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.figures import strip_drawings
    from planner.export.tone_svg import svg_text

    return svg_text(strip_drawings(facts), title=f"{facts.title}: key poses")


def _strip_png(facts: ShotFacts, shown: Shown) -> bytes:
    from planner.export.figures import strip_drawings
    from planner.export.tone_picture import png_bytes

    return png_bytes(strip_drawings(facts))


def _movie(facts: ShotFacts, shown: Shown) -> bytes:
    from planner.export.movie import movie_bytes

    return movie_bytes(facts, sound=shown.sound)


def _bvh(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.bvh_file import bvh_text

    return bvh_text(facts, facts.performance.of(facts.characters[0]))


def _gltf(facts: ShotFacts, shown: Shown) -> bytes:
    from planner.export.gltf_file import gltf_bytes

    return gltf_bytes(facts)


def _motion(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.motion_tables import motion_csv

    return motion_csv(facts)


def _tracks(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.motion_tables import tracks_csv

    return tracks_csv(facts)


def _plan_poses(facts: ShotFacts, shown: Shown) -> str:
    from planner.export.motion_tables import plan_poses_csv

    return plan_poses_csv(facts)


EXPORTS = (
    Export("exposure", ".csv", _exposure_csv, True, "exposure sheet, a row a frame"),
    Export("exposure", ".html", _exposure_page, True, "exposure sheet to print"),
    Export("exposure", ".pdf", _exposure_pdf, False, "exposure sheet, printed"),
    Export("tone", ".svg", _tone_svg, True, "tone line, a picture"),
    Export("tone", ".png", _tone_png, True, "tone line, a picture"),
    Export("tone", ".pdf", _tone_pdf, True, "tone line, a page a row"),
    Export("review", ".html", _review, False, "page with sound, plan, findings and notes"),
    Export("markers", ".csv", _markers, False, "beats, stresses, plan, poses, notes by frame"),
    Export("poses", ".csv", _poses, False, "key poses, as check reads them"),
    Export("beats", ".csv", _beats, False, "beats on frames, as start reads them"),
    Export("strip", ".svg", _strip_svg, False, "key poses, a small figure each"),
    Export("strip", ".png", _strip_png, False, "key poses, a small figure each"),
    Export("movie", ".mp4", _movie, True, "the figures moving, with sound", slow=True),
    Export("bvh", ".bvh", _bvh, True, "a character's skeleton, moving", each=True),
    Export("cast", ".glb", _gltf, True, "glTF 2.0: everybody, moving"),
    Export("motion", ".csv", _motion, False, "the performance, a row a frame"),
    Export("tracks", ".csv", _tracks, False, "its points in the picture, as paths reads them"),
    Export("plan-poses", ".csv", _plan_poses, False, "the plan's own key poses"),
    Export("timeline", ".otio", _timeline, True, "OpenTimelineIO: clips with markers"),
    Export("timeline", ".edl", _edl, True, "CMX 3600 list with locators"),
    Export("captions", ".vtt", _captions, True, "WebVTT: words and beats as cues"),
    Export("plan", ".json", _plan, True, "the plan"),
    Export("check", ".json", _check, False, "key poses against the stresses"),
    Export("script", ".md", _script_md, True, "script with intents, Markdown"),
    Export("script", ".txt", _script_txt, True, "script with intents, plain text"),
)
SCHEMAS = ("reading", "plan", "check", "paths")


def export_of(name: str, kind: str | None) -> Export:
    """The export a file name and a kind mean. Raises UsageError if there is none."""
    ending = PurePath(name).suffix.lower()
    if kind is not None and kind not in {e.kind for e in EXPORTS}:
        kinds = [*dict.fromkeys(e.kind for e in EXPORTS), "schemas"]
        raise UsageError(f'no kind "{kind}"', mend=nearest(kind, kinds))
    found = [e for e in EXPORTS if e.ending == ending and kind in (None, e.kind)]
    if kind is None:
        found = [e for e in found if e.usual]
    if found:
        return found[0]
    if kind is not None:
        endings = [e.ending for e in EXPORTS if e.kind == kind]
        raise UsageError(f'"{name}" is no name for {kind}',
                         mend=f"it ends in {' or '.join(endings)}")  # fmt: skip
    endings = list(dict.fromkeys(e.ending for e in EXPORTS))
    raise UsageError(f'"{name}" has no ending that is known', mend=f"use {', '.join(endings)}")


def schema_text(name: str) -> str:
    """A published JSON Schema by its name: reading, plan, check or paths."""
    source = files("planner.export") / "schemas" / f"{name}.json"
    return source.read_text(encoding="utf-8")
