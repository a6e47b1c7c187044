"""Files of others cannot steer the terminal, the page, the spreadsheet, or reach other files."""

from __future__ import annotations

import ast
import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_clips import write_clip

from audio.shown import shown, shown_json
from planner.told.shown_console import SafeConsole

ROOT = Path(__file__).resolve().parents[3]
# Escape, bell, CSI of 7 and 8 bits, a link (OSC 8), a title (OSC 0), backspace, an override and an
# isolate of the reading direction, a line separator, a null.
STEERING = "\x1b[31m\x07\x9b2J\x1b]8;;http://x\x1b\\\x1b]0;t\x07\x08\u202e\u2066\u2028\x7f"
NEVER = set("\x00\x07\x08\x1b\x7f\x9b\x9d\u202d\u202e\u2066\u2067\u2028\u2029")
WILD = STEERING.replace(";", "").replace("\u2028", "").replace("\x00", "")
MARKUP = "<script>x()</script><img src=x onerror=x()>'\"&lt;"
FORMULA = "=HYPERLINK(1)"
NASTY = f"{FORMULA} {MARKUP} [bold]b[/bold] {STEERING} end"


def quoted(text: str) -> str:
    """A text as a YAML scalar in double quotes, control characters as escapes."""
    return json.dumps(text).replace("\x7f", "\\x7f")


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scene in which every free text is nasty, with poses and tracks beside it."""
    folder = tmp_path_factory.mktemp("hostile")
    write_clip(folder / "a.wav", length_s=1.6)
    nasty = quoted(NASTY)
    (folder / "scene.yaml").write_text(
        f"""linebeat: 1
title: {nasty}
rate: 24
first_frame: 1001
shot: 1001-1060
characters: ["<b>al</b>", "=1+1"]
stage: {{"<b>al</b>": left, "=1+1": right}}
lines:
  - id: "=2+2"
    who: "<b>al</b>"
    sound: a.wav
    at: 1001
    say: {quoted("That is <b>the</b> third " + STEERING + " umbrella")}
beats:
  - {{line: "=2+2", words: 1-2, intent: "<i>mine</i>", note: {nasty}}}
intents:
  "<i>mine</i>": {{based_on: proud}}
decisions:
  - {{of: accent/head/9/w4s1, word: {quoted(FORMULA + MARKUP)}, do: drop}}
poses:
  - {{frame: 1004, who: "<b>al</b>", part: head, name: {nasty}}}
  - {{frame: 1040, who: "=1+1", part: head, name: {nasty}}}
notes:
  - {{frames: 1001-1010, by: {nasty}, text: {nasty}}}
tracks:
  "<u>t</u>": {{who: "<b>al</b>", part: head}}
""",
        encoding="utf-8",
    )
    rows = "".join(f"{1001 + k},{k * k},{40 * (k % 9)}\n" for k in range(40))
    (folder / "tracks.csv").write_text(f"frame,<u>t</u>.x,<u>t</u>.y\n{rows}", encoding="utf-8")
    (folder / "wild.csv").write_text(
        f"frame,{WILD}.x,{WILD}.y\n{rows}", encoding="utf-8", newline=""
    )
    (folder / "poses.csv").write_text(
        f'frame,who,part,name\n1004,<b>al</b>,head,"{NASTY.replace(chr(34), chr(39))}"\n',
        encoding="utf-8", newline="",
    )  # fmt: skip
    name = "line \x1b[2J\u202e.wav"
    (folder / name).write_bytes((folder / "a.wav").read_bytes())
    return folder


COMMANDS = (
    ("plan", "{0}"), ("plan", "{0}", "--json", "-"), ("check", "{0}"),
    ("check", "{0}", "--json", "-"), ("check", "{0}", "--poses", "{0}/poses.csv"),
    ("check", "{0}", "--poses", "{0}/poses.csv", "--against", "{0}/poses.csv"),
    ("paths", "{0}", "{0}/tracks.csv"), ("paths", "{0}", "{0}/wild.csv"),
    ("paths", "{0}", "{0}/wild.csv", "--json", "-"), ("note", "{0}", "list", "--all"),
    ("note", "{0}", "list", "--json", "-"), ("passes", "{0}"), ("takes", "{0}", "1", "{0}/a.wav"),
    ("read", "{0}/line \x1b[2J\u202e.wav", "--say", NASTY),
    ("read", "{0}/line \x1b[2J\u202e.wav", "--say", NASTY, "--json", "-"),
    ("many", "{0}", "--workers", "1"), ("many", "{0}", "--workers", "1", "--out", "-"),
)  # fmt: skip
REFUSED = (
    ("plan", "{0}/no \x1b[2J\u202e.yaml"), ("plan", "--\x1b[2Jx"), ("\x1b[2Jx",),
    ("read", "{0}/scene.yaml", "--say", STEERING), ("check", "{0}", "--who", STEERING),
    ("check", "{0}", "--expect", STEERING), ("paths", "{0}", "{0}/\x1b[2J.csv"),
)  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS + REFUSED, ids=lambda c: ascii(" ".join(c))[:50])
def test_no_command_prints_what_steers_a_terminal(
    hostile: Path, linebeat: Callable, command: tuple[str, ...]
) -> None:
    ran = linebeat(*(part.replace("{0}", str(hostile)) for part in command))

    refused = ran.code == 2
    assert refused == (command in REFUSED), ran.err
    assert "Traceback" not in ran.err
    assert not NEVER & set(ran.out), sorted(NEVER & set(ran.out))
    assert not NEVER & set(ran.err), sorted(NEVER & set(ran.err))
    if "--json" in command and ran.code != 2:
        json.loads(ran.out)


def test_on_a_terminal_only_our_own_styles_are_commands() -> None:
    out = io.StringIO()
    console = SafeConsole(file=out, force_terminal=True, width=200, color_system="truecolor")
    from rich.table import Table
    from rich.text import Text

    table = Table(NASTY, title=NASTY)
    table.add_row(Text(NASTY, style="bold red"))
    console.print(NASTY, table, Text(NASTY), markup=False)
    console.rule(Text(NASTY))

    text = out.getvalue()
    assert "\x1b[" in text  # styles are there
    left = re.sub(r"\x1b\[[0-9;]*m", "", text)
    assert not NEVER & set(left)


@given(st.text())
@settings(max_examples=300, deadline=None)
def test_json_with_escapes_is_the_same_json(text: str) -> None:
    plain = json.dumps({text: text}, ensure_ascii=False)

    safe = shown_json(plain)

    assert json.loads(safe) == {text: text}
    assert shown(safe) == safe
    safe.encode("utf-8")  # no half characters left


@pytest.mark.parametrize("text", [
    "caf\u00e9 \u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627",
    "\U0001f469\u200d\U0001f680",
    "a\u200eb", "1\t2\n3", "\u0928\u094d\u200d",
])  # fmt: skip
def test_letters_of_every_script_stay(text: str) -> None:
    assert shown(text) == text


# Exports ------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def exported(hostile: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The hostile scene in every kind of file."""
    from planner.cli import main

    out = tmp_path_factory.mktemp("exported")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LINEBEAT_STORE", str(out / "store"))
        code = main(["sheet", str(hostile), str(out / "all"), "--all"])
        assert code == 0
        assert main(["many", str(hostile), "--workers", "1", "--page", str(out / "all" / "m.html"),
                     "--out", str(out / "all" / "m.csv")]) == 0  # fmt: skip
    return out / "all"


class Elements(HTMLParser):
    """Which elements a page has, which attributes, and which addresses it calls."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: set[str] = set()
        self.attributes: set[str] = set()
        self.calls: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.calls |= {v or "" for name, v in attrs if name in ("src", "href", "xlink:href")}

    handle_startendtag = handle_starttag


def test_pages_hold_no_element_of_the_users(exported: Path) -> None:
    pages = sorted(exported.glob("*.html"))
    assert len(pages) >= 3
    for page in pages:
        text = page.read_text(encoding="utf-8")
        found = Elements()
        found.feed(text)
        assert not {"img", "iframe", "object", "u"} & found.seen, page.name
        assert not {a for a in found.attributes if a.startswith("on")}, page.name
        assert all(call.startswith(("data:", "#")) for call in found.calls), page.name
        assert "default-src 'none'" in text
        assert "<script>x()" not in text
        assert not NEVER & set(text), page.name


def test_pictures_hold_no_element_of_the_users(exported: Path) -> None:
    from xml.etree import ElementTree

    pictures = sorted(exported.glob("*.svg"))
    assert pictures
    for picture in pictures:
        root = ElementTree.fromstring(picture.read_text(encoding="utf-8"))
        names = {e.tag.rpartition("}")[2] for e in root.iter()}
        assert not {"script", "img", "image", "foreignObject", "a"} & names, picture.name
        assert not {a for e in root.iter() for a in e.attrib if a.lower().startswith("on")}


def test_tables_hold_no_formula(exported: Path) -> None:
    tables = sorted(exported.glob("*.csv"))
    assert len(tables) >= 2
    for table in tables:
        text = table.read_text(encoding="utf-8-sig")
        for row in csv.reader(io.StringIO(text, newline="")):
            for cell in row:
                number = re.fullmatch(r"[+-]?[0-9.]+(?:e[+-][0-9]+)?", cell)
                assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), table.name
        assert not NEVER & set(text), table.name


# Other files --------------------------------------------------------------------------------------


@pytest.mark.parametrize("sound", [
    "../secret.wav", "/etc/passwd", "link.wav", "sub/../../secret.wav", "~/secret.wav",
    "C:\\\\x.wav", "inner/secret.wav", "",
])  # fmt: skip
def test_a_scene_cannot_name_a_sound_outside_its_folder(
    tmp_path: Path, linebeat: Callable, sound: str
) -> None:
    write_clip(tmp_path / "secret.wav")
    folder = tmp_path / "scene"
    (folder / "sub").mkdir(parents=True)
    (folder / "link.wav").symlink_to(tmp_path / "secret.wav")
    (folder / "inner").symlink_to(tmp_path)
    (folder / "scene.yaml").write_text(
        f'linebeat: 1\nrate: 24\ncharacters: [a]\nlines:\n  - {{who: a, sound: "{sound}", at: 1}}\n'
    )

    for command in ("plan", "check", "passes"):
        ran = linebeat(command, folder)
        assert ran.code == 2
        assert f"{folder / 'scene.yaml'}:5: line 1: the sound" in ran.err


WATCHED = """
import json, os, sys
opened, other = [], []
def hook(event, arguments):
    if event == "open" and isinstance(arguments[0], str):
        flags = arguments[2] or 0
        writes = flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        opened.append([os.path.abspath(arguments[0]), bool(writes)])
    elif event in ("socket.connect", "subprocess.Popen", "os.system", "os.exec", "os.posix_spawn"):
        other.append([event, repr(arguments)[:200]])
sys.addaudithook(hook)
from planner.cli import main
code = main(sys.argv[2:])
with open(sys.argv[1], "w") as file:
    json.dump([code, opened, other], file)
"""


@pytest.mark.skipif(os.name != "posix", reason="paths of a POSIX system")
@pytest.mark.parametrize("command", [
    ("plan", "scene"), ("check", "scene"), ("passes", "scene"), ("read", "scene/a.wav"),
    ("note", "scene", "add", "softer", "--frames", "1001-1002"),
    ("note", "scene", "done", "1"), ("start", "scene/a.wav", "-o", "scene/new.yaml"),
    ("paths", "scene", "scene/tracks.csv"),
], ids=lambda c: c[0])  # fmt: skip
def test_a_command_opens_nothing_but_its_own_files(
    hostile: Path, tmp_path: Path, command: tuple[str, ...]
) -> None:
    """Every file the interpreter opens is watched (PEP 578), and no other program is started."""
    import shutil

    folder, store = tmp_path / "scene", tmp_path / "store"
    shutil.copytree(hostile, folder)
    report = tmp_path / "report.json"
    subprocess.run(
        [sys.executable, "-c", WATCHED, str(report), *command], cwd=tmp_path, check=True,
        capture_output=True, timeout=120,
        env={**os.environ, "LINEBEAT_STORE": str(store), "PYTHONPATH": str(ROOT),
             "PYTHONDONTWRITEBYTECODE": "1", "HOME": str(tmp_path / "home")},
    )  # fmt: skip

    code, opened, other = json.loads(report.read_text())
    own = [str(folder), str(store)]
    system = [
        sys.prefix,
        sys.base_prefix,
        str(ROOT),
        "/usr",
        "/proc",
        "/sys",
        "/etc",
        "/dev",
        "/lib",
    ]
    ours = (os.devnull, str(report))
    writes = {path for path, writing in opened if writing and path not in ours}
    reads = {path for path, writing in opened if not writing}
    assert code in (0, 1)
    assert not {p for p in writes if not p.startswith(tuple(own))}
    assert not {p for p in reads if not p.startswith((*own, *system, *sys.path[1:]))}
    assert other == []


# The source ---------------------------------------------------------------------------------------

DANGEROUS = {"eval", "exec", "yaml.unsafe_load", "yaml.full_load",
             "pickle.load", "pickle.loads", "marshal.loads", "os.system", "os.popen",
             "tempfile.mktemp"}  # fmt: skip


def test_nothing_in_the_source_runs_what_a_file_says() -> None:
    found = []
    for folder in ("audio", "planner"):
        for path in (ROOT / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call):
                    name = ast.unparse(node.func)
                    text = ast.unparse(node)
                    shell = any(k.arg == "shell" for k in node.keywords)
                    unsafe = name.startswith("yaml.load") and "Loader=loader" not in text
                    if name in DANGEROUS or shell or unsafe:
                        found.append(f"{path.name}:{node.lineno}: {name}")
    assert found == []
