"""A crash of the C library is one clear error in the program, and the next case is decided as ever."""

import faulthandler
import json
import multiprocessing
import os
import pickle
import re
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

from advisor.engine.compare import TwoEngines
from advisor.engine.durable import compile_durable
from advisor.engine.isolated import IsolatedEvaluator
from advisor.engine.plain import compile_plain
from advisor.engine.tracing import Recorder
from advisor.errors import ConflictError, EngineError

from .build import fact, knowledge, rule, when
from .generate import Generator

MADE = knowledge(
    [fact("a"), fact("c", source="derived", agreement="same_value")],
    [
        rule("one", [when("a", "above", 1.0)], conclude=[("c", 2.0)]),
        rule("two", [when("a", "above", 5.0)], conclude=[("c", 3.0)]),
    ],
)

pytestmark = pytest.mark.needs("durable-rules")


class Crashing:
    """Dies inside the C library when ``a`` is 4: deletes a session in which no rule ever fired."""

    name = "durable-rules"

    def derive(self, facts, answered=frozenset(), tracer=None):
        if facts.get("a") == 4.0:
            import durable_rules_engine

            faulthandler.disable()  # pytest's would print the expected crash
            for number in range(200):
                handle = durable_rules_engine.create_ruleset(
                    f"crash-{number}", '{"0":{"all":[{"p0":{"$and":[{"never":1}]}}]}}'
                )
                durable_rules_engine.assert_fact(handle, '{"id":"1","other":1}')
                durable_rules_engine.delete_state(handle, "0")
            # What it frees there is whatever lay in memory; should that have been harmless 200 times:
            os.kill(os.getpid(), signal.SIGSEGV)
        if facts.get("a") == 3.0:
            os._exit(7)
        if facts.get("a") == 2.5:
            time.sleep(120)
        if facts.get("a") == 2.25:
            raise RuntimeError("not an error of ours")
        return compile_plain(MADE, "case").derive(facts, answered, tracer)


@pytest.mark.parametrize(
    "value, words",
    [
        (4.0, "the engine durable-rules stopped with signal SIG(SEGV|ABRT|BUS)"),
        (3.0, "the engine durable-rules stopped with exit code 7"),
        (2.5, "did not answer within 4 seconds and was ended"),
        (2.25, "the engine durable-rules stopped with RuntimeError: not an error of ours"),
    ],
)
def test_a_crash_is_one_clear_error_and_the_case_is_intact(value, words):
    evaluator = IsolatedEvaluator(Crashing(), seconds=4 if value == 2.5 else 60)
    case = {"a": value}
    for _ in range(1 if value == 2.5 else 2):
        with pytest.raises(EngineError, match=words):
            evaluator.derive(case)
        assert case == {"a": value}
        assert evaluator.derive({"a": 2.0}).facts == {"a": 2.0, "c": 2.0}
    evaluator.close()


def test_a_crash_in_a_program_that_has_the_case_on_disk(tmp_path):
    """As a command would run: the case is written first, the engine crashes, the words reach the user."""
    program = textwrap.dedent("""
        import json, sys
        from advisor.errors import AdvisorError
        from advisor.engine.isolated import IsolatedEvaluator
        from tests.engine.test_isolated import Crashing
        case = {"a": 4.0}
        with open(sys.argv[1], "w") as file:
            json.dump(case, file)
        try:
            IsolatedEvaluator(Crashing()).derive(case)
        except AdvisorError as error:
            print(error, file=sys.stderr)
            sys.exit(error.exit_code)
    """)
    path = tmp_path / "case.json"
    ran = subprocess.run(
        [sys.executable, "-c", program, str(path)], cwd=Path(__file__).parents[2], capture_output=True, text=True
    )
    assert ran.returncode == 5 and "Traceback" not in ran.stderr
    assert (
        ran.stderr.count("\n") == 1
        and re.search("stopped with signal SIG(SEGV|ABRT|BUS)", ran.stderr)
        and "the case is untouched" in ran.stderr
    )
    assert json.loads(path.read_text()) == {"a": 4.0}


def test_it_says_what_the_evaluator_says():
    generator = Generator(7, size=40, stage="case")
    isolated = TwoEngines(generator.knowledge, "case", isolated=True)
    ours = TwoEngines(generator.knowledge, "case")
    texts = set()
    for _ in range(40):
        facts, answered = generator.case()
        found = []
        for engines in (ours, isolated):
            recorder = Recorder()
            try:
                found.append((engines.derive(facts, answered, recorder), recorder.events))
            except ConflictError as error:
                texts.add(str(error))
                found.append((str(error), error.remedy, error.value))
        assert found[0] == found[1]
    assert texts
    isolated.evaluators[0].close()


def test_a_forked_program_gets_a_process_of_its_own():
    evaluator = IsolatedEvaluator(compile_durable(MADE, "case"))
    expected = evaluator.derive({"a": 2.0})
    child = os.fork()
    if child == 0:
        try:
            # Asked at the same moment as the parent; an answer meant for one must not reach the other.
            right = all(
                evaluator.derive({"a": float(number)}).facts["a"] == number for number in range(2, 5) for _ in range(50)
            )
            evaluator.close()
            os._exit(0 if right else 1)
        finally:
            os._exit(2)
    assert all(evaluator.derive({"a": 2.0}) == expected for _ in range(150))
    assert os.waitpid(child, 0)[1] == 0
    assert evaluator.derive({"a": 2.0}) == expected
    evaluator.close()


def test_without_fork_the_process_compiles_the_rules_itself(monkeypatch):
    monkeypatch.setattr(multiprocessing, "get_all_start_methods", lambda: ["spawn"])
    generator = Generator(11, size=30, stage="case")
    durable = compile_durable(generator.knowledge, "case")
    isolated = IsolatedEvaluator(durable)
    for _ in range(20):
        facts, answered = generator.case()
        try:
            expected = durable.derive(facts, answered)
        except ConflictError as error:
            with pytest.raises(ConflictError) as caught:
                isolated.derive(facts, answered)
            assert str(caught.value) == str(error)
        else:
            assert isolated.derive(facts, answered) == expected
    isolated.close()


def test_records_and_evaluators_can_be_sent_to_another_process():
    generator = Generator(11, size=30, stage="case")
    durable = compile_durable(generator.knowledge, "case")
    facts, answered = next(case for case in iter(generator.case, None) if _derives(durable, case))
    again = pickle.loads(pickle.dumps(durable))
    assert pickle.loads(pickle.dumps(durable.derive(facts, answered))) == again.derive(facts, answered)


def _derives(evaluator, case):
    try:
        return evaluator.derive(*case).firings
    except ConflictError:
        return False
