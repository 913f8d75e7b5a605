"""The C module of durable-rules, driven directly: one rule set, and a session of its own for each case.

The library's own host runs actions in background threads, frees nothing and does not survive a fork, so it is
not used. Nor are facts taken back: where two of them have met in one match, the library, taking back the second,
reads and may write beyond that match (``deleteMessageFromFrame`` in its state.c), now and then to the ruin of the
process. The whole session is thrown away instead. Texts of rules and facts come from `patterns`, which writes only
forms that were proved safe.
"""

import contextlib
import itertools
import os
import weakref
from collections.abc import Iterable

from ..errors import EngineError

_OBSERVED = 2
#: A rule that fires once before anything else: deleting a session in which nothing ever fired stops the process.
WARM_UP_RULE = '"0":{"all":[{"p0":{"$and":[{"warm":1}]}}]}'
_WARM_UP_FACT = '[{"id":"warm","warm":1}]'
_numbers = itertools.count()


class Session:
    """A rule set and its one session. ``rules`` are JSON members ``"number":{...}`` numbered from 1."""

    def __init__(self, rules: Iterable[str]) -> None:
        import durable_rules_engine

        self._engine = durable_rules_engine
        name = f"clutch-{os.getpid()}-{next(_numbers)}"
        self._handle = self._call("create_ruleset", name, "{" + ",".join((WARM_UP_RULE, *rules)) + "}")
        self._offset: int | None = None
        self._warm_up()
        # Not at exit of the program: the module may be half gone by then, and the memory goes anyway.
        self._release = weakref.finalize(self, _release, self._engine, self._handle)
        self._release.atexit = False

    def fire(self, facts: Iterable[str]) -> list[int]:
        """Assert ``facts`` (JSON objects) together; give the numbers of all rules that fire, in firing order."""
        if self._offset is None:
            self._warm_up()
        code, offset = self._call("assert_facts", self._handle, "[" + ",".join(facts) + "]")
        if code == _OBSERVED:
            raise EngineError("durable-rules took a fact for one it already held.", remedy="Decide the case again.")
        return self._drain(offset)

    def drop(self) -> None:
        """Throw the session away, whatever state a case or an exception left it in; the next case gets a new one."""
        if self._offset is not None:
            self._offset = None
            self._call("delete_state", self._handle, "0")

    def close(self) -> None:
        """Free the rule set; the session cannot be used again."""
        self._release()

    def _warm_up(self):
        code, offset = self._call("assert_facts", self._handle, _WARM_UP_FACT)
        if code or self._drain(offset) != [0]:
            raise EngineError("durable-rules did not fire its first rule.", remedy="Reinstall durable-rules.")
        self._offset = offset

    def _drain(self, offset):
        fired = []
        begun = self._call("start_action_for_state", self._handle, offset)
        message = begun and begun[1]
        while message:
            # The message begins {"number":{ and is not parsed further.
            fired.append(int(message[2 : message.index('"', 2)]))
            message = self._call("complete_and_start_action", self._handle, offset)
        return fired

    def _call(self, name, *arguments):
        try:
            return getattr(self._engine, name)(*arguments)
        except Exception as error:
            raise EngineError(
                f"durable-rules stopped in {name}: {error}.",
                remedy="The plain chainer still decides; keep the case and report it.",
            ) from error


def _release(engine, handle):
    for free in (lambda: engine.delete_state(handle, "0"), lambda: engine.delete_ruleset(handle)):
        with contextlib.suppress(Exception):  # a session already dropped; nothing is left to free
            free()
