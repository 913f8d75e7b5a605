"""One voice: what an advice says in one place is not denied, nor asked for again, in another."""

import dataclasses

from advisor.explaining.stand_ins_told import stand_in_sentences
from advisor.explaining.worded import WordedRecord
from advisor.reporting.screens.screen import screen
from advisor.reporting.sheets.sheet import sheet

#: What calls an advice settled, and what asks for more; never both on one page.
SETTLED = (
    "Nothing left to ask is likely to change the advice",
    "However the open answers are likely to turn out, it is this kit",
)
ASKING = (
    "Ask: another answer changes the advice",
    "What would narrow it",
    "One thing to find out before anything can be sold",
    "Neither end is ordered before",
)
#: Sources of facts that the car's own record holds.
ON_FILE = ("platform", "factory_kit")


def faults(record, wording):
    """What of a `DecisionRecord` contradicts itself, as sentences; pages are read as they are shown."""
    worded = WordedRecord(record, wording)
    return [*_pages(record, wording), *_asked(record), *_called_unknown(record, worded), *_blamed(record, worded)]


def _pages(record, wording):
    questions = wording.knowledge.questions
    pages = {"screen": screen(record, wording, 4000), "customer": sheet(record, wording, "customer", width=4000)}
    for name, text in pages.items():
        settled, asking = [[one for one in ones if one in text] for ones in (SETTLED, ASKING)]
        if settled and asking:
            yield f"{name}: {settled[0]!r} and {asking[0]!r}"
        for fact in set(record.case.answers) - {one.ask for one in record.contradictions}:
            if fact in questions and questions[fact].plain in text:
                yield f"{name}: asks again for {fact}"
        if "not tried" in text:
            yield f"{name}: says that something was not tried"


def _asked(record):
    """What is asked for has not been answered, unless answers contradict each other."""
    answered = set(record.case.answers)
    settling = {one.ask for one in record.contradictions}
    for name in set(record.asks) & answered - settling:
        yield f"{name} was answered and is asked for again"


def _called_unknown(record, worded):
    """Nothing that has a value is said to be missing."""
    origins = {fact.name: fact.origin for fact in record.facts.values()}
    for name in record.not_on_file:
        if origins.get(name) in ON_FILE:
            yield f"{name} is on file and said to be missing from the car's record"
    for assumed in record.assumptions:
        if origins.get(assumed.fact) not in (None, "assumed"):
            yield f"{assumed.fact} is {origins[assumed.fact]} and said to be assumed"
    for stands in record.stand_ins:
        if stands.field in record.values:
            yield f"{stands.field} is on file and something was taken in its place"
    for kit in record.fitting:
        fields = worded.fields(kit.id)
        for stands in kit.stand_ins:
            if stands.field in fields:
                yield f"{kit.id}: {stands.field} is on file and something was taken in its place"
    if record.stand_ins and not stand_in_sentences(record.stand_ins, worded.wording):
        yield "what was taken for the car is not told"


def _blamed(record, worded):
    """Whoever is said to be silent is: a car's number is never asked of a kit's maker, nor the other way round."""
    knowledge = worded.knowledge
    for asked in record.ask_maker:
        if asked.field not in knowledge.kit_fields or asked.field in worded.fields(asked.kit):
            yield f"the maker of {asked.kit} is asked for {asked.field}"
    for kit in record.kits.values():
        for check in (*kit.unknown, *(one for one in kit.given_up if not one.known)):
            for lack in check.lacks:
                if lack.of == "kit" and (lack.field not in knowledge.kit_fields or lack.field in worded.fields(kit.id)):
                    yield f"{kit.id}: its maker is blamed for {lack.field}"
                elif lack.of == "car" and (
                    not (knowledge.facts[lack.field].source in ON_FILE or knowledge.facts[lack.field].platform)
                    or lack.field in record.values
                ):
                    yield f"{kit.id}: the car's record is blamed for {lack.field}"
                elif lack.of == "caller" and (
                    knowledge.facts[lack.field].source != "asked" or lack.field in record.values
                ):
                    yield f"{kit.id}: the caller is blamed for {lack.field}"
            # A price is worked out only for what passes.
            measure = record.requirements[check.requirement].measure if check.requirement in record.requirements else ""
            explained = check.lacks or kit.unknown_figures.get(measure) or measure in ("total_price", "likely_price")
            if kit.fits and not explained:
                yield f"{kit.id}: nobody knows why {check.requirement} is not known"


def thinned(content, pick, share=0.15):
    """Content whose kits and cars leave out fields at random; what every record must have stays."""
    fields = content.knowledge.kit_fields
    optional = {name for name, field in fields.items() if not field.required}

    def kit(record):
        kept = {name: held for name, held in record.fields.items() if name not in optional or pick.random() > share}
        kept |= {name: record.fields[name] for name in ("several", "cushioned", "friction_surfaces", "made_for")}
        return dataclasses.replace(record, fields=kept)

    def car(record):
        keep = ("id", "title", "invented", "stock.clutch", "spline", "bolt_pattern")
        kept = {name: held for name, held in record.fields.items() if name in keep or pick.random() > share}
        return dataclasses.replace(record, fields=kept)

    return dataclasses.replace(
        content, kits=tuple(map(kit, content.kits)), platforms=tuple(map(car, content.platforms))
    )
