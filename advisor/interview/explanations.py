"""The explanations at hand inside the interview: each is the explaining room's, on the answers so far."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..deciding.advise import advise
from ..errors import InputError
from ..explaining.answers_back import AnswersBack
from ..explaining.layout import paragraph
from ..explaining.worded import WordedRecord
from .supposed import supposing

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from .prompts import Teller
    from .state import Said, State


def answer(order: str, rest: str, decider: "Decider", state: "State", teller: "Teller", width: int) -> str:
    """The text for an order (explain, why-not, what-would-change) and what stands after it.

    InputError for a kit nobody knows.
    """
    case = state.as_case()
    worded = WordedRecord(advise(decider, case), teller.wording)
    return "\n".join(_ANSWERS[order](worded, rest, decider, case, _plain(teller), width))


def what_if(answers: "Sequence[Said]", decider: "Decider", state: "State", teller: "Teller", width: int) -> str:
    """What changes with other answers (Saids); the interview itself is not changed."""
    from ..explaining import what_if as asked

    data, _, after = asked.what_if(
        decider,
        state.as_case(),
        {
            answer.fact: None if answer.unknown else answer.answer if answer.low is not None else answer.value
            for answer in answers
        },
        teller.system,
    )
    return "\n".join(asked.what_if_lines(after, data, width, _plain(teller)))


def asked(text: str, decider: "Decider", state: "State", teller: "Teller", width: int) -> str:
    """One or two sentences on what is asked of the advice as it stands."""
    case = state.as_case()
    # Without the search for what would have to change, which takes long and of which none of the answers speak.
    worded = WordedRecord(advise(decider, case, with_changes=False), teller.wording)
    suppose = supposing(decider.knowledge, decider.shop.platforms, case.platform, teller.wording)
    sentences = AnswersBack(worded, decider, case, suppose).answer(text)
    plain = _plain(teller)
    return "\n".join(
        paragraph(sentence, width) for sentence in (sentences, plain.after(sentences) if plain else ()) if sentence
    )


def _plain(teller):
    from ..explaining.trade_words import PlainWords

    return PlainWords() if teller.plain else None


def _explain(worded, rest, decider, case, plain, width):
    from ..explaining import sensitivity, why

    if rest not in ("", "1", "2", "3", "edge"):
        raise InputError(
            f"explain {rest} is not known.", value=rest, remedy="Write explain, explain 2, explain 3 or explain edge."
        )
    lines = why.why_lines(worded, why.why(worded, int(rest) if rest.isdigit() else 1), width, plain)
    if rest == "edge" and worded.pick:
        lines += sensitivity.sensitivity_lines(worded, sensitivity.sensitivity(worded, decider, case), width, plain)
    return lines


def _why_not(worded, rest, decider, case, plain, width):
    from ..explaining import kit_meant, why_not

    if not worded.kits:
        return ["No kit is judged yet: more answers are needed."]
    meant = kit_meant.meant(worded, rest)
    if meant.kit == worded.pick:
        return [f"{worded.wording.title(meant.kit)} is the pick."]
    lines = [meant.said] if meant.said else []
    return lines + why_not.why_not_lines(worded, why_not.why_not(worded, meant.kit), width, plain)


def _what_would_change(worded, rest, decider, case, plain, width):
    from ..explaining import kit_meant, what_would_change

    if not worded.kits:
        return ["No kit is judged yet: more answers are needed."]
    kit = kit_meant.meant(worded, rest).kit if rest else None
    return what_would_change.what_would_change_lines(
        worded, what_would_change.what_would_change(worded, decider, decider.decide(case), kit), width, plain
    )


_ANSWERS = {"explain": _explain, "why-not": _why_not, "what-would-change": _what_would_change}
