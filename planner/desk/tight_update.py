"""What is sent to the terminal for a change: the cells that changed, not their row from its start.

Textual crops an update of part of a row at its end only (so its own remark in `ChopsUpdate`, 8.2);
over a slow line that is most of what a step of the cursor costs.
"""

from __future__ import annotations

from rich.console import Console
from rich.control import Control
from textual._compositor import ChopsUpdate


class TightUpdate(ChopsUpdate):
    """An update of spans of rows, each cropped at both ends."""

    def render_segments(self, console: Console) -> str:
        """The spans as escape sequences."""
        sent: list[str] = []
        for y, first, end in self.spans:
            for chop_end, (x, strip) in zip(self.chop_ends[y], self.chops[y].items(), strict=False):
                if strip is None or x >= end or chop_end <= first:
                    continue
                left, right = max(x, first), min(chop_end, end)
                sent.append(Control.move_to(left, y).segment.text)
                sent.append(strip.crop(left - x, right - x).render(console))
        return "".join(sent)


def tight(update: object) -> object:
    """An update of part of the screen, cropped; any other as it is."""
    if type(update) is ChopsUpdate:
        return TightUpdate(update.chops, update.spans, update.chop_ends)
    return update
