"""One test of many like things, where a test for each would cost more than what it looks at.

What fails is told by name, all of it; the things are gathered when the test runs, not when tests are collected.
"""

import pytest


def each(named):
    """Makes a test of a check: it is called with every thing that ``named()`` gives as (name, thing).

    Other arguments of the check are not fixtures: there are none.
    """

    def made(check):
        def test():
            count, wrong = 0, []
            for name, thing in named():
                count += 1
                try:
                    check(thing)
                except Exception as error:
                    wrong.append(f"{name}: {type(error).__name__}: {error}")
            assert count, "there is nothing to look at"
            if wrong:
                pytest.fail(f"{len(wrong)} of {count}\n" + "\n".join(wrong), pytrace=False)

        test.__name__, test.__qualname__, test.__module__ = check.__name__, check.__qualname__, check.__module__
        test.__doc__ = check.__doc__
        return test

    return made
