"""Whether sentences can be read aloud: short, no names of ours, every number with its unit."""

import re

from advisor.explaining import no_fit, sureness, why, why_not
from advisor.knowledge.sentences import MOST_WORDS, aloud
from advisor.knowledge.units import spellings

RAW = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")
NUMBER = re.compile(r"(?<![\w.,])[+-]?\d[\d,]*(?:\.\d+)?")
#: What may follow a number besides a unit: counted things, shares and times.
COUNTED = (
    "%",
    "times",
    "to",
    "of",
    "and",
    "or",
    "in",
    "x",
    "discs",
    "disc",
    "kits",
    "gentler",
    "requirements",
    "requirement",
    "things",
    "class",
    "classes",
    "more",
    "figures",
    "figure",
    "answers",
    "C",
    "for",
    "degrees",
    "starts",
    "launches",
)


def sentences_of(view):
    """Every sentence the explanations of a WordedRecord can say, and every because and text of the record, as
    sentences.
    """
    said = []
    for depth in (1, 2):
        told = why.why(view, depth)
        said += told["sentences"]
        for one in told["decisive"]:
            said += one["sentences"] + one.get("because", [])
        said += [text for one in told["given_up"] for text in one["sentences"]]
        if told.get("sure"):
            said += told["sure"]["sentences"]
        if told.get("no_fit"):
            for part in ("conflicts", "corrections", "changes"):
                said += [text for one in told["no_fit"][part] for text in one["sentences"]]
    for kit in view.kits:
        told = why_not.why_not(view, kit)
        said += told["sentences"]
        for one in told["failed"]:
            said += why_not.failure_sentences(view, one)
        if told["step"]:
            said += why_not.step_sentences(view, told)
    return said


def because_of(view):
    """Every reason of the record, in the words of the rule and of this view: (rule, text)."""
    return [
        (firing.rule, view.because(firing.rule)) for firing in view.record.firings.values() if firing.kind == "rule"
    ]


def without_titles(view, text):
    """A sentence less the titles and ids of kits, which hold sizes of their own."""
    for record in view.wording.records.values():
        title = record.fields.get("title")
        if title and title in text:
            text = text.replace(title, "it")
    return text


def faults(view, text):
    """What is wrong with one sentence; [] if nothing."""
    found = []
    plain = without_titles(view, text)
    if len(plain.split()) > MOST_WORDS:
        found.append(f"{len(plain.split())} words: {text}")
    if RAW.search(plain):
        found.append(f"a raw name: {text}")
    if "not known" in plain and "is not known" not in plain and "are not known" not in plain:
        found.append(f"a missing value: {text}")
    for match in NUMBER.finditer(plain):
        if not has_unit(view, plain, match):
            found.append(f"{match[0]} has no unit: {text}")
    return found


UNITS = sorted({unit for unit in spellings() if unit}, key=len, reverse=True)


def has_unit(view, text, match):
    """Whether a number is followed by a unit or a counted thing, or is a plain number its label says is one."""
    rest = text[match.end() :].lstrip()
    if text[: match.start()].endswith("class "):
        return True
    if any(rest.startswith(unit) and not rest[len(unit) : len(unit) + 1].isalpha() for unit in UNITS):
        return True
    if view.wording.currency and rest.startswith(view.wording.currency):
        return True
    word = re.match(r"[\w%]+", rest)
    if word and word[0] in COUNTED:
        return True
    return any(label in text.lower() for label in plain_labels(view))


def plain_labels(view):
    """Labels of what is a plain number by the vocabulary."""
    key = "plain labels"
    if key not in view.kept:
        words = (
            *view.knowledge.facts.values(),
            *view.knowledge.figures.values(),
            *view.knowledge.kit_fields.values(),
        )
        view.kept[key] = {word.label.lower() for word in words if getattr(word, "unit", "") in ("1", "")}
    return view.kept[key]


def wording(view):
    """(sentences read, faults) of everything a WordedRecord can say."""
    texts = list(dict.fromkeys(sentences_of(view)))
    found = [fault for text in texts for fault in faults(view, text)]
    reasons = because_of(view)
    for rule, text in reasons:
        if "not known" in text:
            found.append(f"{rule}: a missing value: {text}")
        if RAW.search(text):
            found.append(f"{rule}: a raw name: {text}")
        found += [f"{rule}: {len(one.split())} words: {one}" for one in aloud(text) if len(one.split()) > MOST_WORDS]
    return len(texts) + len(reasons), found


__all__ = ["no_fit", "sentences_of", "sureness", "wording"]
