"""The pages of a saved case as text: as it was told, the lead's audit, what differs between two decisions."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..casebook.book import Casebook
from ..casebook.difference import difference
from ..casebook.finding import SIGNED_WORDS
from ..casebook.kept_back import shown
from ..casebook.stored_form import named
from ..deciding.outcomes import IN_WORDS
from ..explaining.changed_told import changed_sentences
from ..explaining.deciding_sums import deciding_sums_lines
from ..explaining.made_from import made_from_lines
from ..explaining.worded import WordedRecord
from ..knowledge import signs
from ..knowledge.sentences import wrap
from ..reporting.screens import derivation, screen
from .case_timeline import timeline

if TYPE_CHECKING:
    from ..casebook.entries import Entry
    from ..casebook.replay import Replay
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.wording import Wording

#: Lines of one kind shown before the rest is only counted.
SHOWN = 12


def told(record: "DecisionRecord", wording: "Wording") -> str:
    """A decision in one line."""
    kit = record.picked
    if kit is None:
        asks = f": {', '.join(wording.label(name) for name in record.asks)}" if record.asks else ""
        return IN_WORDS[record.outcome].capitalize() + asks + "."
    currency = wording.records[kit.id].fields.get("currency") if kit.id in wording.records else ""
    price = wording.money(kit.figures.get("total_price"), currency)
    return f"{wording.title(kit.id)} ({kit.id}), {price} with what must go with it."


@dataclass(frozen=True, slots=True)
class PagePart:
    """A part of a page: its ``title``, the Entry of the answers or readings, the decision on it, its words.

    ``rules``: which version of the house rules decided it, and who adopted that; empty where there is none.
    """

    title: str
    base: "Entry"
    decision: "Entry | None"
    record: "DecisionRecord | None"
    wording: "Wording"
    rules: str = ""


def show(
    book: Casebook,
    number: int,
    parts: Sequence[PagePart],
    width: int,
    *,
    people: bool = False,
    leads: Mapping[str, str] | None = None,
) -> str:
    """The decision as it was told, what was read off the car since, then what has happened."""
    words = shown(book, number, people=people)
    lines = []
    for part in parts:
        if len(parts) > 1:
            lines += [part.title, ""]
        record = part.record and named(part.record, words.name(part.record.case.id))
        lines.append(screen.screen(record, part.wording, width) if record else "Kept, but not decided yet.\n")
    lines += [*_sale(book, number, parts, width), *timeline(book, number, parts[-1].wording, width, people=people)]
    return signs.shown("\n".join(lines) + "\n")


def audit(
    book: Casebook,
    number: int,
    parts: Sequence[PagePart],
    width: int,
    *,
    people: bool = False,
    leads: Mapping[str, str] | None = None,
) -> str:
    """The lead's page: what decided with its sums, then everything else; as sold, and with what was read off since."""
    words = shown(book, number, people=people)
    lines = [wrap(f"Case {book.called(number)}, {words.name(parts[0].base.body['case']['id'])}", width)]
    lines += [*_sale(book, number, parts, width)]
    for part in parts:
        lines += ["", part.title, ""] if len(parts) > 1 else [""]
        lines += _part(book, part, width)
        if part is parts[0]:
            lines += ["", *timeline(book, number, part.wording, width, people=people)]
    if len(parts) > 1 and parts[0].record and parts[-1].record:
        differing = difference(parts[0].record, parts[-1].record)
        sides = (parts[0].title.lower(), parts[-1].title.lower())
        lines += ["", differences(parts[0].record, parts[-1].record, differing, parts[-1].wording, width, sides)]
    lines += ["", *_signatures(book, number, words, leads or {}, width)]
    return signs.shown("\n".join(lines) + "\n")


def _sale(book, number, parts, width):
    """What was sold, in a line; nothing where nothing was written down."""
    sale = book.sale(number)
    if sale is None:
        return []
    advised = "as advised" if sale.as_advised else "not what was advised"
    back = f", came back on {sale.returned.body['on']}" if sale.returned else ""
    title = parts[0].wording.title(sale.kit)
    return [wrap(f"Sold on {sale.on}: {title} ({sale.kit}), {advised}{back}.", width), ""]


def _part(book, part, width):
    record, wording = part.record, part.wording
    lines = [wrap(line, width) for line in made_from_lines(record)] if record else []
    lines += [wrap(part.rules, width)] if part.rules else []
    if record is None:
        return [*lines, *_answers(part.base, wording, width), "", "Not decided yet."]
    worded = WordedRecord(record, wording)
    lines += [wrap(told(record, wording), width), "", *deciding_sums_lines(worded, width)]
    lines += ["", *_answers(part.base, wording, width)]
    if record.case.changed:
        lines += ["", "Changed after a result was told: this goes to the shop lead"]
        lines += [wrap(changed_text, width, "  ", "    ") for changed_text in changed_sentences(worded)]
    lines += ["", *_assumptions(record, wording, width)]
    lines += ["", derivation.derivation(record, wording, width, every_kit=True).rstrip()]
    lines += ["", *_set_up(record, wording, width), "", *_sources(record, width)]
    return [*lines, "", *_hashes(book, part.base, part.decision, record, width)]


def _answer(wording, name, answer):
    if "low" not in answer:
        return wording.value(name, answer["value"])
    return wording.vague(name, answer["value"], answer["low"], answer["high"])


def _answers(base, wording, width):
    case = base.body["case"]
    lines = ["Answers, and how they are known"]
    for name, answer in case["answers"].items():
        read = ", read by the fitter" if name in base.body.get("readings", ()) else ""
        origin = answer["from"].replace("_", " ")
        lines.append(
            wrap(f"{wording.label(name)}: {_answer(wording, name, answer)} ({origin}{read})", width, "  ", "    ")
        )
    if case["unknown"]:
        lines.append(
            wrap(
                f"Not known to the caller: {'; '.join(wording.label(name) for name in case['unknown'])}.",
                width,
                "  ",
                "    ",
            )
        )
    return lines


def _assumptions(record, wording, width):
    lines = ["Assumed where nobody answered"]
    for assumed in record.assumptions:
        matters = {
            True: "another value changes the advice",
            False: "no value tried changes the advice",
            None: "not tried, nothing was decided",
        }
        worst = "the worst case" if assumed.worst else assumed.basis
        value = wording.value(assumed.fact, assumed.value)
        text = f"{wording.label(assumed.fact)}: {value}; {matters[assumed.matters]}. Basis: {worst}"
        lines.append(wrap(text, width, "  ", "    "))
    return lines if record.assumptions else ["Nothing was assumed."]


def _set_up(record, wording, width):
    lines = ["Set-up"]
    for part, item in record.setup.items():
        name = f"{item.part or item.kind}, {wording.money(item.price, item.currency)}: " if part == "parts" else ""
        lines.append(wrap(f"{name}{item.text} ({item.level}; rule {item.rule})", width, "  ", "    "))
    lines += [
        "Cautions",
        *(wrap(f"{caution.text} (rule {caution.rule})", width, "  ", "    ") for caution in record.cautions),
    ]
    return lines


def _sources(record, width):
    """What the fired rules and calculations rest on, each basis with those that name it."""
    named: dict[tuple[str, str], set[str]] = {}
    for firing in record.firings.values():
        named.setdefault((firing.basis.kind.replace("_", " "), firing.basis.source), set()).add(firing.rule)
    lines = ["Sources"]
    for (kind, source), rules in sorted(named.items()):
        lines.append(wrap(f"{kind}{f': {source}' if source else ''} [{', '.join(sorted(rules))}]", width, "  ", "    "))
    return lines


def _hashes(book, base, decision, record, width):
    program = decision.body["program"]
    agreed = "two engines agreed" if record.made_by.engines_agreed else "one engine only"
    lines = [
        "What it was made with",
        wrap(
            f"program {program['program']} ({agreed}), code {program['code_sha256'][:16]}, Python {program['python']}",
            width,
            "  ",
            "    ",
        ),
    ]
    for name, value in sorted(record.knowledge.items()):
        lines.append(f"  {name.removesuffix('_sha256')} {value[:48]}")
    lines += [f"  record {decision.record[:48]}", f"  entry {decision.number} {decision.digest[:48]}", "  files"]
    for place, path, digest in book.files_of(base).names():
        lines.append(wrap(f"{digest[:16]} {place}/{path}", width, "    ", "      "))
    return lines


def _signatures(book, number, words, leads, width):
    lines = ["Signed"]
    history = {entry.number: entry for entry in book.history(number)}
    standing = book.standing(number)[1]
    for entry in history.values():
        if entry.kind in SIGNED_WORDS:
            stale = "" if standing and entry.body["of"] == standing.number else " (an earlier decision)"
            text = f": {words.words(entry.body['text'])}" if entry.body.get("text") else ""
            how = _key(entry, leads)
            signature_text = f"{entry.at[:10]} {words.name(entry.by)} {SIGNED_WORDS[entry.kind]}{stale}{text} ({how})"
            lines.append(wrap(signature_text, width, "  ", "    "))
    return lines if len(lines) > 1 else ["Signed by nobody."]


def _key(entry, leads):
    """How a signature was made, and whether by a key that shop.toml (name -> public key) lists for who signs."""
    held = entry.body.get("signature")
    if held is None:
        return "a name alone, without a key"
    known = "as shop.toml lists it" if leads.get(entry.by) == held["public_key"] else "which shop.toml does not list"
    return f"signed with the key {held['public_key']}, {known}"


def programs(replayed: "Replay") -> str:
    """What of the program differs between then and now, in wording; empty where nothing does."""
    changes = []
    for name in sorted({*replayed.then, *replayed.now}):
        before, after = replayed.then.get(name), replayed.now.get(name)
        if name == "libraries":
            before, after = before or {}, after or {}
            changes += [
                f"{part} {before.get(part)} then, {after.get(part)} now"
                for part in sorted({*before, *after})
                if before.get(part) != after.get(part)
            ]
        elif before != after:
            told_then, told_now = (str(value)[:12] for value in (before, after))
            changes.append(f"{name.replace('_sha256', '')} {told_then} then, {told_now} now")
    return "; ".join(changes)


def as_kept(called: str, decision: "Entry", record: "DecisionRecord", why: str, width: int) -> str:
    """A case whose rules this program no longer reads: what stands in its record, then ``why`` it is not worked with.

    ``decision``: the Entry of the decision, which holds the price with its currency; ``record``: the `DecisionRecord`.
    """
    body = decision.body
    lines = [
        wrap(f"Case {called} stands as it was kept on {decision.at[:10]}; nothing in it is damaged.", width, "", "  "),
        wrap(f"outcome: {IN_WORDS[body['outcome']]}", width, "  ", "    "),
    ]
    if body["pick"]:
        lines.append(wrap(f"kit: {body['pick']}", width, "  ", "    "))
        if body["price"] is not None:
            lines.append(wrap(f"price then: {body['price']:.2f} {body['currency'] or ''}", width, "  ", "    "))
        lines.append(wrap(f"holding margin: {_number(body['margin'])}", width, "  ", "    "))
    required = [item.text for _, item in record.setup.items() if item.level == "required"]
    lines += [wrap(f"required: {text}", width, "  ", "    ") for text in required]
    lines += [wrap(f"caution: {caution.text}", width, "  ", "    ") for caution in record.cautions]
    lines += [
        wrap(f"It cannot be worked with again: {why}", width, "", "  "),
        wrap(f"The whole record: advisor case show {called} --json.", width, "", "  "),
    ]
    return signs.shown("\n".join(lines) + "\n")


def differences(
    old: "DecisionRecord",
    new: "DecisionRecord",
    differing: Mapping[str, Any],
    wording: "Wording",
    width: int,
    names: tuple[str, str] = ("before", "after"),
) -> str:
    """What differs between two decision records, as text; ``differing``: see `casebook.difference`."""
    if not differing:
        return "Nothing differs."
    lines = [
        wrap(f"{names[0]}: {told(old, wording)}", width, "", "  "),
        wrap(f"{names[1]}: {told(new, wording)}", width, "", "  "),
    ]
    margin = differing.get("margin")
    if margin:
        lines.append(f"holding margin: {_number(margin[0])} {names[0]}, {_number(margin[1])} {names[1]}")
    for name, head in (("next_down", "one step down"), ("next_up", "one step up")):
        if name in differing:
            lines.append(
                wrap(
                    f"{head}: {differing[name][0] or 'none'} {names[0]}, {differing[name][1] or 'none'} {names[1]}",
                    width,
                    "",
                    "  ",
                )
            )
    for part, head in (("items", "Set-up"), ("cautions", "Cautions"), ("asks", "To be asked")):
        both = differing.get(part)
        if both:
            entries = [
                f"only {name}: {', '.join(both[side])}"
                for side, name in (("only_old", names[0]), ("only_new", names[1]))
                if both[side]
            ]
            lines += _block(head, entries, width)
    lines += _block(
        "Answers",
        _pairs(
            differing.get("answers"),
            names,
            lambda name, answer: answer and _answer(wording, name, answer),
            wording.label,
        ),
        width,
    )
    lines += _block("Facts", _pairs(differing.get("facts"), names, wording.value, wording.label), width)
    lines += _block(
        "Requirements",
        _pairs(
            differing.get("requirements"),
            names,
            lambda _, requirement: requirement and _requirement(requirement, wording),
        ),
        width,
    )
    lines += _block("Verdicts on kits", _pairs(differing.get("verdicts"), names, lambda _, verdict: verdict), width)
    lines += _block(
        "Rules and calculations",
        [_fired(key, pair, names) for key, pair in differing.get("firings", {}).items()],
        width,
    )
    if "wording" in differing:
        lines += _block("Otherwise the same, but for", [", ".join(differing["wording"])], width)
    return "\n".join(lines)


def _number(value):
    return "not known" if value is None else f"{value:.3g}"


def _block(head, entries, width):
    more = [f"and {len(entries) - SHOWN} more"] if len(entries) > SHOWN else []
    return [head, *(wrap(entry, width, "  ", "    ") for entry in entries[:SHOWN] + more)] if entries else []


def _pairs(changed, names, words_of, label=str):
    told_pairs = []
    for key, (before, after) in (changed or {}).items():
        before, after = words_of(key, before) or "none", words_of(key, after) or "none"
        told_pairs.append(f"{label(key)}: {before} {names[0]}, {after} {names[1]}")
    return told_pairs


def _requirement(posted, wording):
    needed = wording.needed(posted["compare"], posted["measure"], posted["limit"])
    return f"{posted['measure']} {needed} ({posted['level']})"


def _fired(key, pair, names):
    before, after = pair
    if before is None or after is None:
        return f"{key}: fired only {names[1] if before is None else names[0]}"
    if before["rule_hash"] != after["rule_hash"]:
        return f"{key}: edited in between"
    changed = [
        name
        for name in sorted({*before["facts"], *after["facts"]})
        if before["facts"].get(name) != after["facts"].get(name)
    ]
    return (
        f"{key}: on other values of {', '.join(changed)}"
        if changed
        else f"{key}: gives {json.dumps(after['concluded'], ensure_ascii=False)}"
    )
