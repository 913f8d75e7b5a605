"""Everything that is known to be wrong with the rules: ``advisor rules check``.

Read and held together; proved of the rules as a whole; the tests that stand beside them; and every case that says what
must come out, decided with both engines: the shipped ones, or the shop's own. --quick leaves the cases out; --prove
also proves that tables rise and fall as the vocabulary declares, which takes a few seconds more.

Proved means: for every caller there could be. Rules that can never fire, two rules that conclude one fact at once,
callers left without what is declared always and musts that no kit can meet together are faults, told as proved or with
a caller who, run through both engines, shows it. What could be neither proved nor shown is a remark that says so.

example:
  advisor rules check
  advisor rules check --quick
  advisor rules check --all --prove
  advisor rules check --rules draft/rules
"""

import dataclasses
from argparse import ArgumentParser, Namespace
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, EngineError, ErrorList, InputError, KnowledgeError
from . import opening
from .shop_rules import content_of

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..knowledge.complaint_model import ComplaintKnowledge
    from ..knowledge.sources import Content, Sources


@dataclass(slots=True)
class Findings:
    """What a check came to: ``counts`` (number, of what), ``faults`` and ``remarks`` in words.

    ``departing``: where a rule of the house says otherwise than the shipped one whose place it takes, in words.
    """

    counts: list[tuple[int, str]] = field(default_factory=list)
    faults: list[AdvisorError] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    departing: list[str] = field(default_factory=list)

    def count(self, number: int, what: str) -> None:
        """Say how many there are of something."""
        self.counts.append((number, what))


def add_check(subparsers: Any) -> ArgumentParser:
    """The action ``check`` of the command ``rules``."""
    subparser = subparsers.add_parser("check", help="what is wrong with the rules", description=__doc__)
    subparser.add_argument("--quick", action="store_true", help="leave out the cases that say what must come out")
    subparser.add_argument(
        "--prove", action="store_true", help="also prove that tables rise as declared; needs the extra proofs"
    )
    subparser.add_argument("--all", action="store_true", help="also tell conditions that the others beside them imply")
    opening.add_output(subparser, json=False)
    opening.add_sources(subparser)
    subparser.set_defaults(act=run_check)
    return subparser


def run_check(arguments: Namespace) -> int:
    """Count what there is and show the remarks; faults come as errors."""
    from ..knowledge.sentences import wrap

    content = opening.open_content(arguments)
    findings = check(
        content,
        opening.sources_of(arguments),
        quick=arguments.quick,
        everything=arguments.all,
        arithmetic=arguments.prove,
    )
    for number, what in findings.counts:
        opening.say(f"{number:6d}  {what}")
    for remark in findings.remarks:
        opening.say(wrap(f"remark: {remark}", opening.width(), "", "  "))
    for departure in findings.departing:
        opening.say(wrap(f"departs: {departure}", opening.width(), "", "  "))
    if findings.faults:
        raise ErrorList(findings.faults)
    left_out = " The cases were left out." if arguments.quick else ""
    ending = "; the remarks are worth a look." if findings.remarks else "."
    if findings.departing:
        ending += " For what is marked departs a lead signs when it is adopted."
    opening.say(wrap(f"Nothing is wrong{ending}{left_out}", opening.width()))
    return 0


def check(
    content: "Content", sources: "Sources", *, quick: bool = False, everything: bool = False, arithmetic: bool = False
) -> Findings:
    """`Findings` on rules and records that could be read; ``quick`` leaves the cases out.

    ``everything``: also conditions that decide nothing, which a reader of the rule may want there all the same;
    ``arithmetic``: also the proofs that need it.
    """
    findings = Findings()
    _counted(content, sources, findings)
    proved = run_proofs(content, findings, everything=everything, arithmetic=arithmetic)
    findings.remarks[:0] = [str(remark) for remark in content.knowledge.remarks if not (proved and remark.until_proved)]
    run_tests(content, sources, findings)
    if not quick:
        run_cases(content, sources, findings)
    return findings


def _counted(content, sources, findings):
    knowledge = content.knowledge
    for things, what in (
        (knowledge.rules, "rules and rows"),
        (knowledge.calculations, "calculations of facts"),
        (knowledge.figure_calculations, "calculations of figures"),
        (knowledge.facts, "facts, those about kits included"),
        (content.kits, "kits"),
        (content.platforms, "platforms"),
        (content.parts, "parts"),
    ):
        findings.count(len(things), what)
    if not (sources.rules / "causes.yaml").is_file():
        return
    from ..knowledge.complaints import complaint_knowledge

    complaints = complaint_knowledge(sources.rules, knowledge)
    prove_complaints(complaints, findings)
    findings.count(len(complaints.rules), "rules on complaints")
    findings.count(len(complaints.causes), "causes of complaints")
    findings.count(len(complaints.symptoms), "symptoms")
    run_complaints(complaints, sources.rules, findings)


def run_proofs(content: "Content", findings: Findings, *, everything: bool = False, arithmetic: bool = False) -> bool:
    """Ask everything that can be proved of the rules as a whole; False where nothing can be proved here."""
    from ..proving.whole_base import prove

    try:
        proved = prove(content.knowledge, content, on_request=everything, arithmetic=arithmetic)
    except EngineError as error:
        findings.remarks.append(f"nothing was proved of the rules as a whole: {error}")
        return False
    for finding in proved.findings:
        if finding.is_wrong:
            findings.faults.append(finding.as_error(content.knowledge))
        else:
            findings.remarks.append(str(finding.as_error(content.knowledge)))
    findings.count(proved.asked, "questions about the rules as a whole")
    return True


def prove_complaints(complaints: "ComplaintKnowledge", findings: Findings) -> None:
    """Note rules on complaints that no complaint can ever bring up."""
    from ..proving.complaint_rules import about_complaints

    try:
        proved = about_complaints(complaints)
    except EngineError:
        return  # that nothing was proved is told of all rules together
    findings.faults += [finding.as_error(complaints.shop) for finding in proved.findings]
    findings.count(proved.asked, "questions about the rules on complaints")


def run_complaints(complaints: "ComplaintKnowledge", rules: Path, findings: Findings) -> None:
    """Run the complaints with what must come out that stand beside the rules on them, with both engines."""
    from ..complaints.diagnosis import Diagnoser
    from ..complaints.expectations import differences, read_cases

    try:
        cases = read_cases(rules, complaints)
    except KnowledgeError as error:
        findings.faults.append(error)
        return
    diagnoser = Diagnoser(complaints)
    for case in cases:
        if wrong := differences(case, diagnoser):
            remedy = "Mend the rule, or the case where the rule is as it should be."
            what = f"the complaint {case.name!r} does not come out as it must: {'; '.join(wrong)}."
            findings.faults.append(KnowledgeError(what, where=case.position, remedy=remedy))
    findings.count(len(cases), "complaints with what must come out")


def run_tests(content: "Content", sources: "Sources", findings: Findings) -> None:
    """Run the tests beside the rules; where a shop lays rules over the shipped ones, these it may mean to change."""
    own = sources.house if sources.house is not None else sources.rules
    tests = _tests_of(own, content.knowledge, findings.faults)
    for test, wrong in _that_fail(tests, content):
        remedy = "Mend the rule, or the test where the rule is as it should be."
        findings.faults.append(
            KnowledgeError(f"the test {test.name!r} does not hold: {wrong}.", where=test.position, remedy=remedy)
        )
    findings.count(len(tests), "tests beside the rules")
    if sources.house is None:
        return
    run_shipped_tests(content, sources, findings)


def run_shipped_tests(content: "Content", sources: "Sources", findings: Findings) -> None:
    """Run the tests beside the shipped rules, those of a replaced one on the rule in its place; what departs is told.

    A rule of the house that took the place of a shipped one may mean to say otherwise: whoever adopts it signs for it.
    """
    from ..proving.in_place import silent_where_it_spoke
    from ..versions.departing import departures, shipped_tests

    shipped = content_of(dataclasses.replace(sources, house=None)).knowledge
    house = content.knowledge
    ran = shipped_tests(_tests_of(sources.rules, shipped, findings.faults), shipped, house)
    for test, wrong in ran.others:
        findings.remarks.append(
            f"{test.position}: with the house rules the shipped test {test.name!r} comes out otherwise: {wrong}."
        )
    departing = departures(shipped, house, ran, lambda before, after: silent_where_it_spoke(house, before, after))
    findings.departing = [departure.sentence for departure in departing]
    findings.count(ran.run, "tests beside the shipped rules")
    if ran.moved:
        findings.count(ran.moved, "of these on house rules that took a shipped one's place")


def _tests_of(folder, knowledge, faults):
    from ..knowledge.rule_tests import read_folder

    try:
        return read_folder(folder, knowledge)
    except ErrorList as several:
        faults += several.errors
        return ()


def _that_fail(tests, content):
    from ..engine.plain import compile_plain
    from ..engine.rule_test_runs import differences

    engines: dict[str, Any] = {}
    for test in tests:
        if test.stage not in engines:
            engines[test.stage] = compile_plain(content.knowledge, test.stage)
        if wrong := differences(test, content.knowledge, engines[test.stage].derive):
            yield test, "; ".join(wrong)


def run_cases(content: "Content", sources: "Sources", findings: Findings) -> None:
    """Decide every case that says what must come out, with both engines, and note where something else does."""
    from ..deciding.decide import decider_of

    decider: Decider | None = None
    decided = 0
    for path in case_files(sources):
        if decider is None:
            decider = decider_of(content)
        decided += _case_as_expected(path, decider, findings.faults)
    findings.count(decided, "cases with what must come out")


def case_files(sources: "Sources") -> list[Path]:
    """Files of the shop's own cases, else of the shipped ones; none where the cars or kits are others than theirs."""
    from ..knowledge import disk
    from ..knowledge.sources import default_folder, demonstration

    shipped = all(getattr(sources, name) == default_folder(name) for name in ("kits", "platforms", "parts"))
    folder = Path(demonstration()) if shipped else Path(sources.kits).parent
    return disk.below(folder / "cases", (".yaml",)) if (folder / "cases").is_dir() else []


def _case_as_expected(path, decider, faults):
    """Note how a case comes out otherwise than it says; 1 where it says anything, else 0."""
    from ..deciding.expectations import differences
    from ..errors import Position
    from ..knowledge import cases

    try:
        case = cases.case(path, decider.knowledge)
        if not case.expect:
            return 0
        wrong = differences(decider.decide(case), case.expect)
    except ErrorList as several:
        faults += several.errors
        return 1
    except AdvisorError as error:
        faults.append(error if error.where else InputError(error.what, where=Position(str(path)), remedy=error.remedy))
        return 1
    if wrong:
        what = f"the case {case.id} does not come out as it says: {'; '.join(wrong)}."
        remedy = "Mend the rule, or what the case expects where the rule is as it should be."
        faults.append(KnowledgeError(what, where=Position(str(path)), remedy=remedy))
    return 1
