"""For tests of what commands say: what was read, opened and advised in this process before is taken as it was.

The same answers by the same knowledge give the same record, byte for byte, which tests of deciding hold; reading has
its own tests too. So a command that runs in the test's process need not do either again on the shipped rules and shop.
"""

import functools

from advisor.commands import opening
from advisor.deciding import advise as advising, decide as deciding
from advisor.knowledge.sources import Sources

from . import shipped

#: The advices given so far: by the case and the options, as they are written.
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

    def advise(given, case, **options):
        if given is not both:
            return advised(given, case, **options)
        key = repr((case, sorted(options.items())))
        if key not in _ADVISED:
            _ADVISED[key] = advised(given, case, **options)
        return _ADVISED[key]

    monkeypatch.setattr(opening, "open_content", open_content)
    monkeypatch.setattr(deciding, "decider_of", decider_of)
    monkeypatch.setattr(advising, "advise", advise)
