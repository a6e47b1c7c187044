"""A changed scene put into its old text: only what changed is written, all else stays as it was.

Works on the nodes of the old text and on plain values (`planner.scene.text.plain`) of the old and
the new scene. Within a section only the changed entries are written, within an entry only the
changed keys, so comments and order stay. A section too odd for that is written anew as a whole; a
section that was not there is added at the end. Every result is read back and compared before it is
given out, so a text that would not mean the scene is never returned.
"""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from audio.errors import SceneError
from planner.scene import Scene
from planner.scene.refound import guarded, refound
from planner.scene.text.nodes import Node, parse_yaml
from planner.scene.text.parse import parse_scene, scene_of
from planner.scene.text.plain import scene_plain, section_lines
from planner.scene.text.yaml_text import Plain, entry, flow, is_list, key_text, list_item, scalar


class Edit(NamedTuple):
    """Characters start..end of the old text become `text` (with \\n line ends)."""

    start: int
    end: int
    text: str


class AwkwardError(Exception):
    """The old text is laid out in a way that cannot be changed in place."""


def spliced(
    old_text: str, scene: Scene, *, file: str, sections: Collection[str] | None = None
) -> str:
    """The old text with the sections of `scene` that differ, or those named in `sections`.

    Raises SceneError if the scene contradicts itself or cannot be written so that it reads back
    the same.
    """
    root = parse_yaml(old_text, file=file)
    known = scene_of(root, file=file, allow_outside=True)
    old, wanted = scene_plain(known), scene_plain(guarded(refound(scene), known))
    if sections is not None:
        wanted = {k: v for k, v in wanted.items() if k in sections}
        wanted |= {k: v for k, v in old.items() if k not in sections}
    if wanted == old:
        return old_text
    try:
        text = _applied(old_text, Splicer(old_text).sections(root, old, wanted))
        if scene_plain(parse_scene(text, file=file, allow_outside=True)) == wanted:
            return text
    except (AwkwardError, SceneError):
        pass  # by whole sections then; if the scene itself is wrong, that says so
    with contextlib.suppress(AwkwardError):
        text = _applied(old_text, Splicer(old_text).sections(root, old, wanted, whole=True))
        if scene_plain(parse_scene(text, file=file, allow_outside=True)) == wanted:
            return text
    raise SceneError(
        "this change cannot be written so that it reads back the same",
        where=file,
        mend="look for control characters or spaces around names",
    )


def _applied(text: str, edits: Sequence[Edit]) -> str:
    """The text with all edits made; edits at one place keep their order."""
    newline = "\r\n" if "\r\n" in text else "\n"
    pieces: list[str] = []
    position = 0
    for edit in sorted(edits, key=lambda one: (one.start, one.end)):
        if edit.start < position:
            raise AwkwardError("two changes in one place")
        pieces += (text[position : edit.start], edit.text.replace("\n", newline))
        position = edit.end
    return "".join((*pieces, text[position:]))


class Splicer:
    """Edits of one text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.edits: list[Edit] = []

    def sections(
        self, root: Node, old: Mapping[str, Plain], new: Mapping[str, Plain], *, whole: bool = False
    ) -> list[Edit]:
        """The edits that make the old sections the new ones; `whole` writes sections anew."""
        if root.flow:
            self._change_map(root, old, new, in_flow=True)
            return self.edits
        for key, node in root.pairs:
            value = new.get(key.text)
            if old.get(key.text) == value:
                continue
            kept = len(self.edits)
            try:
                self._change_section(key, node, old.get(key.text), value, whole=whole)
            except AwkwardError:
                del self.edits[kept:]
                self._change_section(key, node, old.get(key.text), value, whole=True)
        present = {key.text for key, _ in root.pairs}
        for key_name, value in new.items():
            if key_name not in present:
                self._add_section(root, section_lines(key_name, value, column=root.column))
        return self.edits

    def _change_section(
        self, key: Node, node: Node, old: Plain, new: Plain, *, whole: bool
    ) -> None:
        """One section; of a list that becomes empty the key stays if comments stand below it."""
        bare = "#" not in self.text[key.start : self._line_end(node.end)]
        if new is None and (whole or bare or node.flow or node.kind != "list"):
            self._delete_lines(key.start, node)
        elif whole or self._is_blank(node):
            self._write_section(key, node, new)
        else:
            self._change(node, old, () if new is None else new, in_flow=False)

    # Whole sections ------------------------------------------------------------------------------

    @staticmethod
    def _is_blank(node: Node) -> bool:
        return node.empty or (node.flow and not node.items and not node.pairs)

    def _write_section(self, key: Node, node: Node, value: Plain) -> None:
        """The section anew. What stands on its first line after the value stays."""
        lines = section_lines(key.text, value, column=key.column)
        if len(lines) > 1 and self._is_blank(node):
            after = self._line_end(node.end)
            self.edits.append(Edit(node.start, node.end, ""))
            self._insert_lines(after, lines[1:])
            return
        head = " " * key.column + key_text(key.text) + ":"
        body = "\n".join(lines)[len(head) :]
        self.edits.append(Edit(key.end, self._content_end(node), ":" + body))

    def _add_section(self, root: Node, lines: list[str]) -> None:
        """A new section at the end of the file, or before an end-of-document mark."""
        last = self._line_end(root.pairs[-1][1].end)
        rest = self.text[last:].splitlines()
        open_end = all(not line.strip() or line.lstrip().startswith("#") for line in rest)
        spaced = "\n\n" in self.text or "\n\r\n" in self.text
        self._insert_lines(len(self.text) if open_end else last, [""] * spaced + lines)

    # Inside a section ----------------------------------------------------------------------------

    def _change(self, node: Node, old: Plain, new: Plain, *, in_flow: bool) -> None:
        if old == new:
            return
        if node.kind == "map" and isinstance(old, Mapping) and isinstance(new, Mapping):
            self._change_map(node, old, new, in_flow=in_flow or node.flow)
        elif node.kind == "list" and is_list(old) and is_list(new):
            self._change_list(node, old, new, in_flow=in_flow or node.flow)
        else:
            self._replace(node, new, in_flow=in_flow)

    def _replace(self, node: Node, new: Plain, *, in_flow: bool) -> None:
        collection = isinstance(new, Mapping) or is_list(new)
        written = flow(new) if collection or in_flow else scalar(new)
        gap = " " if node.start == node.end else ""
        self.edits.append(Edit(node.start, self._content_end(node), gap + written))

    def _change_map(
        self, node: Node, old: Mapping[str, Plain], new: Mapping[str, Plain], *, in_flow: bool
    ) -> None:
        values = {str(key): value for key, value in new.items()}
        before = {str(key): value for key, value in old.items()}
        present = {key.text: (key, value) for key, value in node.pairs}
        gone = [key for key in present if key in before and key not in values]
        fresh = {key: value for key, value in new.items() if str(key) not in present}
        if in_flow and (gone or not present):
            self._replace(node, new, in_flow=True)
            return
        if any(self._shares_line(present[name][0]) for name in gone):
            lines = [x for k, v in new.items() for x in entry(k, v, column=node.column)]
            text = "\n".join(lines).lstrip(" ")
            self.edits.append(Edit(node.start, self._content_end(node), text))
            return
        for name in gone:
            key, value = present[name]
            self._delete_lines(key.start, value)
        for name, (_, value) in present.items():
            if name in values and before.get(name) != values[name]:
                self._change(value, before.get(name), values[name], in_flow=in_flow)
        if fresh and in_flow:
            added = "".join(f", {key_text(key)}: {flow(value)}" for key, value in fresh.items())
            self.edits.append(Edit(node.pairs[-1][1].end, node.pairs[-1][1].end, added))
        elif fresh:
            lines = [x for k, v in fresh.items() for x in entry(k, v, column=node.column)]
            self._insert_lines(self._line_end(node.pairs[-1][1].end), lines)

    def _change_list(
        self, node: Node, old: Sequence[Plain], new: Sequence[Plain], *, in_flow: bool
    ) -> None:
        import difflib

        if len(old) != len(node.items):
            raise AwkwardError("entries without a place")
        matcher = difflib.SequenceMatcher(None, _marks(old), _marks(new), autojunk=False)
        for kind, i1, i2, j1, j2 in matcher.get_opcodes():
            if kind == "equal":
                continue
            both = min(i2 - i1, j2 - j1)
            for i, j in zip(range(i1, i1 + both), range(j1, j1 + both), strict=True):
                self._change(node.items[i], old[i], new[j], in_flow=in_flow)
            if in_flow:
                self._flow_rest(node, i1 + both, i2, new[j1 + both : j2])
            else:
                for item in node.items[i1 + both : i2]:
                    self._delete_lines(self._dash(item), item)
                self._insert_items(node, i1 + both, new[j1 + both : j2])

    def _flow_rest(self, node: Node, first: int, last: int, added: Sequence[Plain]) -> None:
        if last > first or (added and first < len(node.items)) or not node.items:
            raise AwkwardError("entries in brackets")
        if added:
            end = node.items[-1].end
            self.edits.append(Edit(end, end, "".join(", " + flow(item) for item in added)))

    def _insert_items(self, node: Node, index: int, added: Sequence[Plain]) -> None:
        """New entries before entry `index`, right after the one before it."""
        if not added:
            return
        dash = self._dash(node.items[0])
        column = dash - self._line_start(dash)
        at = self._line_end(node.items[index - 1].end) if index else self._line_start(dash)
        lines = [line for item in added for line in list_item(item, column=column)]
        self._insert_lines(at, lines)

    # Places in the text --------------------------------------------------------------------------

    def _dash(self, item: Node) -> int:
        """Where the dash of a list entry stands; it must be alone before it on its line."""
        start = self._line_start(item.start)
        before = self.text[start : item.start]
        if before.strip(" ") != "-":
            raise AwkwardError("a dash on another line")
        return start + before.index("-")

    def _line_start(self, position: int) -> int:
        return self.text.rfind("\n", 0, position) + 1

    def _line_end(self, position: int) -> int:
        """The start of the next line; inside a block text's last newline counts as its line."""
        while position and self.text[position - 1] in "\r\n":
            position -= 1
        newline = self.text.find("\n", position)
        return len(self.text) if newline < 0 else newline + 1

    def _content_end(self, node: Node) -> int:
        """The end without the line ends that belong to a block text."""
        return node.start + len(self.text[node.start : node.end].rstrip("\r\n "))

    def _shares_line(self, key: Node) -> bool:
        """Something, as a dash, stands before the key on its line."""
        return bool(self.text[self._line_start(key.start) : key.start].strip(" \ufeff"))

    def _delete_lines(self, start: int, last: Node) -> None:
        line = self._line_start(start)
        if self.text[line:start].strip(" \ufeff"):
            raise AwkwardError("something else on the line")
        if self.text[line:start].startswith("\ufeff"):
            line += 1
        self.edits.append(Edit(line, self._line_end(last.end), ""))

    def _insert_lines(self, position: int, lines: Sequence[str]) -> None:
        text = "\n".join(lines) + "\n"
        if position and self.text[position - 1] != "\n":
            text = "\n" + text  # the old text has no line end at its end
        self.edits.append(Edit(position, position, text))


def _marks(items: Sequence[Plain]) -> list[str]:
    return [repr(item) for item in items]
