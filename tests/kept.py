"""For tests of what commands say: what was read, opened and advised in this process before is taken as it was.

The same answers by the same knowledge give the same record, byte for byte, which tests of deciding hold; reading has
its own tests too. So a command that runs in the test's process need not do either again on the shipped rules and shop.
"""

import functools

from advisor.commands import opening
from advisor.deciding import advise as advising, decide as deciding
from advisor.knowledge.sources import Sources

from . import shipped

#: The advices given so far: by the decider, which stays to the end, and the case and the options as they are written.
_ADVISED = {}


@functools.cache
def decider():
    """Decides by the shipped content with both engines."""
    return deciding.decider_of(shipped.content())


def share(monkeypatch):
    """For one test, commands on the shipped content use what there is; any other content is read and decided."""
    content, both = shipped.content(), decider()
    read, opened, advised = opening.open_content, deciding.decider_of, advising.advise

    def open_content(arguments):
        return content if opening.sources_of(arguments) == Sources.chosen() else read(arguments)

    def decider_of(given, *, isolated=False):
        return both if given is content and not isolated else opened(given, isolated=isolated)

    monkeypatch.setattr(opening, "open_content", open_content)
    monkeypatch.setattr(deciding, "decider_of", decider_of)
    monkeypatch.setattr(advising, "advise", _advised_once(both, advised))


def share_advice(monkeypatch):
    """For one test, an interview with the plain decider over the shipped content advises a state of answers once."""
    from advisor.interview import explanations

    once = _advised_once(shipped.plain_decider(), advising.advise)
    monkeypatch.setattr(advising, "advise", once)
    monkeypatch.setattr(explanations, "advise", once)


def _advised_once(decider, advised):
    """What advises as ``advised`` does, by ``decider`` every case only once."""

    def advise(given, case, **options):
        if given is not decider:
            return advised(given, case, **options)
        key = id(decider), repr((case, sorted(options.items())))
        if key not in _ADVISED:
            _ADVISED[key] = advised(given, case, **options)
        return _ADVISED[key]

    return advise
