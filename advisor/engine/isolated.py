"""An evaluator in a process of its own, so that a crash of the C library ends that process and not the program.

The process is forked on first use (where there is no fork, started anew) and kept for the next case. If it
dies, or does not answer in time, the caller gets one EngineError; the next case gets a new process.
"""

import gc
import multiprocessing
import os
import signal
from collections.abc import Collection
from typing import Any

from ..errors import AdvisorError, EngineError
from .derivation import Derivation, Facts
from .tracing import Evaluator, Recorder, Tracer, replay

#: No case takes a hundredth of this; a longer wait is an endless loop in the library.
SECONDS = 60


class IsolatedEvaluator:
    """``evaluator`` behind the same interface, in another process."""

    def __init__(self, evaluator: Evaluator, seconds: float = SECONDS) -> None:
        self.name = evaluator.name
        self._evaluator, self._seconds = evaluator, seconds
        self._process: Any = None
        self._pipe: Any = None
        self._owner: int | None = None

    def __del__(self) -> None:
        self._stop()

    def derive(self, facts: Facts, answered: Collection[str] = frozenset(), tracer: Tracer | None = None) -> Derivation:
        """As the evaluator's own; EngineError where its process died."""
        if self._process is None or self._owner != os.getpid():
            # A forked copy of the program must not talk into the pipe of the original.
            self._start()
        try:
            self._pipe.send((dict(facts), frozenset(answered), tracer is not None))
            if not self._pipe.poll(self._seconds):
                self._stop()
                raise self._fault(f"did not answer within {self._seconds} seconds and was ended")
            events, outcome = self._pipe.recv()
        except (EOFError, BrokenPipeError, ConnectionResetError):
            raise self._fault(self._death()) from None
        except BaseException:
            # Interrupted half way: an answer still under way must not be taken for the next one.
            self._stop()
            raise
        if tracer is not None:
            replay(events, tracer)
        if isinstance(outcome, BaseException):
            raise outcome
        return outcome

    def close(self) -> None:
        """End the process; the next case would start another."""
        self._stop()

    def _start(self):
        methods = multiprocessing.get_all_start_methods()
        context: Any = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, self._pipe, self._evaluator), daemon=True)
        self._process.start()
        theirs.close()
        self._owner = os.getpid()

    def _stop(self):
        if self._process is not None and self._owner == os.getpid():
            self._process.kill()
            self._process.join()
            self._pipe.close()
        self._process = self._pipe = None

    def _death(self):
        self._process.join()
        code = self._process.exitcode
        self._stop()
        if code is not None and code < 0:
            return f"stopped with signal {signal.Signals(-code).name}"
        return f"stopped with exit code {code}"

    def _fault(self, how):
        return EngineError(
            f"the engine {self.name} {how}.",
            remedy="No decision is given; the case is untouched. Decide it again, and report it if it happens again.",
        )


def _serve(pipe, other_end, evaluator):
    """The other process: answer cases until the program goes away."""
    other_end.close()
    # What the program had made before is looked through for rings no more: every page of it would be copied for that.
    gc.freeze()
    # An interrupt at the terminal reaches both processes; the program ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # What a dying C library writes would stand beside the one error the program gives.
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    while True:
        try:
            facts, answered, traced = pipe.recv()
        except (EOFError, OSError):
            return
        recorder = Recorder() if traced else None
        try:
            outcome = evaluator.derive(facts, answered, recorder)
        except AdvisorError as error:
            # The cause may hold what cannot be sent; its words are in the error already.
            error.__cause__ = error.__context__ = None
            outcome = error.with_traceback(None)
        except Exception as error:
            outcome = EngineError(f"the engine {evaluator.name} stopped with {type(error).__name__}: {error}.")
        pipe.send((recorder.events if recorder else (), outcome))
