"""Text within its columns, the drawing, and the commands on case files and stored records."""

import json
import os
import subprocess
import sys
from xml.etree import ElementTree

import pytest

from advisor.cli import main
from advisor.deciding.advise import advise
from advisor.deciding.recording import to_json
from advisor.explaining import (
    layout,
    no_fit,
    reason_graph,
    reason_nodes,
    sensitivity,
    what_if,
    what_would_change,
    why,
    why_not,
)
from advisor.explaining.trade_words import PlainWords
from tests import kept
from tests.conftest import ROOT

CASES = ROOT / "scenarios" / "cases"
MILD = str(CASES / "mild-street-tune.yaml")


def everything(view, width, decider=None, case=None):
    """All lines the explanations of a view come to at a width."""
    lines = []
    for depth in why.DEPTHS:
        lines += why.why_lines(view, why.why(view, depth), width, PlainWords())
    for kit in list(view.kits)[::5]:
        lines += why_not.why_not_lines(view, why_not.why_not(view, kit), width, PlainWords(), full=True)
    lines += why_not.others_lines(view, list(view.kits)[:4], width) if view.kits else []
    if decider is not None and view.kits:
        decision = decider.decide(case)
        kit = view.record.next_down.kit if view.record.next_down else None
        lines += what_would_change.what_would_change_lines(
            view, what_would_change.what_would_change(view, decider, decision, kit), width, PlainWords()
        )
        told, _, after = what_if.what_if(decider, case, {"engine_torque": 500.0}, before=view.record)
        lines += what_if.what_if_lines(after, told, width, PlainWords())
        lines += sensitivity.sensitivity_lines(view, sensitivity.sensitivity(view, decider, case), width, PlainWords())
    return [part for line in lines for part in line.split("\n")]


#: Cases of which what is decided again is shown too.
AGAIN = ("mild-street-tune", "nothing-fits")


@pytest.mark.parametrize("width", [40, 57, 80])
def test_nothing_is_wider_than_asked(width, views, plain_decider, shipped_cases):
    for name in ("mild-street-tune", "nothing-fits", "answers-missing", "pack-over-stroke"):
        lines = everything(
            views[name], width, plain_decider if width == 40 and name in AGAIN else None, shipped_cases[name]
        )
        assert [line for line in lines if len(line) > width] == [], name


def test_tables_shrink_and_then_stand_below_each_other():
    rows = [["Torque held over torque required", "1.07 times", "1.3 times"], ["Pedal force", "172 N", "163 N"]]
    wide = layout.table(["figure", "before", "then"], rows, 80)
    assert (
        len(wide) == 3
        and all(len(line) <= 80 for line in wide)
        and wide[2].split() == ["Pedal", "force", "172", "N", "163", "N"]
    )
    shrunk = layout.table(["figure", "before", "then"], rows, 50)
    assert (
        len(shrunk) == 4 and all(len(line) <= 50 for line in shrunk) and "  before: 1.07 times" not in "\n".join(shrunk)
    )
    narrow = layout.table(["figure", "before", "then"], rows, 34)
    assert "    before: 1.07 times" in narrow and all(len(line) <= 34 for line in narrow)
    assert layout.table(["figure"], [], 80) == []


def test_the_drawing_is_well_formed_complete_and_always_the_same(mild):
    nodes = reason_nodes.trace(mild, mild.pick, [check.requirement for check in mild.record.pick.because])
    text = reason_graph.drawing(nodes, mild.wording, "Pick & reasons <all>")
    root = ElementTree.fromstring(text.encode())
    space = "{http://www.w3.org/2000/svg}"
    boxes = root.findall(f"{space}g")
    assert len(boxes) == len(nodes) == len({(box[1].get("x"), box[1].get("y")) for box in boxes})
    assert len(root.findall(f"{space}path")) == 2 * sum(len(node["from"]) for node in nodes.values())
    assert root.find(f"{space}title").text == "Pick & reasons <all>"
    assert reason_graph.drawing(nodes, mild.wording, "Pick & reasons <all>") == text
    # Arrows run from left to right.
    left = {key: float(box[1].get("x")) for key, box in zip(nodes, boxes)}
    assert all(left[other] < left[key] for key, node in nodes.items() for other in node["from"])


def test_the_drawing_does_not_hang_on_the_order_of_hashes(tmp_path):
    texts = []
    for seed in ("1", "2"):
        path = tmp_path / f"{seed}.svg"
        command = [
            sys.executable,
            "-m",
            "advisor",
            "why",
            MILD,
            "--requirement",
            "pedal-force-limit",
            "--graph",
            str(path),
        ]
        done = subprocess.run(
            command, capture_output=True, text=True, cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed}, timeout=120
        )
        assert done.returncode == 0, done.stderr
        texts.append(path.read_bytes())
    assert texts[0] == texts[1] and b"Invented shop" in texts[0]


def test_without_the_library_the_drawing_says_what_to_install(mild, monkeypatch):
    monkeypatch.setitem(sys.modules, "networkx", None)
    with pytest.raises(Exception, match="least-clutch\\[graph\\]"):
        reason_graph.drawing({}, mild.wording, "")


@pytest.fixture
def read_once(monkeypatch):
    """Commands in this process use what was read and advised before; both are tested elsewhere."""
    kept.share(monkeypatch)


def said(capsys, *arguments):
    """Exit code, output and errors of a command."""
    code = main(list(arguments))
    captured = capsys.readouterr()
    return code, captured.out, captured.err


@pytest.fixture(scope="module")
def stored(tmp_path_factory, shipped_cases):
    """The decision record of the mild case in a file."""
    path = tmp_path_factory.mktemp("records") / "decided.json"
    path.write_text(to_json(advise(kept.decider(), shipped_cases["mild-street-tune"])), encoding="utf-8")
    return path


ASKED = [
    ("why", []),
    ("why", ["--depth", "2"]),
    ("why-not", ["a", "twin"]),
    ("what-if", ["engine_torque=420Nm"]),
    ("what-would-change", []),
]


@pytest.mark.parametrize(("command", "more"), ASKED)
def test_a_stored_record_says_what_the_case_says(command, more, stored, capsys, read_once):
    from_case = said(capsys, command, MILD, *more)
    from_record = said(capsys, command, str(stored), *more)
    assert from_case == from_record and from_case[0] == 0 and from_case[2] == ""
    assert from_case[1].startswith("Bramble 2.0 turbo hatchback, case mild-street-tune\nInvented shop")


@pytest.mark.parametrize(("command", "more"), ASKED)
def test_json(command, more, stored, capsys, read_once):
    code, text, _ = said(capsys, command, str(stored), *more, "--json")
    data = json.loads(text)
    assert (
        code == 0 and data["question"] == command.replace("-", " ") and data["invented"] is True and data["sentences"]
    )
    assert data["knowledge"]["rules_sha256"]


def test_a_record_made_with_other_rules_is_refused(stored, tmp_path, capsys, read_once):
    made = json.loads(stored.read_text())
    made["knowledge"]["rules_sha256"] = "0" * 64
    other = tmp_path / "other.json"
    other.write_text(json.dumps(made))
    code, _, error = said(capsys, "why", str(other))
    assert code == 2 and "other rules" in error and "--rules" in error and "other.json" in error


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("why", MILD, "--requirement", "holds-worn-and-warn"), ("holds-worn-and-warm",)),
        (("why-not", MILD, "zanzibar"), ("no kit is known",)),
        (("why-not", str(CASES / "answers-missing.yaml"), "a", "twin"), ("nothing is decided",)),
        (("what-would-change", str(CASES / "answers-missing.yaml")), ("nothing is decided",)),
        (("what-if", MILD, "engine_torque=420"), ("no unit",)),
        (("why", "nowhere.yaml"), ("nowhere.yaml",)),
        (("why", str(CASES / "nothing-fits.yaml"), "--graph", "x.svg"), ("no pick",)),
        (("why", MILD, "--graph", MILD + "/x.svg"), ("cannot be written",)),
    ],
)
def test_errors_say_what_to_do(arguments, words, capsys, read_once):
    code, _, error = said(capsys, *arguments)
    assert code == 2 and error.startswith("advisor: ") and all(word in error for word in words)


def test_units_of_the_trade_and_plain_words(stored, capsys, read_once):
    _, text, _ = said(capsys, "why", str(stored), "--units", "trade", "--plain-words", "--edge")
    text = " ".join(text.split())
    assert "lb-ft" in text and " N m" not in text and "Clamp load is the force" in text and "Good until" in text


def test_no_kit_fits_is_explained(views):
    view = views["nothing-fits"]
    text = "\n".join(no_fit.no_fit_lines(view, no_fit.no_fit(view), 80))
    for words in ("cannot be had together", "What would help", "Nearest kits", "Ask the shop lead"):
        assert words in text
