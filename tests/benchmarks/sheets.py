"""Sheets: time for one of each kind and form, and that other commands start as fast where nothing that draws is there.

Times are CPU seconds; ratios are medians over rounds in which both sides take turns.
"""

import os
import statistics
import sys
import tempfile
import time

from advisor.deciding.advise import advise
from advisor.deciding.decide import decider_of
from advisor.knowledge import load, sources
from advisor.reporting.sheets import sheet

from .start import CASE, cpu

#: Everybody a sheet is made for.
AUDIENCES = ("customer", "fitter", "lead")
DRAWING = ("jinja2", "markupsafe", "matplotlib", "weasyprint", "PIL")
#: The same command with the drawing libraries in place, and with their import made impossible.
PLAIN = "import sys; from advisor.cli import main; sys.exit(main(sys.argv[1:]))"
WITHOUT = f"import sys; sys.modules.update(dict.fromkeys({DRAWING!r})); " + PLAIN.partition("; ")[2]
BARE = {
    "html": "import jinja2, matplotlib.figure, matplotlib.backends.backend_svg",
    "pdf": "import jinja2, matplotlib.figure, matplotlib.backends.backend_svg, weasyprint",
}


def rendering(rounds, audiences=AUDIENCES):
    """CPU seconds of one sheet, libraries loaded, by reader and form."""
    content = sources.read(sources.Sources.chosen(), cache=False)
    decider = decider_of(content)
    made = advise(decider, load.case(CASE, content.knowledge))
    words, rows = decider.shop.wording(decider.knowledge), []
    for audience in audiences:
        for form in sheet.FORMATS:
            taken = []
            for _ in range(rounds + 1):
                start = time.process_time()
                finished = sheet.sheet(made, words, audience, form)
                taken.append(time.process_time() - start)
            # The first round loads libraries and typefaces; the whole command is the other table.
            rows.append(
                {
                    "for": audience,
                    "form": form,
                    "CPU s": round(statistics.median(taken[1:]), 3),
                    "kB": round(len(finished) / 1000),
                }
            )
    return rows


def _turns(name, first, second, environment, rounds):
    if rounds > 1:
        cpu(first, environment)
        cpu(second, environment)
    ours, others = [], []
    for _ in range(rounds):
        ours.append(cpu(first, environment))
        others.append(cpu(second, environment))
    return {
        "command": name,
        "CPU s": round(statistics.median(ours), 3),
        "other CPU s": round(statistics.median(others), 3),
        "ratio": round(statistics.median(one / other for one, other in zip(ours, others)), 3),
    }


def commands(rounds, environment):
    """Whole commands against the bare import of the libraries they need."""
    rows = []
    for form, bare in BARE.items():
        command = [sys.executable, "-m", "advisor", "sheet", CASE, "--format", form]
        rows.append(
            _turns(
                f"sheet --format {form} against its libraries alone",
                command,
                [sys.executable, "-c", bare],
                environment,
                rounds,
            )
        )
    return rows


def start_up(rounds, environment):
    """Other commands with the drawing libraries installed, against the same with their import made impossible."""
    rows = []
    for arguments in (["recommend", CASE], ["rules", "list"], ["worksheet", "end-float", "before=0.1 mm"]):
        sides = ([sys.executable, "-c", script, *arguments] for script in (PLAIN, WITHOUT))
        rows.append(_turns(f"{arguments[0]}, libraries there against not there", *sides, environment, rounds))
    return rows


def tables(smoke=False):
    """title -> rows; a smoke run only shows that everything still runs."""
    rounds = 1 if smoke else 9
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "XDG_CACHE_HOME": folder, "XDG_DATA_HOME": folder}
        environment.pop("LEAST_CLUTCH_NO_CACHE", None)
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        return {
            "one sheet": rendering(1, AUDIENCES[:1]) if smoke else rendering(5),
            "sheet commands": commands(rounds, environment),
            "start-up of other commands": start_up(rounds, environment),
        }
