"""The complete derivation: every fact with where it came from, every firing, every requirement, every kit."""

from collections.abc import Mapping

from ...deciding.decision_record import DecisionRecord
from ...explaining.worded import WordedRecord
from ...knowledge.sentences import count, wrap
from ...knowledge.wording import Wording


def derivation(
    record: DecisionRecord | Mapping[str, object], wording: Wording, width: int = 80, *, every_kit: bool = False
) -> str:
    """The derivation of one `DecisionRecord` (or its JSON data) as text.

    ``every_kit``: kits that do not fit the car are named too, in one line behind the others, not only counted.
    """
    worded = WordedRecord(record, wording)
    record = worded.record
    lines = ["Facts"]
    for fact in record.facts.values():
        producer = f", firing {', '.join(str(number) for number in fact.producer)}" if fact.producer else ""
        origin = fact.origin.replace("_", " ")
        lines.append(
            wrap(
                f"{wording.label(fact.name)}: {wording.value(fact.name, fact.value)} ({origin}{producer})",
                width,
                "  ",
                "    ",
            )
        )
    lines += ["", wrap("Rules and calculations, each after what it stands on", width)]
    for firing in record.firings.values():
        lines += _firing(firing, wording, width)
    lines += ["", "Requirements"]
    for posted in record.requirements.values():
        level = posted.level + (", safety" if posted.safety else "") + (f", {posted.concern}" if posted.concern else "")
        lines.append(
            wrap(
                f"{wording.label(posted.measure)}: {worded.needed(posted)} ({level}; {posted.id})", width, "  ", "    "
            )
        )
    lines += ["", wrap("Kits that fit the car: those that would do in their order, then the nearest misses", width)]
    for kit in worded.record.nearest_first:
        lines += _kit(worded, kit, width)
    others = [kit.id for kit in record.kits.values() if not kit.fits]
    if others:
        named = f": {', '.join(others)}" if every_kit else "."
        lines += [
            "",
            wrap(f"Not for this car by their dimensions: {count(len(others), 'kit')}{named}", width, "", "  "),
        ]
    return "\n".join(lines) + "\n"


def _firing(firing, wording, width):
    read = "; ".join(f"{wording.label(name)} {wording.value(name, value)}" for name, value in firing.facts.items())
    concluded = "; ".join(
        f"{wording.label(name)} {wording.value(name, value)}" for name, value in firing.concluded.items()
    )
    basis = firing.basis.kind.replace("_", " ")
    if firing.basis.source:
        basis += f": {firing.basis.source}"
    if firing.basis.caution:
        basis += f" ({firing.basis.caution})"
    lines = [wrap(f"{firing.id} {firing.rule} ({firing.kind}, {firing.stage})", width, "  ", "    ")]
    lines.append(wrap(f"from {read}", width, "    ", "      "))
    if concluded:
        lines.append(wrap(f"gives {concluded}", width, "    ", "      "))
    if firing.reason:
        lines.append(wrap(f"gives nothing: {firing.reason}", width, "    ", "      "))
    lines.append(wrap(firing.because, width, "    ", "      "))
    lines.append(wrap(f"Basis {basis}.", width, "    ", "      "))
    return lines


def _kit(worded, kit, width):
    lines = [wrap(f"{kit.id}: {kit.verdict}" + (f", place {kit.place}" if kit.place else ""), width, "  ", "    ")]
    for check in kit.refused_by:
        lines.append(wrap(worded.failure(check) + ".", width, "    ", "      "))
    for check in kit.given_up:
        lines.append(wrap(f"gives up {check.concern}: {worded.failure(check)}.", width, "    ", "      "))
    return lines
