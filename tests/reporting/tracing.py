"""Walks a finished HTML sheet: where does every digit in it come from?

Written apart from the program: the decision record is read as JSON, units are converted by pint. Numbers come from the
record alone; words that hold digits from the record, or from the rules and labels it was made with.
"""

import dataclasses
import re

import html5lib
import pint

from advisor.explaining.worded import WordedRecord

from . import made

HTML, SVG = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"
DIGIT = re.compile(r"\d")
PINT = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
PINT.define("Nm = newton * meter")
#: How units are written on a sheet, in pint's spelling.
SPELLED = {
    "N m": "N*m",
    "lb-ft": "ft*lbf",
    "mm2": "mm**2",
    "m2": "m**2",
    "kg m2": "kg*m**2",
    "degC": "degC",
    "degF": "degF",
    "%": "percent",
    "W/mm2": "W/mm**2",
    "J/mm2": "J/mm**2",
    "W/m2 K": "W/m**2/K",
    "1/km": "1/km",
    "cm3": "cm**3",
    "rpm": "rpm",
    "lbf": "lbf",
    "deg": "deg",
    "1": "dimensionless",
    "": "dimensionless",
    "hp": "hp",
    "psi": "psi",
    "K": "kelvin",
}
PINT.define("hp = 550 * foot * force_pound / second")


def pint_unit(text):
    """pint's unit for a unit as written."""
    return PINT.Unit(SPELLED.get(text, text))


#: Keys of the record whose numbers are whole per cent, kits or days, whatever they are about.
COUNTED = {
    "picked_in": "%",
    "holds_in": "%",
    "suits_in": "%",
    "share": "%",
    "from": "1",
    "to": "1",
    "delivery": "1",
    "pick_delivery": "1",
}


class Sheet:
    """One sheet with what it was made from; ``faults`` after `walk`."""

    def __init__(self, text, name, system, document):
        self.tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=True).parse(text)
        self.record = made.record(name)
        self.words = made.words(system)
        self.labels = labels_of(document)
        self.numbers = 0
        self.faults = []

    def walk(self):
        """Faults: every digit that does not come from where it says, or does not say."""
        body = self.tree.find(f"{HTML}body")
        self._element(body)
        return self.faults

    def _element(self, element):
        source, said = element.get("data-from"), element.get("data-said")
        if element.tag == f"{SVG}svg":
            self._drawing(element)
            return
        if source is not None:
            self.numbers += 1
            self._number(element, source)
        elif element.get("class") == "unit" and element.text in SPELLED:
            return
        elif said is not None:
            # A blank that does not break is a blank.
            self._said("".join(element.itertext()).replace("\xa0", " "), said)
        else:
            self._bare(element.text)
            for child in element:
                self._element(child)
        for child in element:
            self._bare(child.tail)

    def _bare(self, text):
        if text and DIGIT.search(text):
            self.faults.append(f"no source: {text.strip()!r}")

    # --- numbers ------------------------------------------------------------------------------

    def _number(self, element, source):
        text, value = "".join(element.itertext()), float(element.get("value"))
        held, unit = self.held(source)
        if held is None or held != value:
            self.faults.append(f"{source}: the sheet has {value}, there it is {held}")
        elif not self.agrees(text, value, unit, source):
            self.faults.append(f"{source}: {text!r} is not {value} {unit}")

    def agrees(self, text, value, unit, source):
        """Whether a number as printed is the value, to the last digit printed."""
        if (bound := re.fullmatch(r"(over|under) (\d+) %", text)) and unit == "1":  # a chance near its end
            end = float(bound[2]) / 100
            return end < value <= 1 if bound[1] == "over" else 0 <= value < end
        match = re.fullmatch(r"(-?[\d,]*\.?\d+) ?(.*)", text.removeprefix("class ").removesuffix(" times"))
        if not match:
            return False
        number, shown = float(match[1].replace(",", "")), match[2]
        if shown == "%" and unit == "1":
            value, shown = 100 * value, ""
        elif re.fullmatch(r"[A-Z]{3}", shown):  # a currency
            shown = ""
        elif shown in ("kg", "lb") and unit == "N":  # what a bathroom scale shows
            value, shown = PINT.Quantity(value, "N").to("kgf" if shown == "kg" else "lbf").magnitude, ""
        elif shown != unit and not (shown == "" and unit == "1"):
            value = PINT.Quantity(value, pint_unit(unit)).to(pint_unit(shown)).magnitude
        places = len(match[1].partition(".")[2])
        return abs(number - value) <= 0.5 * 10**-places * (1 + 1e-9)

    def held(self, source):
        """(value, unit) at a source."""
        head, _, rest = source.partition("/")
        if head == "fact":
            fact = next((one for one in self.record["facts"] if one["name"] == rest), None)
            return (fact["value"], fact["unit"] or "1") if fact else (None, "")
        if head == "figure":
            kit, name = rest.rsplit("/", 1)
            found = next(one for one in self.record["kits"] if one["id"] == kit)
            return found["figures"].get(name), self.unit(name)
        if head == "kit":
            kit, name = rest.rsplit("/", 1)
            return self.record["records"][kit].get(name), self.unit(name)
        if head == "record":
            path = rest.split("/")
            return self.at(path), self.unit_at(path)
        if head == "limit":
            name, end = rest.split("/")
            return float(self.record["limits"][name][end]), self.record["limits"][name]["unit"]
        if head == "sum":
            return self.sum_of(rest), "EUR"
        if source == "count/kits-that-do-not-fit":
            return float(sum(not kit["fits"] for kit in self.record["kits"])), "1"
        return None, ""

    def sum_of(self, which):
        """What is "total" for certain, "likely", or the "most" it may be: each part and each kind of part once."""
        kit = self.record["pick"]["kit"]
        total, seen = self.record["records"][kit]["price"], set()
        steps = (("required", False), ("check", True), ("check", False))
        for level, as_a_rule in steps[: ("total", "likely", "most").index(which) + 1]:
            for part in self.record["setup"]["parts"]:
                if (part["level"], part.get("likely", False)) == (level, as_a_rule) and not {
                    part["kind"],
                    part["part"],
                } & seen:
                    seen |= {part["kind"], part["part"]} - {None}
                    total += part["price"] or 0
        return round(total, 2)

    def at(self, path):
        """The value at a path of the record, numbers as floats."""
        place = self.record
        for key in path:
            place = place[int(key)] if isinstance(place, list) else place[key]
        return float(place) if isinstance(place, int) and not isinstance(place, bool) else place

    def unit_at(self, path):
        """The unit of what stands at a path of the record: that of the fact, figure or field it is about."""
        if path[-1] in COUNTED:  # about a fact, but counted in something else
            return COUNTED[path[-1]]
        for place in range(len(path), 0, -1):
            if self.unit(path[place - 1]) is not None and path[place - 1] not in ("kit", "pick"):
                return self.unit(path[place - 1])
            held = self.at(path[:place])
            if isinstance(held, dict):
                # A field first: what stands in for one says in ``measure`` how it is measured.
                for key in ("fact", "figure", "field", "measure"):
                    if key in held:
                        return self.unit(held[key])
                if "requirement" in held:
                    wanted = next(one for one in self.record["requirements"] if one["id"] == held["requirement"])
                    return self.unit(wanted["measure"])
        return "1"

    def unit(self, name):
        """The unit of a fact, figure or kit field; None where there is none of that name."""
        knowledge = made.content().knowledge
        word = knowledge.facts.get(name) or knowledge.figures.get(name) or knowledge.kit_fields.get(name)
        return (word.unit or "1") if word else None

    # --- words --------------------------------------------------------------------------------

    def _said(self, text, source):
        if not DIGIT.search(text):
            return
        held = self.words_at(source)
        if source.endswith("/text") and self.words.system == "trade" and converted(text, (held or "").split(" | ")[0]):
            return
        if held is None or text not in held:
            self.faults.append(f"{source}: {text!r} is not what stands there: {held!r}")

    def words_at(self, source):
        """Texts that may stand on the sheet for a source of words, joined."""
        head, _, rest = source.partition("/")
        knowledge = made.content().knowledge
        if head == "label":
            word = knowledge.facts.get(rest) or knowledge.figures.get(rest) or knowledge.kit_fields.get(rest)
            return word.label if word else None
        if head == "title":
            return self.record["records"].get(rest, {}).get("title", rest)
        if head in ("because", "sentence"):
            return WordedRecord(self.record, self.words).because(rest)
        if head == "question":
            return knowledge.questions[rest].plain
        if head == "help":
            return knowledge.questions[rest].help
        if head == "shop":
            return " | ".join([made.SHOP.name, *dataclasses.asdict(made.SHOP.contact).values()])
        if head == "limit":
            return self.record["limits"][rest.split("/")[0]]["why"]
        if head == "worksheet":
            return (made.ROOT / "advisor/reporting/worksheets/worksheets.yaml").read_text()
        if head == "record":
            value = self.at(rest.split("/"))
        else:
            value, _ = self.held(source)
        return " | ".join(_texts(value))

    # --- drawings -----------------------------------------------------------------------------

    def _drawing(self, svg):
        """Every word in a drawing is one it was given as a piece; marks of an axis are only numbers."""
        marks = set()
        for group in svg.iter(f"{SVG}g"):
            if re.search(r"-[xy]tick_\d+$", group.get("id", "")):
                marks |= {id(text) for text in group.iter(f"{SVG}text")}
        for text in svg.iter(f"{SVG}text"):
            told = "".join(text.itertext()).strip()
            if not DIGIT.search(told):
                continue
            if id(text) in marks and re.fullmatch(r"-?\d+(\.\d+)?", told):
                continue
            if not any(told.removesuffix(" ...") in label for label in self.labels):
                self.faults.append(f"drawing: {told!r} is none of its labels")


#: A number with its unit within a text.
_UNITS = sorted((re.escape(unit) for unit in [*SPELLED, "N", "mm", "in", "kW"] if unit not in ("", "1")), key=len)
QUANTITY = re.compile(rf"([0-9]+(?:\.[0-9]+)?) ({'|'.join(_UNITS[::-1])})(?![a-z0-9])")


def converted(text, held):
    """Whether two texts are one but for the units of its quantities, converted by pint to the three digits shown."""
    if QUANTITY.sub("#", text) != QUANTITY.sub("#", held):
        return False
    pairs = list(zip(QUANTITY.findall(text), QUANTITY.findall(held)))
    return all(
        abs(PINT.Quantity(float(there), pint_unit(unit)).to(pint_unit(wanted)).magnitude - float(shown))
        <= 0.006 * abs(float(shown))
        for (shown, wanted), (there, unit) in pairs
    )


def _texts(value):
    if isinstance(value, (list, tuple)):
        shown = [part for one in value for part in _texts(one)]
        return [*shown, ", ".join(shown)]
    text = str(value)
    return [text, text.replace("_", " ")]


def labels_of(document):
    """Words given to the drawings of a document, as plain text."""
    from advisor.reporting.sheets.blocks import Drawing, Fold, plain

    def drawings(blocks):
        for block in blocks:
            if isinstance(block, Fold):
                yield from drawings(block.blocks)
            elif isinstance(block, Drawing):
                yield block

    return [
        plain(label) for section in document.sections for block in drawings(section.blocks) for label in block.labels
    ]
