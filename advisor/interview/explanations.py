"""The explanations at hand inside the interview: each is the explaining room's, on the answers so far."""

from ..deciding.advise import advise
from ..errors import InputError


def answer(order, rest, decider, state, teller, width):
    """The text for an order (explain, why-not, what-would-change) and what stands after it.

    InputError for a kit nobody knows.
    """
    from ..explaining.view import View

    case = state.as_case()
    view = View(advise(decider, case), teller.wording)
    return "\n".join(_ANSWERS[order](view, rest, decider, case, _plain(teller), width))


def what_if(told, decider, state, teller, width):
    """What changes with other answers (Saids); the interview itself is not changed."""
    from ..explaining import what_if as asked

    data, _, after = asked.what_if(decider, state.as_case(), {one.fact: one.value for one in told}, teller.system)
    return "\n".join(asked.what_if_lines(after, data, width, _plain(teller)))


def _plain(teller):
    from ..explaining.trade_words import PlainWords

    return PlainWords() if teller.plain else None


def _explain(view, rest, decider, case, plain, width):
    from ..explaining import sensitivity, why

    if rest not in ("", "1", "2", "3", "edge"):
        raise InputError(
            f"explain {rest} is not known.", value=rest, remedy="Write explain, explain 2, explain 3 or explain edge."
        )
    lines = why.why_lines(view, why.why(view, int(rest) if rest.isdigit() else 1), width, plain)
    if rest == "edge" and view.pick:
        lines += sensitivity.sensitivity_lines(view, sensitivity.sensitivity(view, decider, case), width, plain)
    return lines


def _why_not(view, rest, decider, case, plain, width):
    from ..explaining import naming, why_not

    if not view.kits:
        return ["No kit is judged yet: more answers are needed."]
    meant = naming.meant(view, rest)
    if meant.kit == view.pick:
        return [f"{view.wording.title(meant.kit)} is the pick."]
    lines = [meant.said] if meant.said else []
    return lines + why_not.why_not_lines(view, why_not.why_not(view, meant.kit), width, plain)


def _what_would_change(view, rest, decider, case, plain, width):
    from ..explaining import naming, what_would_change

    if not view.kits:
        return ["No kit is judged yet: more answers are needed."]
    kit = naming.meant(view, rest).kit if rest else None
    return what_would_change.what_would_change_lines(
        view, what_would_change.what_would_change(view, decider, decider.decide(case), kit), width, plain
    )


_ANSWERS = {"explain": _explain, "why-not": _why_not, "what-would-change": _what_would_change}
