"""What happened with a case, entry by entry, in words: the same on a page of text and in a browser."""

from typing import TYPE_CHECKING

from ..deciding.outcomes import IN_WORDS
from ..knowledge.sentences import count
from . import afterwards
from .finding import SIGNED_WORDS

if TYPE_CHECKING:
    from ..knowledge.wording import Wording
    from .entries import Entry
    from .kept_back import Shown


def event(entry: "Entry", words: "Shown", wording: "Wording") -> str:
    """What an Entry of a case says happened, in a line or two.

    ``words``: how texts of people are shown; ``wording``: of the knowledge the case was kept with.
    """
    if entry.kind in afterwards.KINDS:
        return afterwards.in_words(entry)
    if entry.kind in SIGNED_WORDS:
        return _signed(entry, words)
    return _EVENTS[entry.kind](entry, words, wording)


def _kit(kit, wording):
    """A kit by its title, with the id it is asked for by."""
    title = wording.title(kit)
    return kit if title == kit else f"{title} ({kit})"


def _answers(entry, words, wording):
    number = len(entry.body["case"]["answers"])
    taken = f"{count(number, 'answer')} taken" if number else "nothing answered yet"
    return f"corrected, {taken}" if "corrects" in entry.body else taken


def _decision(entry, words, wording):
    body = entry.body
    if not body["pick"]:
        asks = f": {wording.labels(body['asks'], most=3)}" if body["asks"] else ""
        return f"decided: {IN_WORDS[body['outcome']]}{asks}"
    price = f", {wording.money(body['price'], body['currency'])}" if body["price"] is not None else ""
    return f"decided: {_kit(body['pick'], wording)}{price}"


def _reading(entry, words, wording):
    answers = entry.body["case"]["answers"]
    readings = [
        f"{wording.label(name)} {wording.value(name, answers[name]['value'])}" for name in entry.body["readings"]
    ]
    return f"read off the car: {'; '.join(readings)}"


def _worksheet(entry, words, wording):
    readings = [f"{wording.label(name)} {value}" for name, value in entry.body["readings"].items()]
    return f"worksheet {entry.body['worksheet'].replace('_', ' ')}: {', '.join(readings)}"


def _note(entry, words, wording):
    if "text" not in entry.kept:
        return "note, erased on request"
    return f"note: {entry.kept['text']}" if words.all else "note, kept apart"


def _person(entry, words, wording):
    caller = [entry.kept[part] for part in ("name", "phone") if part in entry.kept]
    if not caller:
        return "name and phone of the caller, erased on request"
    return f"caller: {', '.join(caller)}" if words.all else "caller's name or phone, kept apart"


def _forgotten(entry, words, wording):
    return f"{count(len(entry.body['entries']), 'entry', 'entries')} with name, phone or note erased on request"


def _quote(entry, words, wording):
    body = entry.body
    price = "no price" if body["total"] is None else f"{wording.money(body['total'], body['currency'])} for certain"
    return f"quoted {body['quote']}: {_kit(body['kits'][0], wording)}, {price}, until {body['until']}"


def _sale(entry, words, wording):
    body = entry.body
    other = "" if body["as_advised"] else ", not what was advised"
    return _sold(entry, words, f"sold {_kit(body['kit'], wording)} on {body['on']}{other}")


def _fitting(entry, words, wording):
    body = entry.body
    who = [wording.said("installer", body["fitter"])] if body["fitter"] else []
    who += [entry.kept["who"]] if words.all and "who" in entry.kept else []
    by = f" by {', '.join(who)}" if who else ""
    return _sold(entry, words, f"fitted on {body['on']}{by}{_distance(body)}")


def _return(entry, words, wording):
    return _sold(entry, words, f"came back on {entry.body['on']}{_distance(entry.body)}")


def _distance(body):
    return f" at {body['km']:.0f} km" if body["km"] is not None else ""


def _sold(entry, words, text):
    """An entry of a sale, a fitting or a return, with its reason; and whether it corrects or withdraws another."""
    withdrawn = "withdrawn, as not having happened: " if entry.body.get("withdrawn") else "corrected: "
    reason = f": {words.words(entry.kept['reason'])}" if entry.kept.get("reason") else ""
    return f"{withdrawn if 'corrects' in entry.body else ''}{text}{reason}"


def _signed(entry, words):
    text = f": {words.words(entry.body['text'])}" if entry.body.get("text") else ""
    return f"{SIGNED_WORDS[entry.kind]}, entry {entry.body['of']}{text}"


#: Kind of entry -> what tells it; signatures and what was heard after a sale have their own.
_EVENTS = {
    "answers": _answers,
    "decision": _decision,
    "reading": _reading,
    "worksheet": _worksheet,
    "note": _note,
    "person": _person,
    "forgotten": _forgotten,
    "quote": _quote,
    "sale": _sale,
    "fitting": _fitting,
    "return": _return,
}
