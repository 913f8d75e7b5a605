"""A process forked from this one and asked as `subprocess.Popen` is: it begins at once, with what is imported here."""

import os
import signal
import sys
import time
import traceback


class Forked:
    """Runs ``run()``, whose value is its exit code, and ends.

    What it writes goes to the file number ``out``; to the pipes ``stdout`` and ``stderr`` where there is none.
    """

    def __init__(self, run, out=None):
        self.returncode, self.stdout, self.stderr = None, None, None
        pipes = [os.pipe(), os.pipe()] if out is None else []
        sys.stdout.flush()
        sys.stderr.flush()
        self.pid = os.fork()
        if self.pid == 0:
            _end_with(run, [written for _, written in pipes] or [out, out])
        for _, written in pipes:
            os.close(written)
        if pipes:
            self.stdout, self.stderr = (os.fdopen(read, encoding="utf-8") for read, _ in pipes)

    def poll(self):
        """The exit code, None while it runs."""
        if self.returncode is None:
            ended, status = os.waitpid(self.pid, os.WNOHANG)
            self.returncode = os.waitstatus_to_exitcode(status) if ended else None
        return self.returncode

    def wait(self, patience):
        """The exit code once it has ended; TimeoutError where it does not in so many seconds."""
        until = time.monotonic() + patience
        while self.poll() is None:
            if time.monotonic() > until:
                raise TimeoutError(f"process {self.pid} does not end")
            time.sleep(0.005)
        return self.returncode

    def communicate(self):
        """(what is left of its output, its complaints) once it has ended."""
        with self.stdout, self.stderr:
            told = self.stdout.read(), self.stderr.read()
        if self.returncode is None:
            self.returncode = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        return told

    def send_signal(self, number):
        """Send it a signal, where it still runs."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self):
        """End it at once."""
        self.send_signal(signal.SIGKILL)


def _end_with(run, outs):
    """Never returns: nothing of what this process was about to do is done by the fork as well."""
    code = 1
    try:
        os.setsid()
        for number, out in zip((1, 2), outs):
            os.dup2(out, number)
        sys.stdout, sys.stderr = (
            open(number, "w", buffering=1, encoding="utf-8", closefd=False)  # noqa: SIM115
            for number in (1, 2)
        )
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, signal.SIG_DFL)
        code = run()
    except BaseException:
        traceback.print_exc()
    finally:
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        os._exit(code)
