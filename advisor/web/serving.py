"""The server: one process of one thread, or several of them over one listening socket, each with its own decider.

Threads gain nothing (a decision keeps its processor busy) and a decider serves one at a time. The process that was
started watches over the others: one that dies is started again, and all end when it is told to end, each after the
page it is making.
"""

import contextlib
import os
import signal
import socket
import sys
import time
import traceback
from types import FrameType
from typing import Any

from ..errors import AdvisorError, InputError
from .site import Site

#: Bytes of the largest request the server itself takes: more than the application's, so that its page is what is shown.
LARGEST_BODY, LARGEST_HEADERS = 131_072, 16_384
#: Seconds a connection may be silent; seconds given to a process to end.
SILENT, ENDING = 30, 15
#: A process that lives no longer than this, in seconds, is not started again at once; so many of them in a row are the
#: last.
TOO_SHORT, GIVEN_UP = 5.0, 6


def serve(site: Site, address: str, port: int, processes: int) -> int:
    """Serve until told to stop; the exit code."""
    site.prepare()
    try:
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        listening = socket.create_server((address, port), family=family, backlog=256)
    except OSError as error:
        raise InputError(
            f"{address} port {port} cannot be listened on: {error.strerror or error}.",
            remedy="End what uses it, or name another with --port.",
        ) from None
    shown = listening.getsockname()[1]
    name = f"[{address}]" if ":" in address else address
    sys.stderr.write(
        f"Pages at http://{name}:{shown}/ for customers, http://{name}:{shown}/shop/ for the shop. Ctrl-C ends.\n"
    )
    sys.stderr.flush()
    if processes == 1 or not hasattr(os, "fork"):
        return answer(site, listening)
    return _watch(site, listening, processes)


def answer(site: Site, listening: socket.socket) -> int:
    """One process: answer until told to stop."""
    import waitress
    from waitress import wasyncore

    from .app import application
    from .waiting import lined_up

    app = application(site)
    assert not app.debug
    connections: dict[int, Any] = {}
    server = waitress.create_server(
        app,
        map=connections,
        sockets=[listening],
        threads=1,
        max_request_body_size=LARGEST_BODY,
        max_request_header_size=LARGEST_HEADERS,
        channel_timeout=SILENT,
        ident=None,
        clear_untrusted_proxy_headers=not site.served.proxies,
        connection_limit=200,
    )
    lined_up(server)
    told_to_end: list[int] = []
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda number, frame: told_to_end.append(number))
    site.mine()
    while not told_to_end:
        wasyncore.loop(timeout=0.5, map=connections, count=1)
    # Nobody new is heard; whoever is waiting for a page still gets it.
    for place in [place for place, held in connections.items() if held is server]:
        del connections[place]
    until = time.monotonic() + ENDING
    while _under_way(connections) and time.monotonic() < until:
        wasyncore.loop(timeout=0.1, map=connections, count=1)
    server.task_dispatcher.shutdown()
    return 0


def _under_way(connections: dict[int, Any]) -> bool:
    """Is a page being made, or not sent whole yet?"""
    return any(
        getattr(held, "requests", None) or getattr(held, "total_outbufs_len", 0) for held in connections.values()
    )


def _watch(site: Site, listening: socket.socket, processes: int) -> int:
    """Start the processes and start again those that die, until told to stop."""
    workers: dict[int, float] = {}
    ending = failed = False
    quick = 0

    def end(number: int, frame: FrameType | None) -> None:
        nonlocal ending
        ending = True
        for worker in workers:
            _tell(worker, signal.SIGTERM)

    before: Any = {number: signal.signal(number, end) for number in (signal.SIGTERM, signal.SIGINT)}
    while not ending:
        while len(workers) < processes and not ending:
            worker = os.fork()
            if worker == 0:
                for number, handler in before.items():
                    signal.signal(number, handler)
                code = 1
                try:
                    code = answer(site, listening)
                except AdvisorError as error:
                    sys.stderr.write(f"advisor: {error}\n")
                except Exception:
                    traceback.print_exc()
                finally:
                    sys.stderr.flush()
                    os._exit(code)
            workers[worker] = time.monotonic()
        worker, _ = _reaped()
        if worker and (began := workers.pop(worker, None)) is not None and not ending:
            quick = quick + 1 if time.monotonic() - began < TOO_SHORT else 0
            if quick >= GIVEN_UP:
                sys.stderr.write("advisor: no process stays alive; what it says above is why.\n")
                failed = ending = True
                break
            sys.stderr.write(f"advisor: process {worker} ended; another takes its place.\n")
            if quick:
                time.sleep(1.0)
    until = time.monotonic() + ENDING
    while workers and time.monotonic() < until:
        for worker in list(workers):
            _tell(worker, signal.SIGTERM)
            if os.waitpid(worker, os.WNOHANG)[0]:
                del workers[worker]
        time.sleep(0.05)
    for worker in workers:
        _tell(worker, signal.SIGKILL)
    return int(failed)


def _reaped() -> tuple[int, int]:
    """(process that ended, its status); (0, 0) where none did within a moment."""
    ended = os.waitpid(-1, os.WNOHANG)
    if not ended[0]:
        time.sleep(0.1)
    return ended


def _tell(worker: int, number: int) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.kill(worker, number)
