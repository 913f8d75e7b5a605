"""Style and saving of the pictures: SVG that is the same byte for byte, readable in grey and on a phone.

The only module here that imports the plotting library; nothing else of the program does.
"""

import functools
import io
import re
from collections.abc import Callable
from typing import Any, TypeVar

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from ...knowledge.quantities import convert
from ..sheets.blocks import Drawing, Parts, Pieces, pieces, plain
from ..sheets.page import Page

#: Inches; narrow, so that letters stay readable on a phone.
WIDTH = 4.4
INK, GREY, PALE, FILL = "#000000", "#595959", "#8c8c8c", "#d9d9d9"
#: Linestyles told apart without colour.
SOLID, DASHED, DOTTED, DASHDOT = "-", (0, (6, 3)), (0, (1.5, 2)), (0, (7, 2, 1.5, 2))
HATCHES = ("", "////", "....", "xxxx", "\\\\\\\\")

_STYLE: Any = {
    "svg.hashsalt": "least-clutch",
    "svg.fonttype": "none",
    "svg.image_inline": True,
    "font.family": "DejaVu Sans",
    "font.size": 9.5,
    "axes.titlesize": 10,
    "axes.labelsize": 9.5,
    "xtick.labelsize": 9,
    "ytick.labelsize": 9,
    "legend.fontsize": 9,
    "legend.frameon": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "lines.linewidth": 1.4,
    "hatch.linewidth": 0.5,
    "axes.unicode_minus": False,
    "text.parse_math": False,
    "text.usetex": False,
}
#: What a function that draws gives.
Drawn = TypeVar("Drawn")
_TRADE_AXIS = {"N m": "lb-ft", "N": "lbf", "degC": "degF"}


def drawn(function: Callable[[Page], Drawn]) -> Callable[[Page], Drawn]:
    """Draw in this style, whatever the library is set to elsewhere."""

    @functools.wraps(function)
    def styled(page):
        with matplotlib.rc_context(_STYLE):
            return function(page)

    return styled


class Picture:
    """One picture being drawn, in a function that is `drawn`: ``axes`` of the library, in the units asked for."""

    def __init__(self, name: str, height: float, system: str, rows: int = 1, columns: int = 1, **grid: Any) -> None:
        self.name, self.system = name, system
        self.labels: list[Pieces] = []
        self.figure = Figure(figsize=(WIDTH, height), layout="constrained")
        self.axes = self.figure.subplots(rows, columns, squeeze=False, **grid)

    def unit(self, unit: str) -> str:
        """The unit an axis is in for a declared unit."""
        return _TRADE_AXIS.get(unit, unit) if self.system == "trade" else unit

    def at(self, value: Any, unit: str) -> Any:
        """A value (number or array) in the axis's unit."""
        return convert(value, unit, self.unit(unit))

    def words(self, *parts: Parts) -> str:
        """Words to write into the picture; what they are made of is kept, so that a number can be traced."""
        self.labels.append(pieces(*parts))
        return plain(parts)

    def axis(self, which: str, axes: Axes, *parts: Parts, unit: str = "") -> None:
        """Name an axis, with the unit it is in."""
        written = self.words(*parts, f", {self.unit(unit)}" if unit else "")
        (axes.set_xlabel if which == "x" else axes.set_ylabel)(written)

    def key(self, axes: Axes, columns: int = 2) -> None:
        """The legend, above the axes."""
        axes.legend(
            loc="lower center",
            bbox_to_anchor=(0.45, 1.0),
            ncols=columns,
            columnspacing=1.2,
            handlelength=2.4,
            borderaxespad=0.2,
        )

    def block(self, title: str, alt: Parts, caption: Parts = ()) -> Drawing:
        """The finished `Drawing` of a sheet."""
        return Drawing(self.name, self.svg(), title, pieces(alt), pieces(caption), tuple(self.labels))

    def svg(self) -> str:
        """The picture as SVG markup to stand in a page: no prologue, no dates, ids of its own."""
        out = io.StringIO()
        FigureCanvasSVG(self.figure).print_svg(out, metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
        return _inline(out.getvalue(), self.name)


def _inline(text, name):
    """Take off what only a file of its own needs, and make ids unique in a page of several pictures."""
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", text, flags=re.DOTALL)
    text = re.sub(r"<style type=\"text/css\">.*?</style>", "", text, flags=re.DOTALL)
    text = re.sub(r"<defs>\s*</defs>\s*", "", text)
    text = re.sub(r"<!--.*?-->\s*", "", text, flags=re.DOTALL)
    text = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', text)
    text = re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", text)
    text = re.sub(r'xlink:href="#([^"]+)"', rf'href="#{name}-\1"', text)
    head, _, rest = text.partition(">")
    head = re.sub(r' (width|height|version|xmlns:xlink|xmlns)="[^"]*"', "", head)
    size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', head)
    assert size is not None, "the plotting library writes a viewBox"
    # Width and height in points are what a printer goes by; the page's style lets it shrink with the screen.
    head += f' width="{size[1]}" height="{size[2]}" stroke-linejoin="round" stroke-linecap="butt"'
    return f"{head}>{rest.rstrip()}"
