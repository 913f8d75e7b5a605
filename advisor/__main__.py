"""``advisor`` and ``python -m advisor``: the command as a program of its own, with its streams and signals.

Whatever becomes of the streams or of the program from outside ends in one line and nothing left behind: exit code 2
where a stream cannot be read or written, 130 after an interrupt, 128 and the signal's number after another signal
that asks the program to end. A reader that goes away is no fault.
"""

import atexit
import contextlib
import errno
import gc
import io
import os
import signal
import sys
from typing import Any, NoReturn, TextIO

#: Commands that decide a case or two and end.
BRIEF = frozenset(
    ("recommend", "why", "why-not", "what-if", "what-would-change", "ask", "sheet", "quote", "worksheet", "calculate")
)
#: Objects a brief command makes, beyond those it lets go, before rings among them are looked for. A case on the
#: demonstration's shop makes fewer, so that nothing is looked through that ends with the program anyway; and however
#: large a shop is, no more than so many (some tens of megabytes) can wait.
LOOKED_FOR_RINGS = 300_000
#: Signals that ask a program to end; the first is an interrupt, for which Python has an error of its own.
ASKING_TO_END = ("SIGINT", "SIGTERM", "SIGHUP")


class Ended(SystemExit):
    """A signal asked the program to end."""


class Closed(io.TextIOBase):
    """Standard output that was closed before the program began: whoever writes to it is told."""

    encoding = "utf-8"

    @property
    def buffer(self) -> Any:
        """Bytes are refused as text is."""
        return self

    def write(self, _: object) -> int:
        """OSError."""
        raise OSError(errno.EBADF, "it is closed")


class Forgiving:
    """Standard error that cannot be written is no reason to give up what goes to standard output."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)

    def write(self, text: str) -> int:
        """The length of the text, written or not."""
        with contextlib.suppress(OSError, ValueError):
            self._stream.write(text)
        return len(text)

    def flush(self) -> None:
        """Write out what can be."""
        with contextlib.suppress(OSError, ValueError):
            self._stream.flush()


def run() -> NoReturn:
    """Run the command of the command line, and end.

    A brief command ends at once when all is written and every exit handler was called: to take its two hundred thousand
    objects apart one by one, only to give all memory back, would take as long as to make up its card.
    """
    code = program()
    if BRIEF.intersection(sys.argv[1:2]) and not _observed():
        atexit._run_exitfuncs()
        _let_go()
        os._exit(code & 0xFF)
    sys.exit(code)


def _observed():
    """Whether somebody may want to see how the interpreter ends, or something else still runs in it."""
    watched = sys.gettrace() or sys.getprofile() or sys.flags.inspect or sys.flags.dev_mode
    threads = sys.modules.get("threading")
    return bool(watched) or (threads is not None and threads.active_count() > 1)


def program() -> int:
    """Run the command of the command line; the exit code."""
    try:
        _prepare()
        if sys.flags.optimize > 1:
            return _ended("the formulas' documentation is read as data here. Start Python without -OO.", 2)
        if BRIEF.intersection(sys.argv[1:2]):
            gc.set_threshold(LOOKED_FOR_RINGS)
        from .cli import main

        code = main()
        sys.stdout.flush()
    except KeyboardInterrupt:
        code = _ended("stopped.", 130)
    except Ended as end:
        code = _ended("stopped.", end.code)
    except BrokenPipeError:
        code = 0
    except OSError as error:
        code = _ended(f"standard output cannot be written: {error.strerror or error}.", 2)
    for name in (*ASKING_TO_END, "SIGALRM"):
        with contextlib.suppress(AttributeError, ValueError, OSError):  # what is left of the way to the end is short
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    _let_go()
    return code


def _prepare():
    """Streams that can be used, whatever they were closed or set to, and signals that clean up."""
    # No matrix here is so large that threads would gain anything; to start them costs more than all its work.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for descriptor in range(3):
        try:
            os.fstat(descriptor)
        except OSError:
            # Else the next file opened would be taken for the missing stream.
            os.open(os.devnull, os.O_RDWR)
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115  stays open as long as the program
    if sys.stdout is None:
        sys.stdout = Closed()
    elif hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="backslashreplace")
    sys.stderr = Forgiving(sys.stderr or open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115  likewise
    for name in ASKING_TO_END[1:]:
        # What was told to ignore a signal (nohup) goes on doing so.
        if hasattr(signal, name) and signal.getsignal(getattr(signal, name)) == signal.SIG_DFL:
            signal.signal(getattr(signal, name), _end)

    sys.unraisablehook = _told_again


def _told_again(unraisable):
    """A request to end that came where nothing can be raised (while something is let go) is made again in a moment."""
    wanted = unraisable.exc_value
    if not isinstance(wanted, (Ended, KeyboardInterrupt)) or not hasattr(signal, "setitimer"):
        sys.__unraisablehook__(unraisable)
        return

    def again(_, __):
        raise type(wanted)(*wanted.args)

    signal.signal(signal.SIGALRM, again)
    signal.setitimer(signal.ITIMER_REAL, 0.01)


def _end(number, _):
    signal.signal(number, signal.SIG_IGN)
    raise Ended(128 + number)


def _ended(text, code):
    sys.stderr.write(f"advisor: {text}\n")
    return code


def _let_go():
    """Write out what is left; where that cannot be, the interpreter must not try again and complain."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    sys.stderr.flush()
    # Nothing is looked through for rings of objects once more, only to be let go with everything else.
    gc.freeze()


if __name__ == "__main__":
    run()
