"""The line of requests before the one thread: whoever would wait too long in it is told so at once.

His page is made before the others, since it costs nothing: it says when to try again, and holds what he typed. How long
a wait would be is told from the line and from how long pages took of late, so it holds on a slow machine too.
"""

import time
from typing import Any

from waitress.channel import HTTPChannel
from waitress.task import ThreadedTaskDispatcher, WSGITask

#: Where the application finds the seconds that a request it should turn away would have waited.
TURNED_AWAY = "advisor.would_wait"
#: Seconds that nobody should wait for a page (people give up, and programs between may, at 30); a line so short is no
#: line, however slow its pages were.
LONGEST, SHORT = 10.0, 4
#: Seconds a page is thought to take before any was made, and the weight of each new one in the running mean.
FIRST_GUESS, WEIGHT = 0.3, 0.1
#: What costs nothing to make and is needed to tell how things stand.
FIRST_SERVED = ("/static/", "/healthz")


class WaitingLine(ThreadedTaskDispatcher):
    """The line; ``longest``: seconds that anybody may wait in it."""

    def __init__(self, longest: float = LONGEST) -> None:
        super().__init__()
        self.longest, self.page_seconds = longest, FIRST_GUESS

    def add_task(self, channel: Any) -> None:
        """Line a request up: at the end; or at the front where it is turned away or costs nothing."""
        with self.lock:
            wait = len(self.queue) * self.page_seconds
            first = channel.requests[0].path.startswith(FIRST_SERVED)
            channel.would_wait = wait if not first and len(self.queue) >= SHORT and wait > self.longest else 0.0
            if first or channel.would_wait:
                self.queue.appendleft(channel)
            else:
                self.queue.append(channel)
            self.queue_cv.notify()

    def took(self, seconds: float) -> None:
        """A page was made in so many seconds."""
        with self.lock:
            self.page_seconds += WEIGHT * (seconds - self.page_seconds)


class _Page(WSGITask):
    def get_environment(self) -> dict[str, Any]:
        environ: dict[str, Any] = super().get_environment()
        if self.channel.would_wait:
            environ[TURNED_AWAY] = self.channel.would_wait
        return environ

    def execute(self) -> None:
        began = time.monotonic()
        super().execute()
        if not self.channel.would_wait:
            self.channel.server.task_dispatcher.took(time.monotonic() - began)


class _Connection(HTTPChannel):
    task_class = _Page
    would_wait = 0.0


def lined_up(server: Any, longest: float = LONGEST) -> Any:
    """A server whose requests stand in such a line before its one thread."""
    server.task_dispatcher.shutdown()
    server.task_dispatcher = WaitingLine(longest)
    server.task_dispatcher.set_thread_count(1)
    server.channel_class = _Connection
    return server
