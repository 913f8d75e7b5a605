"""Random attacks on every command that takes a file, an id or a text; what may come of one, and what must not."""

import contextlib
import io
import os
import random
import subprocess
import sys
import time
from pathlib import Path

from advisor.cli import main
from advisor.knowledge import signs, sources
from tests.conftest import ROOT

CASES = sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))
#: What a fragment may be replaced by: other kinds of values, signs that steer, numbers beyond measure.
FRAGMENTS = (
    b"", b"\x00", b"\x1b[2J", b"\xff\xfe", "\u202e".encode(), "\u3164=1".encode(), b"null", b"[]", b"{}", b"[[[[[[",
    b"}}", b"- -",
    b"!!python/object:os.system", b"&a", b"*a", b"<<: *a", b"1e999", b"-0", b"9" * 400, b"0x1f", b".inf", b"nan",
    b"yes", b"unknown",
    b"430 N m", b"0 mm", b"-5 kg", b"\t", b"\r", b"# ", b"---\n", b"'", b'"', b"? ", b"|\n", b"=1+1", b"%",
    b"{value: 1, from: me}",
)  # fmt: skip
IDS = (
    "1", "2", "0", "-1", "9" * 30, "mild-street-tune", "x" * 3000, "", " ", "\x1b[2J", "\u202e1",
    "1;drop table entry", "../1", "'",
    "%s", "\u0661", "1e3", "nan", "\ud800", "mild%", "[1]", "\n", "1\n2",
)  # fmt: skip
#: Signs of a complaint, what is written down after a sale, and a list of cars: spoilt by the attacks that hand them in.
SIGNS = (
    "slips", "drags", "noise", "judders", "began=first_drive", "slip_shows=any_load", "pumping_helps_now=yes",
    "km_since_fitting=250 km", "torque_now=430 N m", "pedal_force_now=120 N", "wet_under=unknown",
)  # fmt: skip
AFTERWARDS = (("kit", "pellworth-240-s1"), ("on", "2026-02-01"), ("km", "84000"))
CARS = b"id,title,engine torque [Nm],mass [kg],tyre\nx-1,One,320,1400,205/55 R16\ny-2,Two,abc,,\n"


def mutated(data, pick):
    """Bytes with a few random changes."""
    data = bytearray(data)
    for _ in range(pick.choice((1, 1, 2, 5, 30))):
        place = pick.randrange(len(data) + 1)
        way = pick.randrange(5)
        if way == 0:
            data[place : place + pick.randrange(12)] = pick.choice(FRAGMENTS)
        elif way == 1 and place < len(data):
            data[place] = pick.randrange(256)
        elif way == 2:
            del data[place : place + pick.randrange(1, 60)]
        elif way == 3:
            data[place:place] = data[pick.randrange(len(data) + 1) :][: pick.randrange(200)]
        else:
            lines = bytes(data).split(b"\n")
            pick.shuffle(lines)
            data = bytearray(b"\n".join(lines)) if pick.random() < 0.2 else data
    return bytes(data)


def told(arguments, stdin=b""):
    """(exit code, output, errors) of a command run here; what escapes it is raised."""
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", "backslashreplace", newline="") for _ in range(2))
    held = sys.stdin
    sys.stdin = io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8", errors="surrogateescape")
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main([str(argument) for argument in arguments])
    finally:
        sys.stdin = held
    written = []
    for stream in (out, err):
        stream.flush()
        written.append(stream.buffer.getvalue().decode("utf-8"))
    return code, *written


def wrong_with(code, out, err):
    """What is wrong with how a command ended, in words; "" where it ended as it must."""
    if code not in (0, 2, 3, 4, 5):
        return f"exit code {code}"
    if "Traceback" in err + out:
        return "a traceback"
    if code in (2, 5) and not err.strip():
        return "refused without a word"
    # A table for a spreadsheet brings its own line ends.
    if any(signs.first_odd(text) for text in (out.replace("\r\n", "\n"), err)):
        return "a sign that steers"
    return ""


@contextlib.contextmanager
def read_once():
    """The shipped rules and shop read once for all attacks that do not change them."""
    fresh, kept = sources.read, {}

    def read(places, *, cache=True):
        if places != sources.Sources.chosen():
            return fresh(places, cache=False)
        if places not in kept:
            kept[places] = fresh(places, cache=False)
        return kept[places]

    sources.read = read
    try:
        yield
    finally:
        sources.read = fresh


class Attacks:
    """Attacks in a folder of their own; each gives the arguments of a command and what stands on its standard input."""

    def __init__(self, folder, seed, book):
        self.folder, self.pick, self.book = Path(folder), random.Random(seed), book

    def file(self, data, suffix=".yaml"):
        """A file with that content."""
        path = self.folder / f"input{suffix}"
        path.write_bytes(data)
        return path

    def case(self):
        """A mutated case file."""
        return self.file(mutated(self.pick.choice(CASES).read_bytes(), self.pick))

    def text(self):
        """A text somebody types."""
        return mutated(
            self.pick.choice((*IDS, "crank_end_float=0.12mm", "engine_torque=430 N m")).encode("utf-8", "replace"),
            self.pick,
        )

    def word(self):
        """The same as an argument."""
        return self.text().decode("utf-8", "surrogateescape").replace("\x00", "")

    def one(self):
        """(name of the attack, arguments, standard input)."""
        name = self.pick.choice([one for one in dir(self) if one.startswith("on_")])
        arguments, stdin = getattr(self, name)()
        return name.removeprefix("on_"), arguments, stdin

    def on_case_file(self):
        command = self.pick.choice(
            (
                ("recommend",),
                ("recommend", "--json"),
                ("why",),
                ("sheet",),
                ("what-would-change",),
                ("sheet", "--for", "lead"),
            )
        )
        return [command[0], self.case(), *command[1:]], b""

    def on_standard_input(self):
        return ["recommend", "-"], mutated(self.pick.choice(CASES).read_bytes(), self.pick)

    def on_record_file(self):
        path = self.file(mutated(self.record, self.pick), ".json")
        return [
            self.pick.choice(("why", "why-not", "what-if")),
            path,
            *([self.word()] if self.pick.random() < 0.5 else []),
        ], b""

    def on_spreadsheet(self):
        return [
            "shop",
            "import",
            "kits",
            self.file(mutated(self.sheet, self.pick), ".csv"),
            "--shop",
            str(ROOT / "scenarios"),
        ], b""

    def on_answer(self):
        return [self.pick.choice(("what-if", "why-not")), CASES[0], "--", self.word()], b""

    def on_saying(self):
        said = mutated(b"420 Nm at the wheels, daily driver, tows a caravan of 1.4 t, four fifty", self.pick)
        said = said.decode("utf-8", "surrogateescape").replace("\x00", "")
        return ["understand", *(["--json"] if self.pick.random() < 0.5 else []), "--", said], b""

    def on_rule_id(self):
        return ["rules", "show", "--", self.word()], b""

    def on_calculation(self):
        return ["calculate", "torque_capacity", "--", f"clamp_load={self.word()}", self.word()], b""

    def on_worksheet(self):
        name = self.pick.choice(("bearing-gap", "pedal-stop", "run-out", "step-height", "end-float", self.word()))
        return ["worksheet", "--", name, f"before={self.word()}", self.word()], b""

    def on_case_id(self):
        action = self.pick.choice(("show", "audit", "replay", "export", "decide", "prices", "forget"))
        return [
            "case",
            action,
            "--casebook",
            self.book,
            "--",
            self.pick.choice((*IDS, self.word())).replace("\x00", ""),
        ], b""

    def on_note(self):
        return ["case", "note", "--casebook", self.book, "--by", self.word(), "--", "1", self.word()], b""

    def on_signature(self):
        return ["case", "sign", "1", "--casebook", self.book, f"--by={self.word()}", f"--text={self.word()}"], b""

    def on_signed_file(self):
        return ["case", "sign", "1", "--casebook", self.book, "--signature", self.file(self._mutated("signed"))], b""

    def on_file_to_sign(self):
        out = self.folder / "signed.json"
        out.unlink(missing_ok=True)
        key = self.file(self._mutated("key"), ".key") if self.pick.random() < 0.3 else self.key
        asked = self.file(self._mutated("asked"))
        return ["lead", "sign", asked, "--key", key, f"--by={self.word()}", "--out", out], b"some passphrase\n"

    def _mutated(self, name):
        return mutated(self.signing[name], self.pick)

    def on_anchor(self):
        if self.pick.random() < 0.5:
            return ["case", "check", "--casebook", self.book, f"--anchor={self.word()}"], b""
        anchors = self.file(mutated(self.signing["anchor"], self.pick))
        return ["case", "check", "--casebook", self.book, "--anchor", anchors], b""

    def on_forgetting(self):
        words = [f"--also={self.word()}" for _ in range(self.pick.randrange(3))]
        return ["case", "forget", "2", "--casebook", self.book, f"--by={self.word()}", *words], b""

    def on_reading(self):
        return ["case", "reading", "--casebook", self.book, "--", "1", self.word()], b""

    def on_search(self):
        return ["case", "search", "--casebook", self.book, "--people", "--", self.word()], b""

    def on_date(self):
        return ["case", "list", "--casebook", self.book, f"--since={self.word()}"], b""

    def on_arguments(self):
        return [self.word() for _ in range(self.pick.randrange(4))], b""

    def on_question(self):
        asked = mutated(b"how heavy is the pedal, why not the cheaper one, what if it makes 480 Nm", self.pick)
        return ["ask", CASES[0], "--", asked.decode("utf-8", "surrogateescape").replace("\x00", "")], b""

    def _signs(self):
        """Signs of a complaint, some as they should be and some spoilt."""
        signs = [self.pick.choice(SIGNS) for _ in range(self.pick.randrange(1, 4))]
        return [sign if self.pick.random() < 0.5 else self._spoilt(sign) for sign in signs]

    def _spoilt(self, text):
        return mutated(text.encode(), self.pick).decode("utf-8", "surrogateescape").replace("\x00", "")

    def on_complaint(self):
        options = self.pick.choice(((), ("--json",), ("--all",), ("--symptoms",)))
        return ["complaint", "--page", *options, "--", *self._signs()], b""

    def on_complaint_asked(self):
        lines = b"\n".join(self.pick.choice((self.text(), b"yes", b"unknown", b"why")) for _ in range(8))
        return ["complaint", "--ask", *self.pick.choice(((), ("--at-the-car",))), "--", *self._signs()], lines

    def on_complaint_of_a_case(self):
        options = ["--casebook", self.book, "--page", f"--by={self.word()}", *self.pick.choice(((), ("--new",)))]
        return ["case", "complaint", *options, "--", self.pick.choice(("1", "2", self.word())), *self._signs()], b""

    def on_afterwards(self):
        kit, day, km = (f"--{name}={self._spoilt(text)}" for name, text in AFTERWARDS)
        action, *options = self.pick.choice(
            (
                ("sold", kit, day, f"--reason={self.word()}"),
                ("fitted", day, km, f"--who={self.word()}"),
                ("returned", day, km, f"--reason={self.word()}"),
                ("asked", day),
                ("outcome", "held", day, km, f"--torque={self._spoilt('430 Nm')}", f"--source={self.word()}"),
                ("outcome", "slipped", f"--cause={self.word()}", "--correct"),
            )
        )
        end = [options.pop(0)] if action == "outcome" else []
        return ["case", action, *options, "--casebook", self.book, "--", "2", *end], b""

    def on_due(self):
        options = self.pick.choice(((f"--on={self.word()}",), (f"--sheet={self.word()}",)))
        return ["case", "due", "--casebook", self.book, *options], b""

    def on_quote(self):
        case = self.pick.choice((self.case(), self.word(), "1", "1-1"))
        return ["quote", "--casebook", self.book, f"--by={self.word()}", "--", case], b""

    def on_learning(self):
        options = self.pick.choice(((f"--until={self.word()}",), (f"--sign={self.word()}", f"--digest={self.word()}")))
        return ["learn", "--casebook", self.book, *options], b""

    def on_other_casebook(self):
        other = self.file(mutated(Path(self.book).read_bytes(), self.pick), ".sqlite")
        target = self.folder / "taken.sqlite"
        for old in self.folder.glob("taken.sqlite*"):
            old.unlink()
        action = self.pick.choice(("import", "salvage", "check", "list"))
        if action in ("check", "list"):
            return ["case", action, "--casebook", other], b""
        return ["case", action, other, "--casebook", target], b""

    def on_shop_file(self):
        shop = self.folder / "our-shop"
        shop.mkdir(exist_ok=True)
        (shop / "shop.toml").write_bytes(mutated((ROOT / "scenarios" / "shop.toml").read_bytes(), self.pick))
        return [
            *self.pick.choice((["quote", CASES[0], "--casebook", self.book], ["shop", "kits"])),
            "--shop",
            shop,
        ], b""

    def on_list_of_cars(self):
        path = self.file(mutated(CARS, self.pick), self.pick.choice((".csv", ".tsv", ".xlsx")))
        said = [f"--column={self.word()}", f"--unit={self.word()}", f"--same={self.word()}"]
        said = [one for one in said if self.pick.random() < 0.3]
        return ["shop", "import", "platforms", path, "--shop", ROOT / "scenarios", *said], b""

    def on_interview(self):
        path = self.folder / "interview.yaml"
        for old in self.folder.glob("interview.yaml*"):
            old.unlink()
        return ["interview", "--plain", "--case", path], b"\n".join(self.text() for _ in range(3))


def signing_files(folder, book):
    """name -> bytes of a lead's key (closed with a passphrase that nobody types), what it signs, and an anchor."""
    from advisor.casebook import anchors, signatures, signing
    from advisor.casebook.book import Casebook

    with Casebook(book) as opened:
        asked = signatures.to_sign(opened, 1)
        anchor = anchors.anchor_of(opened.store).line()
    cost, signing.COST = signing.COST, {"n": 2, "r": 1, "p": 1}
    try:
        key = signing.new_key("a passphrase nobody types")
        place = Path(folder, "lead.key")
        place.write_text(key, encoding="utf-8")
        private = signing.open_key(str(place), "a passphrase nobody types")
    finally:
        signing.COST = cost
    signed = signing.sign(asked, private, by="The Lead", verdict="sign_off", text="agreed")
    texts = {"key": key, "asked": asked.data(), "signed": signed.data(), "anchor": anchor}
    return {name: text.encode() for name, text in texts.items()}


def run(folder, book, record, sheet, count, seed):
    """name of an attack -> [tried, bad], and what was bad, of ``count`` attacks."""
    attacks = Attacks(folder, seed, book)
    attacks.signing, attacks.key = signing_files(folder, book), Path(folder, "lead.key")
    attacks.record, attacks.sheet = record, sheet
    counts, bad = {}, []
    with read_once():
        for _ in range(count):
            name, arguments, stdin = attacks.one()
            tried = counts.setdefault(name, [0, 0])
            tried[0] += 1
            try:
                wrong = wrong_with(*told(arguments, stdin))
            except Exception as error:  # whatever escapes is what is looked for
                wrong = f"{type(error).__name__}: {error}"
            if wrong:
                tried[1] += 1
                bad.append((name, wrong[:200], [str(one)[:80] for one in arguments]))
    return counts, bad


def signalled(arguments, environment, number, after):
    """(exit code, errors, names of temporary files left) of a command sent a signal after some seconds."""
    process = subprocess.Popen(
        [sys.executable, "-m", "advisor", *map(str, arguments)],
        cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        text=True,
    )  # fmt: skip
    time.sleep(after)
    process.send_signal(number)
    _, complaints = process.communicate(timeout=600)
    return process.returncode, complaints, os.listdir(environment["TMPDIR"])
