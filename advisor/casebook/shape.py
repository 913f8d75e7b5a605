"""What an entry may hold: kind, time, names, body, what stands apart for it, and the entries it refers to.

A seal says that nothing was changed since; it says nothing of what was sealed. So entries from elsewhere are held
against this before they are taken, and stored ones before they are shown.
"""

import datetime
import functools
import math
import re
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED
from ..knowledge import signs
from .signing import adoption_digest, is_public_key, is_signature

if TYPE_CHECKING:
    from .entries import Entry

#: No entry is older than the program, nor, beyond what clocks go wrong by, newer than today or older than what it is
#: about.
EARLIEST = "2026-01-01T00:00:00Z"
SLACK = datetime.timedelta(days=1)
#: Letters of what a lead signs for of one check that fails; it is cut beyond.
LONGEST_ACCEPTED = 2000
#: What is no later than the start of the program does not lie in the future.
_BEGUN = datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
_SHA, _BOOK = re.compile("[0-9a-f]{64}"), re.compile("[0-9a-f]{32}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", re.ASCII)
_NAME = re.compile("[a-z][a-z0-9_]{0,99}")


def _line(longest, least=0):
    def holds(value):
        if not isinstance(value, str) or not least <= len(value) <= longest:
            return False
        # Most are letters of ASCII, which is quickly seen; a line end does not count among what is shown.
        return (value.isascii() and value.isprintable()) or ("\n" not in value and not signs.first_odd(value))

    return holds


def _text(value):
    return isinstance(value, str) and len(value) <= 20_000 and not signs.first_odd(value)


def _count(value):
    return type(value) is int and 0 < value < 2**63


def _index(value):
    return (value == 0 and type(value) is int) or _count(value)


def _number(value):
    return type(value) in (int, float) and math.isfinite(value)


def _distance(value):
    return _number(value) and 0 <= value < 1e9


def _flag(value):
    return type(value) is bool


def _sha(value):
    return isinstance(value, str) and bool(_SHA.fullmatch(value))


def _book(value):
    return isinstance(value, str) and bool(_BOOK.fullmatch(value))


def _name(value):
    return isinstance(value, str) and _is_name(value)


@functools.lru_cache(4096)
def _is_name(text):
    return bool(_NAME.fullmatch(text))


def _value(value):
    if type(value) is str:
        return _is_word(value) if len(value) <= _SHORT else _word(value)
    return _number(value) or _flag(value) or _word(value) or _words(value)


def _choice(*allowed):
    return lambda value: value in allowed


def _or_none(test):
    return lambda value: value is None or test(value)


_sha_or_none = _or_none(_sha)


def _list(test):
    return lambda value: isinstance(value, list) and (not value or all(map(test, value)))


def _day(value):
    try:
        return isinstance(value, str) and datetime.date.fromisoformat(value).isoformat() == value >= EARLIEST[:10]
    except ValueError:
        return False


def _mapping(key, test):
    def holds(value):
        if not isinstance(value, dict):
            return False
        for name, part in value.items():  # noqa: SIM110  a plain loop, as in `_fields`
            if not (key(name) and test(part)):
                return False
        return True

    return holds


def _often_the_same(test):
    """A test of mappings of texts and None alone, which most entries hold alike: what it last took it takes again."""
    taken: list[Any] = [None]

    def holds(value):
        # Nothing but an equal text is equal to a text, and nothing but None to None.
        if value is not None and value == taken[0]:
            return True
        if not test(value):
            return False
        taken[0] = value
        return True

    return holds


def _fields(optional=(), **tests):
    """A mapping of exactly these fields, those named as optional at will."""
    needed = tests.keys() - set(optional)

    def holds(value):
        if not isinstance(value, dict) or not needed <= value.keys():
            return False
        # Every field of every entry that is shown comes through here: plain loops take half the time of generators.
        for name, part in value.items():
            test = tests.get(name)
            if test is None or not test(part):
                return False
        return True

    return holds


_word = _line(2_000)
#: Letters of a choice; many callers choose the same.
_SHORT = 100
_is_word = functools.lru_cache(4096)(_word)
_words = _list(_word)
_by = _line(200)
_id = _line(200, 1)
_known_how = _choice("measured", "stated", "looked_up")
_exact = _fields(**{"value": _value, "from": _known_how})
_vague = _fields(**{"value": _number, "low": _number, "high": _number, "from": _known_how})


def _answer(value):
    """An answer: exact, or a number with the ends of what it was said to lie between."""
    if type(value) is dict and len(value) == 2 and "value" in value and "from" in value:  # most are, and there are many
        return _value(value["value"]) and _known_how(value["from"])
    return _exact(value) or (_vague(value) and value["low"] <= value["value"] <= value["high"])


_case = _fields(
    ("changed", "insist"),
    id=_id,
    changed=_list(_fields(fact=_name, before=_or_none(_value), after=_or_none(_value))),
    insist=_list(_id),
    platform=_or_none(_id),
    unknown=_list(_name),
    answers=_mapping(_name, _answer),
)
_program = _often_the_same(
    _fields(program=_word, code_sha256=_sha, python=_word, libraries=_mapping(_word, _or_none(_word)))
)
_hop = _fields(casebook=_line(100, 1), entry=_count, digest=_sha)
_taken = _fields(
    ("before", "stood_on"), casebook=_line(100, 1), entry=_count, digest=_sha, before=_list(_hop), stood_on=_sha
)


def _body(optional=(), **tests):
    return _fields((*optional, "taken_over"), taken_over=_taken, **tests)


_came = ("corrects", "withdrawn")
#: What became of a clutch, when buyers are asked, how an answer came, where a torque was measured, the state in which
#: it was tried, and what is known of its fitting.
RESULTS = ("held", "slipped", "returned", "sold_on", "not_known")
DUE = ("bedded", "year")
CAME = ("asked", "himself")
TORQUE_AT = ("flywheel", "wheels", "estimated")
STATES = ("new", "bedded", "hot")
FITTINGS = ("measured", "not_recorded", "known_bad")
_key = _fields(public_key=is_public_key, value=is_signature, said=_sha)
_signature = _body(("signature", "text"), of=_count, decision=_sha, text=_text, signature=_key)
#: Part -> what it may hold; all of it stands apart, erasable.
PARTS: dict[str, Callable[[Any], bool]] = {
    "by": _line(200, 1),
    "case": _id,
    "name": _line(200, 1),
    "phone": _line(40, 1),
    "text": _text,
    "reason": _text,
    "who": _line(200, 1),
    "salt": _line(100),
}
#: Kind -> what its body holds.
BODIES: dict[str, Callable[[Any], bool]] = {
    "answers": _body(("corrects",), case=_case, corrects=_count),
    "reading": _body(case=_case, readings=_list(_name)),
    "decision": _body(
        of=_count,
        outcome=_choice(RECOMMENDED, MORE_ANSWERS, NO_KIT),
        pick=_or_none(_id),
        required=_list(_id),
        cautions=_list(_id),
        asks=_list(_name),
        price=_or_none(_number),
        currency=_or_none(_line(20)),
        margin=_or_none(_number),
        invented=_flag,
        program=_program,
    ),
    "note": _body(),
    "person": _body(),
    "worksheet": _body(worksheet=_line(40, 1), readings=_mapping(_name, _line(100, 1))),
    "sale": _body(
        _came, of=_count, decision=_sha, kit=_id, as_advised=_flag, on=_day, corrects=_count, withdrawn=_flag
    ),
    "fitting": _body(
        _came, of=_count, on=_day, fitter=_or_none(_name), km=_or_none(_distance), corrects=_count, withdrawn=_flag
    ),
    "return": _body(_came, of=_count, on=_day, km=_or_none(_distance), corrects=_count, withdrawn=_flag),
    "asking": _body(of=_count, on=_day, due=_choice(*DUE)),
    "outcome": _body(
        _came,
        of=_count,
        result=_choice(*RESULTS),
        on=_day,
        came=_choice(*CAME),
        asked=_or_none(_day),
        torque=_or_none(_number),
        torque_at=_or_none(_choice(*TORQUE_AT)),
        km=_or_none(_distance),
        state=_choice(*STATES),
        fitting=_choice(*FITTINGS),
        cause=_or_none(_name),
        source=_or_none(_line(60, 1)),
        corrects=_count,
        withdrawn=_flag,
    ),
    "complaint": _body(
        ("of",),
        of=_count,
        told=_mapping(_name, _value),
        unknown=_list(_name),
        state=_choice("found", "leads", "telephone", "workshop", "open"),
        cause=_or_none(_name),
        likely=_list(_name),
        cautions=_list(_id),
        rules=_sha,
    ),
    "quote": _body(
        of=_count,
        decision=_sha,
        quote=_line(60, 3),
        kits=_list(_id),
        total=_or_none(_number),
        most=_or_none(_number),
        currency=_line(20),
        until=_day,
    ),
    "sign_off": _signature,
    "objection": _signature,
    "adoption": _body(
        version=_index,
        rules=_sha,
        before=_or_none(_index),
        back_to=_or_none(_index),
        shipped=_word,
        accepted=_list(_line(LONGEST_ACCEPTED, 1)),
    ),
    # How far a counter's own casebook stood when it was handed over; none of it yet where the counter is met first.
    "hand_over": _body(counter=_line(40, 1), casebook=_book, entries=_index, digest=_or_none(_sha)),
    "forgotten": _body(("parts",), entries=_list(_count), parts=_list(_fields(entry=_count, part=_choice("", *PARTS)))),
}
#: Kind -> the parts that may stand apart for it beside who wrote it.
APART: dict[str, tuple[str, ...]] = {
    "answers": ("case",),
    "reading": ("case",),
    "person": ("name", "phone"),
    "note": ("text",),
    "sale": ("reason",),
    "fitting": ("who", "reason"),
    "return": ("reason",),
    "adoption": ("text",),
    "sign_off": ("text", "salt"),
    "objection": ("text", "salt"),
}
#: Kinds that are nothing without what stands apart for them.
NOTHING_WITHOUT = ("person", "note")
#: Kind -> all parts that may stand apart for it.
_ALLOWED = {kind: ("by", *APART.get(kind, ())) for kind in BODIES}
#: Kind -> kinds of the entries its body names by number.
REFERS: dict[str, dict[str, tuple[str, ...]]] = {
    "answers": {"corrects": ("answers",)},
    "decision": {"of": ("answers", "reading")},
    "quote": {"of": ("decision",)},
    "sale": {"of": ("decision",), "corrects": ("sale",)},
    "fitting": {"of": ("sale",), "corrects": ("fitting",)},
    "return": {"of": ("sale",), "corrects": ("return",)},
    "asking": {"of": ("sale",)},
    "outcome": {"of": ("sale",), "corrects": ("outcome",)},
    "complaint": {"of": ("decision",)},
    "sign_off": {"of": ("decision", "adoption")},
    "objection": {"of": ("decision",)},
    "forgotten": {"entries": tuple(BODIES)},
}
#: Kinds that stand on stored knowledge.
ON_KNOWLEDGE = ("answers", "reading", "decision", "complaint", "adoption")
#: Kinds with a record: what was decided, or what an adopted version of the rules changed.
ON_RECORD = ("decision", "adoption")
#: Kinds that a history begins with: of a case, of the versions of a shop's rules, and of a counter's hand-overs.
FIRST = ("answers", "adoption", "hand_over")
#: Kind of an entry that stands only in a history of its own kind -> what that is called.
ALONE = {"adoption": "the versions of a shop's rules", "hand_over": "the hand-overs of a counter"}


def fault(entry: "Entry") -> str:
    """What is wrong with an entry by itself, in words; "" where nothing is."""
    if not isinstance(entry.kind, str) or entry.kind not in BODIES:
        return "is of a kind this program does not know"
    if not isinstance(entry.at, str) or not _TIME.fullmatch(entry.at) or _moment(entry.at) is None:
        return "has no time"
    if not _by(entry.by):
        return "has no name of who wrote it that can be shown"
    if not BODIES[entry.kind](entry.body):
        return f"does not hold what an entry of kind {entry.kind.replace('_', ' ')} holds"
    if (entry.record is not None) != (entry.kind in ON_RECORD) or not _sha_or_none(entry.record):
        return "has a record where none belongs, or lacks one"
    if (entry.knowledge is not None) != (entry.kind in ON_KNOWLEDGE) or not _sha_or_none(entry.knowledge):
        return "has stored knowledge where none belongs, or lacks it"
    if not _sha_or_none(entry.sealed) or (entry.kind in NOTHING_WITHOUT and entry.sealed is None):
        return "lacks what is kept apart for it"
    if not (_count(entry.number) and _count(entry.case) and _sha(entry.digest)):
        return "has no number or no digest"
    if entry.at < EARLIEST:
        return "is older than the program"
    # Times in UTC, written alike, stand in the order of their texts.
    if entry.at > _BEGUN and _moment(entry.at) > datetime.datetime.now(datetime.UTC) + SLACK:
        return "lies in the future"
    return _apart_fault(entry)


def _apart_fault(entry):
    allowed = _ALLOWED[entry.kind]
    for part, text in entry.kept.items():
        if part not in allowed or not PARTS[part](text):
            return "has a name or note that is none"
    for part in entry.gone:
        if part and part not in allowed:
            return "has a name or note that is none"
    if entry.kind in NOTHING_WITHOUT and not {*APART[entry.kind], ""} & {*entry.kept, *entry.gone}:
        return "lacks what is kept apart for it"
    return ""


def history_faults(history: "Iterable[Entry]") -> "Iterator[tuple[Entry, str]]":
    """Pairs (entry, what is wrong with it among the others) of the entries of one case, in order."""
    before: dict[int, Entry] = {}
    for entry in history:
        wrong = _among(entry, before)
        if wrong:
            yield entry, wrong
        before[entry.number] = entry


def _among(entry, before):
    if not before and entry.kind not in FIRST:
        return "begins a case without answers"
    first = next(iter(before.values())) if before else entry
    if entry.kind in ALONE and first.kind != entry.kind:
        return "stands among the entries of a case"
    if first.kind == "hand_over" and entry.kind != "hand_over":
        return f"stands among {ALONE[first.kind]}"
    # What another casebook wrote comes when it is handed over, and is older by then than what was written here.
    own = [earlier.at for earlier in before.values() if _written_in(earlier) == _written_in(entry)]
    if own and entry.at < max(own) and _moment(entry.at) < _moment(max(own)) - SLACK:
        return "is dated before what it follows"
    if entry.body.get("withdrawn") and "corrects" not in entry.body:
        return "withdraws nothing"
    for name, kinds in REFERS.get(entry.kind, {}).items():
        named = entry.body.get(name, [])
        for number in named if isinstance(named, list) else [named]:
            if number not in before or before[number].kind not in kinds:
                return "refers to an entry that is not there"
    if "decision" in entry.body:
        stood_on = before[entry.body["of"]]
        named = entry.body.get("taken_over", {}).get("stood_on", entry.body["decision"])
        allowed = set(digests(stood_on))
        if stood_on.kind == "adoption":
            allowed |= _signed_elsewhere(stood_on, before.values())
        if named not in allowed:
            return "stands on another decision than the one it names"
        if entry.kind == "sale" and entry.body["as_advised"] != (entry.body["kit"] == stood_on.body["pick"]):
            return "says wrongly whether the kit sold is the one advised"
    return ""


def _signed_elsewhere(adoption, entries):
    """What stands for an adoption where it was signed before it was made: by a lead on a machine of his own."""
    body = {name: part for name, part in adoption.body.items() if name != "taken_over"}
    versions = [entry for entry in entries if entry.kind == "adoption" and entry.body["version"] == body["before"]]
    return {adoption_digest(body, entry.body["rules"], adoption.record) for entry in versions}


def _written_in(entry):
    """The casebook that an entry was written in last before this one; "" for this one."""
    return entry.body.get("taken_over", {}).get("casebook", "")


def digests(entry: "Entry") -> list[str]:
    """The digest of an entry and those it had in the casebooks it came through, the latest first."""
    taken = entry.body.get("taken_over")
    hops = [*taken.get("before", ()), taken] if taken else []
    return [entry.digest, *(hop["digest"] for hop in reversed(hops))]


@functools.lru_cache(4096)
def _moment(text):
    try:
        return datetime.datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=datetime.UTC)
    except ValueError:
        return None
