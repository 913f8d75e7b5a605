"""The sub-commands of ``advisor case`` for what is heard after the sale: complaints, outcomes, who to ask."""

import datetime
import json
from collections.abc import Callable
from typing import Any

from ..casebook import afterwards, entries, shape
from ..knowledge.sentences import wrap
from . import complaint, opening


def add(action: Callable[..., Any]) -> None:
    """The sub-commands; ``action`` adds one, as in `commands.case`."""
    subparser = action("complaint", "a complaint about what was sold", run_complaint, write=True, case=True)
    complaint.add_told(subparser)
    subparser.add_argument("--by", default="", metavar="WHO", help="who took the complaint")
    subparser.add_argument("--new", action="store_true", help="another complaint: do not go on with the last one")
    opening.add_sources(subparser)
    outcome = action("outcome", "what became of it", run_outcome, write=True, case=True, output=False)
    outcome.add_argument("result", choices=tuple(afterwards.RESULTS), help="what became of it")
    outcome.add_argument("--torque", metavar="TORQUE", help="hardest load held, or the load it slipped at, as 430Nm")
    outcome.add_argument("--torque-at", choices=shape.TORQUE_AT, help="where that was measured")
    outcome.add_argument("--source", metavar="WHOSE", help="whose figure it is, as the name of a test bed")
    outcome.add_argument("--km", metavar="READING", help="what the car has run, as 84000")
    outcome.add_argument("--state", choices=shape.STATES, default="bedded", help="how it was tried (default: bedded)")
    outcome.add_argument(
        "--fitting", choices=shape.FITTINGS, default="not_recorded", help="what is known of the fitting"
    )
    outcome.add_argument(
        "--cause", metavar="CAUSE", help="what a slip was found to come from (default: the complaint's)"
    )
    outcome.add_argument("--came", choices=shape.CAME, default="", help="asked, or came by himself")
    outcome.add_argument("--on", metavar="DATE", help="the day, as 2026-01-31 (default: today)")
    outcome.add_argument("--correct", action="store_true", help="it replaces the outcome last written down")
    outcome.add_argument("--by", default="", metavar="WHO", help="who writes it down")
    asked = action("asked", "that a buyer was asked", run_asked, write=True, case=True, output=False)
    asked.add_argument("--due", choices=shape.DUE, default="", help="after bedding in, or after a year")
    asked.add_argument("--on", metavar="DATE", help="the day, as 2026-01-31 (default: today)")
    asked.add_argument("--by", default="", metavar="WHO", help="who asked")
    due = action("due", "buyers to ask", run_due)
    due.add_argument("--on", metavar="DATE", help="due by this day (default: today)")
    due.add_argument("--sheet", metavar="ID", help="the page to ask that buyer with")


def run_complaint(arguments: Any) -> int:
    """Weigh a complaint with what the case knows, keep it, show it."""
    from ..casebook.kept_files import Files, content as content_of
    from ..complaints.as_sold import NOT_SOLD_HERE, sold_from

    desk = complaint.Desk(arguments)
    if arguments.symptoms:
        return desk.list_symptoms()
    files = Files.of(opening.sources_of(arguments))
    with opening.book_of(arguments, write=False) as book:
        number = book.number_of(arguments.id)
        history, called = book.history(number), book.called(number)
        heard = afterwards.aftermaths(history)
        decision = book.sold(number)
        sale = heard[-1].sale if heard else None
        if sale is not None:
            decision = next(entry for entry in history if entry.number == sale.entry.body["of"])
        sold, advised = NOT_SOLD_HERE, ""
        if decision is not None:
            record = book.record(decision)
            kit = sale.kit if sale else record.pick_id or ""
            base = next(entry for entry in history if entry.number == decision.body["of"])
            fields = {kit.id: kit.fields for kit in content_of(book.files_of(base)).kits} if kit else {}
            sold = sold_from(record, desk.knowledge, book.worksheets(number), kit=kit, fields=fields.get(kit))
            advised = record.pick_id or ""
        last = None if arguments.new else afterwards.last_complaint(history)
    symptoms, without = desk.read(arguments.told)
    if last is not None and symptoms.get("complaint", last.body["told"].get("complaint")) == last.body["told"].get(
        "complaint"
    ):
        known = {name: value for name, value in last.body["told"].items() if name in desk.knowledge.symptoms}
        symptoms = {name: _of(desk, name, value) for name, value in known.items()} | symptoms
        without = sorted({*last.body["unknown"], *without} - set(symptoms))
    texts = [f"Case {called}." if sale else f"Case {called}, on which no sale is written down."]
    if sale is not None and not sale.as_advised:
        texts.append(f"Sold was {sale.kit}, not the kit advised ({advised or 'none'}).")
    quiet = arguments.json
    diagnosis, dialog = desk.diagnose(symptoms, without, sold, () if quiet else texts)
    with opening.book_of(arguments) as book:
        afterwards.write_complaint(
            book,
            number,
            signs=dialog.told,
            unknown=dialog.without,
            state=diagnosis.state,
            cause=diagnosis.cause.id if diagnosis.cause else None,
            likely=[standing.cause.id for standing in diagnosis.likely],
            cautions=[caution.id for rule in diagnosis.cautions for caution in rule.cautions],
            rules=desk.knowledge.sha256,
            knowledge=files,
            by=arguments.by,
        )
    code = desk.show(diagnosis, dialog, number=number)
    if not arguments.json:
        opening.say("\n".join(_what_next(called, diagnosis, arguments.at_the_car)))
    return code


def _what_next(called: str, diagnosis: Any, at_the_car: bool) -> list[str]:
    """Where it is kept, and the command that goes on from here."""
    from ..complaints.diagnosis import FOUND

    lines = ["", f"Kept with case {called}."]
    if diagnosis.state != FOUND:
        where = "What is seen at the car goes in with" if at_the_car else "At the car go on with"
        return [*lines, f"{where}: advisor case complaint {called} --at-the-car"]
    result = "slipped" if diagnosis.complaint == "slips" else "returned"
    return [*lines, f"What became of it: advisor case outcome {called} {result} (or held)"]


def _of(desk: complaint.Desk, name: str, value: Any) -> Any:
    return float(value) if desk.knowledge.facts[name].kind == "number" else value


def run_outcome(arguments: Any) -> int:
    """Write an outcome down."""
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        complained = afterwards.last_complaint(book.history(number))
        known_cause = complained.body["cause"] if complained and complained.body["state"] == "found" else None
        cause = arguments.cause or (known_cause if arguments.result in ("slipped", "returned") else None)
        entry = afterwards.write_outcome(
            book,
            number,
            arguments.result,
            came=arguments.came,
            on=arguments.on,
            torque=arguments.torque,
            torque_at=arguments.torque_at,
            km=arguments.km,
            state=arguments.state,
            fitting=arguments.fitting,
            cause=cause,
            source=arguments.source,
            correct=arguments.correct,
            by=arguments.by,
        )
    opening.say(f"Case {called}: {afterwards.in_words(entry)}.")
    if entry.body["result"] == "slipped" and entry.body["cause"] is None:
        opening.say("What it slips from is not found yet; until then it says nothing of the kit.")
        opening.say(f"Next: advisor case complaint {called} slips")
    return 0


def run_asked(arguments: Any) -> int:
    """Write down that a buyer was asked."""
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        due = arguments.due
        if not due:
            heard = afterwards.aftermaths(book.history(number))
            waiting = heard[-1].due(datetime.date.today().isoformat()) if heard else ()
            due = waiting[-1] if waiting else "bedded"
        entry = afterwards.write_asking(book, number, due, on=arguments.on, by=arguments.by)
        called = book.called(number)
    opening.say(f"Case {called}: {afterwards.in_words(entry)}.")
    return 0


def run_due(arguments: Any) -> int:
    """List buyers to ask, or print the page for one."""
    today = entries.day_said(arguments.on) if arguments.on else datetime.date.today().isoformat()
    with opening.book_of(arguments, write=False) as book:
        if arguments.sheet:
            number = book.number_of(arguments.sheet)
            heard = afterwards.aftermaths(book.history(number))
            opening.say(question_sheet(book.called(number), heard[-1] if heard else None, opening.width()))
            return 0
        every = list(afterwards.every_aftermath(book))
        waiting = [
            (aftermath, aftermath.due(today))
            for aftermath in every
            if aftermath.due(today) and aftermath.sale.returned is None
        ]
        called = {aftermath.case: book.called(aftermath.case) for aftermath, _ in waiting}
    asked = [aftermath for aftermath in every if aftermath.askings]
    answered = [aftermath for aftermath in asked if any(entry.body["came"] == "asked" for entry in aftermath.outcomes)]
    if arguments.json:
        data = {
            "due": [
                {"case": aftermath.case, "kit": aftermath.sale.kit, "since": aftermath.fitted_on, "due": list(names)}
                for aftermath, names in waiting
            ],
            "sold": len(every),
            "asked": len(asked),
            "answered": len(answered),
        }
        opening.say_json(json.dumps(data, sort_keys=True, indent=2))
        return 0
    for aftermath, names in waiting:
        opening.say(
            f"{called[aftermath.case]}  {aftermath.sale.kit}, in since {aftermath.fitted_on}: "
            f"ask {' and '.join(map(_when, names))}"
        )
    if not waiting:
        opening.say("Nobody is to be asked today.")
    share = f" ({len(answered) / len(asked):.0%})" if asked else ""
    opening.say(f"{len(every)} sold, {len(asked)} asked, {len(answered)} of them answered{share}.")
    opening.say("Ask everybody, also those nothing is heard of: who is content does not call.")
    return 0


def _when(name: str) -> str:
    return {"bedded": "after bedding in", "year": "after a year"}[name]


def question_sheet(called: str, heard: "afterwards.Aftermath | None", width: int) -> str:
    """One page to read from on the telephone or to send."""
    kit = heard.sale.kit if heard else "the clutch"
    lines = [
        wrap(f"Case {called}: {kit}, in since {heard.fitted_on if heard else '(day not written down)'}", width),
        "",
        wrap("We ask everybody who bought one, whatever became of it; the answers decide what we advise.", width),
        "",
    ]
    questions = (
        (
            "Does it hold, has it slipped, did it come out again, or do you no longer have the car?",
            "held / slipped / returned / sold_on",
        ),
        (
            "What does the engine make now, and who measured it, where? If never: unknown.",
            "torque ____ at flywheel / wheels / estimated, by ____",
        ),
        ("At the hardest it was ever driven: full throttle in a high gear? Trailer? Launches?", "hardest ____"),
        ("How many kilometres has the car now, and had it when the clutch went in?", "km ____ / ____"),
        ("Was it driven gently for the first some hundred kilometres?", "bedded yes / no"),
        ("Who fitted it, and is there a worksheet with measurements?", "measured / not recorded / known bad"),
        ("Pedal, take-up, noise: as you were told, or otherwise?", "____"),
    )
    for place, (question, answer) in enumerate(questions, 1):
        lines += [wrap(f"{place}. {question}", width, "", "   "), wrap(answer, width, "   ", "   "), ""]
    lines.append(
        wrap(
            "If it slips, drags, shakes, knocks or smells now: do not go on driving hard; we look for the cause first.",
            width,
        )
    )
    lines.append(wrap(f"Then: advisor case outcome {called} RESULT --torque ... --km ...", width))
    return "\n".join(lines)
