"""Work that an interrupt at the terminal must not break into."""

import contextlib
import signal
from collections.abc import Iterator


@contextlib.contextmanager
def uninterrupted() -> Iterator[None]:
    """An interrupt waits for the end of what is done here; processes begun within never see one.

    Where the system has no such thing interrupts come as ever.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
