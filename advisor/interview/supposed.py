"""What a caller supposes ("the boost goes to 1.4 bar next year"), read into answers to decide the case again with."""

from collections.abc import Callable, Sequence

from ..errors import InputError
from ..explaining.answers_back import Supposed
from ..explaining.what_if import read_changes
from ..knowledge.model import Knowledge
from ..knowledge.records import Record
from ..knowledge.wording import Wording
from ..listening.saying import Saying
from ..listening.understanding import Listener


def supposing(
    knowledge: Knowledge, platforms: Sequence[Record], car: str, wording: Wording
) -> Callable[[str], Supposed]:
    """The function that reads what is supposed about one car: as ``name=value``, else as people say it."""
    listener, saying = Listener(knowledge, platforms), Saying(wording)

    def suppose(text: str) -> Supposed:
        if "=" in text:
            return Supposed(read_changes([text], knowledge))
        try:
            understood = listener.understand(text, "", car, supposed=True)
        except InputError as error:
            return Supposed({}, f"{error.what} {error.remedy}".strip())
        answers = {heard.fact: heard.value for heard in understood.facts}
        if answers:
            return Supposed(answers)
        near = [saying.fact(reading) for asked in understood.asks for reading in asked.readings][:2]
        return Supposed({}, f"What that would be is not understood; nearest: {' or '.join(near)}." if near else "")

    return suppose
