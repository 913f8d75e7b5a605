"""A section through the arrangement as it will be fitted, drawn from the kit's record and the car's.

Radii are to scale, thicknesses are not. Small letters name parts, capitals name what is measured; the tables beside
the drawing say what they are, with the maker's figure where there is one.
"""

from collections.abc import Sequence

from markupsafe import Markup, escape

from ..sheets.blocks import Drawing, Paragraph, Table, paragraph, pieces
from ..sheets.dimensions import arrangement, measure_rows
from ..sheets.page import Page

WIDTH, HEIGHT, AXIS = 460, 330, 296
#: More height below, where the housing's dimensions stand; its joint with the block on the drawing.
BELOW, JOINT = 46, 56
#: Drawn between bearing and fingers, so that it can be pointed at.
GAP = 22
#: Pixels for the disc's outer radius; thicknesses on the drawing.
RADIUS = 176
FLANGE, FLYWHEEL, FACING, CORE, FLOATER, PLATE = 44, 38, 8, 5, 14, 26


class SectionDrawing:
    """Collects shapes from left (engine) to right (gearbox); ``y(radius)`` is the height of a radius."""

    def __init__(self, outer_radius: float) -> None:
        self.scale = RADIUS / outer_radius
        self.shapes: list[Markup] = []
        self.parts: list[tuple[str, str]] = []

    def y(self, radius: float) -> float:
        """Height on the drawing of a radius in mm."""
        return AXIS - radius * self.scale

    def add(self, text: str, **values: object) -> None:
        """One shape; values are escaped."""
        self.shapes.append(shape(text, **values))

    def box(self, x: float, width: float, outer: float, inner: float, fill: str) -> None:
        """A ring cut through: a rectangle from the inner to the outer radius."""
        self.add(
            '<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="{fill}" stroke="#000" stroke-width="1"/>',
            x=x,
            y=self.y(outer),
            w=width,
            h=(outer - inner) * self.scale,
            fill=fill,
        )

    def line(self, points: Sequence[tuple[float, float]], width: float = 1.0, dash: str = "") -> None:
        """A line through points (x, y)."""
        path = " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
        self.add(
            '<polyline points="{p}" fill="none" stroke="#000" stroke-width="{w}" stroke-dasharray="{d}"/>',
            p=path,
            w=width,
            d=dash or "none",
        )

    def name(self, x: float, y: float, word: str, to: tuple[float, float]) -> None:
        """A part's small letter in a ring, with a line to the part."""
        letter = "abcdefghijklmn"[len(self.parts)]
        self.parts.append((letter, word))
        self.line([(x, y), to], 0.7)
        self.add('<circle cx="{x}" cy="{y}" r="11" fill="#fff" stroke="#000"/>', x=x, y=y)
        self.write(x, y + 5, letter)

    def write(self, x: float, y: float, text: str, anchor: str = "middle") -> None:
        """A word on the drawing."""
        self.add('<text x="{x}" y="{y}" text-anchor="{a}" font-size="15">{t}</text>', x=x, y=y, a=anchor, t=text)

    def across(self, x1: float, x2: float, y: float, letter: str) -> None:
        """A level dimension between two faces."""
        self.line([(x1, y - 5), (x1, y + 5)], 0.8)
        self.line([(x2, y - 5), (x2, y + 5)], 0.8)
        self.line([(x1, y), (x2, y)], 0.8)
        self.letters((x1 + x2) / 2, y, letter)

    def upright(self, x: float, radius: float, letter: str, reach: float) -> None:
        """A radius from the axis upwards, with a thin line on to what it is the radius of."""
        self.line([(x, self.y(radius)), (reach, self.y(radius))], 0.5, "2 2")
        self.line([(x, AXIS), (x, self.y(radius))], 0.8)
        self.line([(x - 5, self.y(radius)), (x + 5, self.y(radius))], 0.8)
        self.letters(x, (AXIS + self.y(radius)) / 2, letter)

    def letters(self, x: float, y: float, text: str) -> None:
        """Capitals in the middle of a dimension."""
        wide = 6 + 11 * len(text)
        self.add('<rect x="{x}" y="{y}" width="{w}" height="14" fill="#fff"/>', x=x - wide / 2, y=y - 7, w=wide)
        self.add(
            '<text x="{x}" y="{y}" text-anchor="middle" font-size="15" font-weight="bold">{t}</text>',
            x=x,
            y=y + 5,
            t=text,
        )


def shape(text: str, **values: object) -> Markup:
    """Markup of one shape: ``text`` with values put in, escaped."""
    return Markup(text).format(**{name: escape(_number(value)) for name, value in values.items()})


def _number(value):
    return f"{value:.1f}" if isinstance(value, (int, float)) else value


_STRIPES = (
    '<pattern id="section-{name}" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate({angle})"><rect width="6" height="6" fill="#fff"/><path d="M0 0V6" stroke="{grey}"/>'
    "</pattern>"
)
_PATTERNS = (
    "<defs>"
    + _STRIPES.format(name="metal", angle=45, grey="#8c8c8c")
    + _STRIPES.format(name="plate", angle=-45, grey="#595959")
    + '<pattern id="section-facing" width="3" height="3" patternUnits="userSpaceOnUse">'
    '<rect width="3" height="3" fill="#fff"/><rect width="2" height="2" fill="#404040"/></pattern></defs>'
)
METAL, PLATED, FACED = "url(#section-metal)", "url(#section-plate)", "url(#section-facing)"


def section_drawing(page: Page) -> tuple[Drawing, Paragraph, Table]:
    """(`Drawing`, parts table, dimensions table) of the pick as fitted; None without a pick."""
    fields = page.fields(page.picked)
    outer, inner = fields["outer_diameter"] / 2, fields["inner_diameter"] / 2
    drawing = SectionDrawing(outer)
    face = _flywheel(drawing, outer)
    end = _pack(drawing, fields, face, outer, inner)
    tips = _cover(drawing, fields, face, end, outer)
    concentric = page.fact_value("release_actuation") == "concentric"
    _bearing(drawing, fields, tips, outer, concentric)
    _dimensions(drawing, face, end, tips, outer, inner)
    if fields["action"] == "push":
        drawing.across(tips, tips + GAP, drawing.y(outer * 0.19), "D")
    height = HEIGHT
    if arrangement(page) == "concentric":
        height += BELOW
        _housing(drawing, tips)
    drawing.write(6, height - 6, "engine", "start")
    drawing.write(WIDTH - 6, height - 6, "gearbox", "end")
    text = "".join(drawing.shapes)
    svg = f'<svg viewBox="0 0 {WIDTH} {height}" width="{WIDTH}" height="{height}">{_PATTERNS}<g>{text}</g></svg>'
    alt = pieces(
        "Half section above the axis, engine at the left: flywheel, then ",
        page.field("discs"),
        " discs" if fields["discs"] > 1 else " disc",
        " with a floater between each two" if fields["discs"] > 1 else "",
        ", pressure plate, cover with its fingers, and the release bearing, which ",
        page.field("action"),
        "es the fingers." if fields["action"] == "push" else "s the fingers.",
    )
    caption = pieces("Radii to scale, thicknesses not. Small letters are parts, capitals are measured.")
    figure = Drawing("section", svg, "The arrangement in section", alt, caption)
    return figure, _parts(drawing), measure_rows(page)


def _flywheel(drawing, outer):
    """Crank flange and flywheel with its rim; the x of its friction face."""
    drawing.box(FLANGE, 24, outer * 0.42, 0, METAL)
    drawing.box(FLANGE + 24, FLYWHEEL, outer * 1.16, 0, METAL)
    drawing.name(FLANGE + 4, drawing.y(outer * 1.22), "crankshaft flange and flywheel", (FLANGE + 42, drawing.y(outer)))
    return FLANGE + 24 + FLYWHEEL


def _pack(drawing, fields, x, outer, inner):
    """Discs and floaters from the flywheel's face on, then the pressure plate; the x of its back."""
    hub = outer * 0.3
    count = int(fields["discs"])
    for place in range(count):
        start = x
        for width, ring in (
            (FACING, (outer, inner, FACED)),
            (CORE, (outer * 0.97, hub, "#fff")),
            (FACING, (outer, inner, FACED)),
        ):
            drawing.box(x, width, *ring)
            x += width
        drawing.box(start - 4, 2 * FACING + CORE + 8, hub, outer * 0.12, "#fff")
        if fields["hub"] == "sprung":
            drawing.add(
                '<rect x="{x}" y="{y}" width="{w}" height="{h}" rx="4" fill="#fff" stroke="#000"/>',
                x=start - 3,
                y=drawing.y(outer * 0.44),
                w=2 * FACING + CORE + 6,
                h=outer * 0.09 * drawing.scale,
            )
        if place == 0:
            drawing.name(
                start + 8, 20, "disc, " + fields["hub"] + " hub, faces dotted", (start + 8, drawing.y(outer) + 3)
            )
        if place < count - 1:
            drawing.box(x, FLOATER, outer * 1.06, inner * 0.95, PLATED)
            if place == 0:
                drawing.name(x + FLOATER / 2 + 14, 20, "floater", (x + FLOATER / 2, drawing.y(outer * 1.06) + 3))
            x += FLOATER
    drawing.box(x, PLATE, outer * 1.02, inner * 0.95, PLATED)
    drawing.name(x + PLATE + 18, 42, "pressure plate", (x + PLATE - 4, drawing.y(outer * 0.98)))
    return x + PLATE


def _cover(drawing, fields, face, back, outer):
    """The cover bolted to the flywheel's rim and its fingers; the x of the finger tips."""
    rim, shoulder = drawing.y(outer * 1.13), drawing.y(outer * 0.82)
    drawing.line([(face, rim), (back + 22, rim), (back + 22, shoulder)], 3)
    pivot, tip = drawing.y(outer * 0.78), drawing.y(outer * 0.24)
    tips = back + 34
    drawing.line([(back + 2, drawing.y(outer * 0.92)), (back + 14, pivot), (tips, tip)], 2.4)
    drawing.add('<circle cx="{x}" cy="{y}" r="4" fill="#000"/>', x=back + 15, y=pivot)
    drawing.name(back + 60, 70, "cover", (back + 24, drawing.y(outer)))
    drawing.name(back + 74, 116, "diaphragm and its fingers", (back + 22, drawing.y(outer * 0.55)))
    return tips


def _bearing(drawing, fields, tips, outer, concentric):
    """Release bearing with the way it moves, the gearbox input shaft and what moves the bearing."""
    shaft = outer * 0.12
    drawing.box(FLANGE + 10, WIDTH - FLANGE - 20, shaft, 0, "#fff")
    low, high = outer * 0.14, outer * 0.3
    pulled = fields["action"] == "pull"
    # A pull bearing sits behind the finger tips; its collar comes out between them towards the gearbox.
    x = tips - 30 if pulled else tips + GAP
    drawing.box(x, 22, high, low, PLATED)
    right = x + 22
    if pulled:
        drawing.box(right, 40, outer * 0.2, low, "#fff")
        right += 40
    if concentric:
        drawing.box(right, 40, high * 0.86, low, METAL)
        drawing.name(right + 70, 196, "concentric slave cylinder", (right + 30, drawing.y(high * 0.8)))
    else:
        foot = outer * 0.2 if pulled else high
        drawing.line([(right + 2, drawing.y(foot)), (right + 16, drawing.y(outer * 0.62))], 3)
        drawing.name(right + 50, 148, "release fork, cut short", (right + 15, drawing.y(outer * 0.59)))
    drawing.name(right + 70, 236, "release bearing", (x + 18, drawing.y(high * 0.7)))
    y = drawing.y(outer * 0.42)
    start = right + (24 if pulled else 4)
    ends = (start, start + 28) if pulled else (start, start - 28)
    drawing.line([(ends[0], y), (ends[1], y)], 1.4)
    back = -6 if pulled else 6
    drawing.letters((ends[0] + ends[1]) / 2, y - 14, "E F")
    drawing.line([(ends[1] + back, y - 4), (ends[1], y), (ends[1] + back, y + 4)], 1.4)
    drawing.line([(0, AXIS), (WIDTH, AXIS)], 0.8, "12 3 3 3")
    drawing.name(WIDTH - 20, 262, "gearbox input shaft", (WIDTH - 50, AXIS - 6))


def _dimensions(drawing, face, back, tips, outer, inner):
    drawing.upright(10, outer, "A", face)
    drawing.upright(28, inner, "B", face)
    drawing.across(FLANGE + 24, tips, AXIS + 16, "C")
    drawing.across(face, back, drawing.y(outer * 1.22), "G")


def _housing(drawing, tips):
    """Where block and housing meet, and what is measured from there with a depth gauge on either side."""
    low = AXIS + BELOW + 16
    drawing.line([(JOINT, AXIS + 4), (JOINT, low)], 1.4, "7 3")
    drawing.name(20, AXIS + 34, "joint of block and housing", (JOINT, AXIS + 34))
    for end, top, letter, y in ((tips, AXIS - 42, "H", AXIS + 36), (tips + GAP, AXIS - 26, "J", AXIS + 54)):
        drawing.line([(end, top), (end, y)], 0.5, "2 2")
        drawing.across(JOINT, end, y, letter)


def _parts(drawing):
    part_words = [(", " if place else "", letter, " ", word) for place, (letter, word) in enumerate(drawing.parts)]
    return paragraph("Parts on the drawing: ", *part_words, ".")
