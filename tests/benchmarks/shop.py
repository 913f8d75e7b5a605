"""A shop's own data by size: import, check and one decision with 200 cars and 20,000 kits, over 8 and 128.

Every command runs in a process of its own, so that the peaks of memory do not add up. The lists are the cars and kits
of the demonstration over and over, each time as another car with kits of its own.
"""

import csv
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from advisor.errors import InputError
from advisor.knowledge import strict_yaml

from ..conftest import ROOT

SMALL, LARGE = (8, 128), (200, 20_000)
#: Runs a command and says at its end what it took: CPU seconds, of child processes too, and the peak in kB.
APART = """
import resource, sys
from advisor.cli import main
code = main(sys.argv[1:])
sys.stdout.flush()
own, children = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
taken = own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime
print(f"\\nTOOK {taken} {own.ru_maxrss} {code}", file=sys.stderr)
"""


def _flat(record, prefix=""):
    """A record as a row: dotted path -> text."""
    row = {}
    for key, value in record.items():
        if isinstance(value, dict):
            row |= _flat(value, f"{prefix}{key}.")
        else:
            row[prefix + key] = "; ".join(map(str, value)) if isinstance(value, list) else str(value)
    return row


def _records(kind):
    rows = {}
    for path in sorted((ROOT / "scenarios" / kind).glob("*.yaml")):
        root = strict_yaml.load(path, error=InputError, limit=strict_yaml.RECORDS_LIMIT)
        rows |= {record["id"]: _flat(record) for record in root.plain()[kind]}
    return rows


def _write(path, rows):
    columns = sorted({column for row in rows for column in row})
    with open(path, "w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def lists(cars, kits, folder):
    """Write ``cars.csv`` and ``kits.csv``; the id of a car that the shipped case is about."""
    shipped_cars, shipped_kits = _records("platforms"), _records("kits")
    names = list(shipped_cars)
    of_car = {}
    for name, row in shipped_kits.items():
        for car in row["fits"].split("; "):
            of_car.setdefault(car, []).append(name)
    car_rows, kit_rows = [], []
    for number in range(cars):
        name = names[number % len(names)]
        row = shipped_cars[name]
        factory = row["stock.clutch"]
        car_rows.append(
            {**row, "id": f"{name}-{number}", "title": f"Car {number}", "stock.clutch": f"{factory}-{number}"}
        )
        others = [kit for kit in of_car[name] if shipped_kits[kit]["factory"] != "yes"]
        for turn in range(kits // cars):
            kit = others[turn % len(others)] if turn else factory
            fields = dict(shipped_kits[kit])
            fields |= {"id": f"{kit}-{number}-{turn}" if turn else f"{kit}-{number}", "fits": f"{name}-{number}"}
            kit_rows.append(fields | {"price": f"{float(fields['price']) + turn:.2f}"})
    _write(folder / "cars.csv", car_rows)
    _write(folder / "kits.csv", kit_rows)
    return f"bramble-20t-{names.index('bramble-20t')}"


def _run(folder, *command):
    """(CPU s, peak MB, what it said) of one command."""
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "XDG_DATA_HOME": str(folder / "data")}
    environment.pop("LEAST_CLUTCH_NO_CACHE", None)
    done = subprocess.run(
        [sys.executable, "-c", APART, *command],
        cwd=folder,
        env={**environment, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    _, _, took = done.stderr.rpartition("TOOK ")
    if not took:
        raise RuntimeError(f"{' '.join(command)}: {done.stderr[-2000:]}")
    seconds, peak, code = took.split()
    if code != "0":
        raise RuntimeError(f"{' '.join(command)}: {code} {done.stdout[-500:]} {done.stderr[:1000]}")
    return float(seconds), int(peak) // 1024, done.stdout


def of_size(cars, kits):
    """What -> (CPU s, peak MB) of a shop of that many cars and kits."""
    taken = {}
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        car = lists(cars, kits, folder)
        _run(folder, "shop", "new", "shop", "--name", "Shop of many kits", "--currency", "EUR")
        own = ("--shop", "shop")
        for kind, file in (("platforms", "cars.csv"), ("kits", "kits.csv")):
            look = ("shop", "import", kind, file, *own)
            *taken[f"look at {kind}"], said = _run(folder, *look, "--leave-out-rest")
            mark = said.rpartition("--write ")[2].split()[0]
            *taken[f"write {kind}"], _ = _run(folder, *look, "--write", mark)
        *taken["check"], _ = _run(folder, "shop", "check", *own)
        case = (ROOT / "scenarios" / "cases" / "mild-street-tune.yaml").read_text(encoding="utf-8")
        text = case.partition("expect:")[0].replace("platform: bramble-20t", f"platform: {car}")
        (folder / "case.yaml").write_text(text, encoding="utf-8")
        *taken["recommend, after a change"], first = _run(folder, "recommend", "case.yaml", *own)
        *taken["recommend"], again = _run(folder, "recommend", "case.yaml", *own)
        if first != again:
            raise RuntimeError("the same case was told otherwise the second time")
    return taken


def tables(smoke=False):
    """title -> rows."""
    sizes = ((8, 16), (8, 32)) if smoke else (SMALL, LARGE)
    few, many = (of_size(*size) for size in sizes)
    head = [f"{cars} cars, {kits} kits" for cars, kits in sizes]
    rows = []
    for what, (seconds, peak) in few.items():
        seconds_of_many, peak_of_many = many[what]
        rows.append(
            {
                "what": what,
                f"CPU s, {head[0]}": round(seconds, 2),
                f"CPU s, {head[1]}": round(seconds_of_many, 2),
                "ratio": round(seconds_of_many / seconds, 1),
                "peak MB": peak,
                "peak MB of many": peak_of_many,
            }
        )
    return {"a shop by size": rows}
