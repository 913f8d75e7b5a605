"""Answers what is asked of an advice in plain words, in one or two sentences from its record: how heavy it is, what it
costs, whether a flywheel is needed, why not the cheaper one, what if the boost goes up. What the record does not hold
it says, and names the two nearest questions.

example:
  advisor ask scenarios/cases/mild-street-tune.yaml "how heavy is the pedal?"
  advisor ask decided.json "why not the cheaper one" "what if it makes 480 Nm next year"
"""

from argparse import ArgumentParser, Namespace

from . import explained, opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, decision record, or - for a case on standard input")
    parser.add_argument("question", metavar="QUESTION", nargs="+", help="what is asked, as it is said")
    explained.add(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0."""
    from ..explaining.answers_back import AnswersBack
    from ..explaining.layout import paragraph
    from ..interview.supposed import supposing

    about = explained.named(arguments)
    worded, decider, case = about.worded, about.decider, about.case
    suppose = supposing(decider.knowledge, decider.shop.platforms, case.platform, worded.wording)
    answers = AnswersBack(worded, decider, case, suppose)
    answered = [{"question": text, "sentences": answers.answer(text)} for text in arguments.question]
    plain = explained.plain_words(arguments)
    lines = []
    for exchange in () if arguments.json else answered:
        if len(answered) > 1:
            lines.append(exchange["question"])
        lines.append(paragraph(exchange["sentences"], opening.width()))
        lines += [paragraph(plain.after(exchange["sentences"]), opening.width(), "  ")] if plain else []
    explained.show(arguments, worded, "ask", {"answers": answered}, lines)
    return 0
