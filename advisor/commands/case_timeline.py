"""The timeline of a saved case as text: every entry of its history in a line or two."""

from typing import TYPE_CHECKING

from ..casebook import afterwards, sales
from ..casebook.book import Casebook
from ..casebook.finding import SIGNED_WORDS
from ..casebook.kept_back import shown
from ..knowledge.sentences import wrap

if TYPE_CHECKING:
    from ..knowledge.wording import Wording


def timeline(book: Casebook, number: int, wording: "Wording", width: int, *, people: bool = False) -> list[str]:
    """Every entry of the history in one line or two."""
    words = shown(book, number, people=people)
    lines = ["Timeline (UTC)"]
    for entry in book.history(number):
        who = f", {words.name(entry.by)}" if entry.by else ""
        text = f"{entry.at[:16].replace('T', ' ')}{who}: {_event(entry, words, wording)}"
        lines.append(wrap(text, width, "  ", "    "))
    return lines


def _event(entry, words, wording):
    private, people = entry.kept, words.all
    body = entry.body
    if entry.kind == "answers":
        count = len(body["case"]["answers"])
        return f"{'corrected, ' if 'corrects' in body else ''}{count} answers taken"
    if entry.kind == "decision":
        price = f", {wording.money(body['price'], body['currency'])}" if body["price"] is not None else ""
        return f"decided: {body['pick'] or body['outcome'].replace('_', ' ')}{price}"
    if entry.kind == "reading":
        answers = body["case"]["answers"]
        read = "; ".join(
            f"{wording.label(name)} {wording.value(name, answers[name]['value'])}" for name in body["readings"]
        )
        return f"read off the car: {read}"
    if entry.kind == "worksheet":
        read = ", ".join(f"{name} {value}" for name, value in body["readings"].items())
        return f"worksheet {body['worksheet']}: {read}"
    if entry.kind == "note":
        if "text" not in private:
            return "note, erased on request"
        return f"note: {private['text']}" if people else "note, kept apart"
    if entry.kind == "person":
        caller = [private[part] for part in ("name", "phone") if part in private]
        if not caller:
            return "name and phone, erased on request"
        return f"caller: {', '.join(caller)}" if people else "caller's name or phone kept apart"
    if entry.kind == "forgotten":
        return f"{len(body['entries'])} entries with name, phone or note erased on request"
    if entry.kind == "quote":
        prices = (
            f"{wording.money(body['total'], body['currency'])} for certain" if body["total"] is not None else "no price"
        )
        return f"quoted {body['quote']}: {body['kits'][0]}, {prices}, until {body['until']}"
    if entry.kind in sales.KINDS:
        return _sold(entry, words)
    if entry.kind in afterwards.KINDS:
        return afterwards.in_words(entry)
    text = f": {words.words(body['text'])}" if body.get("text") else ""
    return f"{SIGNED_WORDS[entry.kind]}, entry {body['of']}{text}"


def _sold(entry, words):
    """An entry of a sale, a fitting or a return."""
    private, people = entry.kept, words.all
    body = entry.body
    if entry.kind == "sale":
        text = f"sold {body['kit']} on {body['on']}{'' if body['as_advised'] else ', not what was advised'}"
    elif entry.kind == "fitting":
        who = body["fitter"].replace("_", " ") if body["fitter"] else ""
        names = [private["who"]] if people and "who" in private else []
        by = f" by {', '.join([who, *names] if who else names)}" if who or names else ""
        text = f"fitted on {body['on']}{by}{_at(body)}"
    else:
        text = f"came back on {body['on']}{_at(body)}"
    corrected = "withdrawn, as not having happened: " if body.get("withdrawn") else "corrected: "
    reason = f": {words.words(private['reason'])}" if private.get("reason") else ""
    return f"{corrected if 'corrects' in body else ''}{text}{reason}"


def _at(body):
    return f" at {body['km']:.0f} km" if body["km"] is not None else ""
