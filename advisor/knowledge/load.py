"""The door of this room: rules, kits, platforms, parts and cases from files to typed, checked content."""

import functools
from pathlib import Path
from typing import Any

from ..errors import ErrorList, InputError, KnowledgeError, Position, StoreError
from . import canonical, cross_checks, disk, shapes, strict_yaml
from .calculations import read_calculations
from .cases import case, case_text
from .conditions import ConditionReader, Terms
from .estimates import read_estimates
from .experience import FILE as EXPERIENCE
from .faults import Faults
from .house_rules import House, lay_over, without_replaced
from .model import CONTRADICTION, STAGES, Fact, Knowledge, Record
from .questions import read_asked_back, read_questions
from .records import check_together, read_kits, read_parts, read_platforms
from .rules import read_rules
from .rules_in_force import NUMBER
from .sentences import count
from .tables import read_facings, read_order, read_workshop
from .vocabulary import read_vocabulary

__all__ = ["case", "case_text", "check_together", "kits", "knowledge", "parts", "platforms", "records_sha256"]

#: Files that an older rule set, or a small one, does without.
OPTIONAL_FILES = ("edition", "estimates")
#: Files of rules whose nodes are kept while the program runs: who compares, tries or adopts reads the rules several
#: times, and most files stand as they stood.
FILES_KEPT = 160
SINGLE_FILES = ("vocabulary", "questions", "calculations", "facings", "order", "workshop")


def knowledge(folder: Path, house: Path | None = None) -> Knowledge:
    """Everything in a rules folder as Knowledge, a shop's own rules in the folder ``house`` laid over it.

    Raises ErrorList of KnowledgeError. It goes in stages, each complete before the next, because a later one would
    only repeat an earlier one's faults in other words: layout and keys of all files; the vocabulary; questions,
    facings, order and workshop; calculations and rules; and what is wrong between them.
    """
    folder = Path(folder)
    roots, rule_files = _open_folder(folder)
    over = lay_over(roots, Path(house)) if house is not None else House()
    faults = Faults()
    facts, figures, kit_fields, word_sets = read_vocabulary(roots["vocabulary"], faults)
    _add_contradictions(facts, [*rule_files, *over.rule_files])
    faults.finish()
    pointing = ConditionReader("case", Terms(facts, figures, kit_fields), faults)
    questions = read_questions(roots["questions"], facts, faults, pointing)
    facings = read_facings(roots["facings"], faults)
    order = read_order(roots["order"], kit_fields, faults)
    workshop = read_workshop(roots["workshop"], faults)
    estimates = read_estimates(roots["estimates"], kit_fields, faults) if "estimates" in roots else ()
    faults.finish()
    words = Terms(facts, figures, kit_fields, order.concerns)
    calculations, figure_calculations = read_calculations(roots["calculations"], words, facings, order, faults)
    rules = [rule for stage, root in rule_files for rule in read_rules(root, stage, words, faults)]
    house_rules = [rule for stage, root in over.rule_files for rule in read_rules(root, stage, words, faults)]
    rules, changed = without_replaced(rules, over, faults) if house is not None else (rules, [])
    rules += house_rules
    faults.finish()
    content: dict[str, Any] = dict(
        facts=facts,
        figures=figures,
        kit_fields=kit_fields,
        rules=tuple(rules),
        calculations=calculations,
        figure_calculations=figure_calculations,
        facings=facings,
        order=order,
        questions=questions,
        workshop=workshop,
        asked_back=read_asked_back(roots["questions"]),
    )
    if word_sets:
        content["words"] = word_sets
    if estimates:  # a rule set without any has the digest it always had
        content["estimates"] = estimates
    loaded = Knowledge(**content, sha256=_sha256(content))
    remarks = cross_checks.check(loaded, faults)
    faults.finish()
    return Knowledge(
        **content,
        sha256=loaded.sha256,
        remarks=(*changed, *remarks),
        edition=_edition(roots, over, len(house_rules), _version(house or folder)),
        replaced={replaced.by: replaced.id for replaced in over.replaced},
    )


def _open_folder(folder):
    """Root nodes of the single files by name, and (stage, root) of the rule files in order of name."""
    errors: list[Any] = []
    roots: dict[str, Any] = {}
    rule_files = []
    for name in SINGLE_FILES:
        _open(folder / f"{name}.yaml", name, errors, lambda root, name=name: roots.__setitem__(name, root))
    for name in OPTIONAL_FILES:
        if (folder / f"{name}.yaml").is_file():
            _open(folder / f"{name}.yaml", name, errors, lambda root, name=name: roots.__setitem__(name, root))
    for stage in STAGES:
        for path in rule_paths(folder, stage):
            if not path.name.endswith(".tests.yaml"):
                _open(path, "rules", errors, lambda root, stage=stage: rule_files.append((stage, root)))
    if not rule_files and not errors:
        errors.append(
            KnowledgeError(
                "there are no rules.", where=Position(str(folder)), remedy="Write them under case/ and setup/."
            )
        )
    if errors:
        raise ErrorList(errors)
    return roots, rule_files


def _version(folder):
    """The number of a version that was adopted, as the file within it says; empty where there is none."""
    path = Path(folder) / NUMBER
    return str(strict_yaml.load(path, error=KnowledgeError).get("version", "")) if path.is_file() else ""


def _edition(roots, over, own, version):
    """Name and version of the rule set, where it says them, and what a house has laid over it."""
    if "edition" not in roots:
        return f"house rules version {version}" if version else ""
    edition = roots["edition"]["edition"]
    named = f"{edition.get('name')} {edition.get('version')}"
    if not over.rule_files:
        return f"{named} with house version {version}" if version else named
    numbered = f"house version {version}: {count(own, 'rule')}" if version else count(own, "house rule")
    if own == 1:
        return f"{named} with {numbered}{', in place of a shipped one' if over.replaced else ''}"
    return f"{named} with {numbered}, {len(over.replaced)} of them in place of shipped ones"


def rule_paths(folder: Path | str, stage: str, ending: str = ".yaml") -> list[Path]:
    """The files of a stage in a rules folder, in order of name: of stage consistency there is one, and none need be."""
    if stage == "consistency":
        return [path for path in (Path(folder) / f"consistency{ending}",) if path.is_file()]
    return sorted((Path(folder) / stage).glob(f"*{ending}"))


def _add_contradictions(facts, rule_files):
    """The fact that rules of stage consistency conclude has for its choices the ids that they conclude."""
    names = set()
    for stage, root in rule_files:
        for node in root["rules"] if stage == "consistency" else ():
            members = node.many("group") or (node,)
            if "table" in node:
                members, table = (), node["table"]
                concluded = table["conclude"].plain()
                for _, row in table["rows"].items() if CONTRADICTION in concluded else ():
                    cells = row["cells"] if isinstance(row.value, dict) else row
                    names.add(cells.plain()[len(table["when"].value) + concluded.index(CONTRADICTION)])
            for member in members:
                if "conclude" in member and isinstance(member["conclude"].get(CONTRADICTION), str):
                    names.add(member["conclude"].get(CONTRADICTION))
    if names:
        facts[CONTRADICTION] = Fact(
            CONTRADICTION,
            "list",
            "answers that cannot all be true",
            "derived",
            choices=tuple(sorted(names)),
            agreement="list",
            output=True,
        )


@functools.lru_cache(FILES_KEPT)
def _sound(name, body, kind):
    """The root node of a file of rules of such a form, not to be written to; it stands for the next reading too."""
    root = strict_yaml.loads(body, name, error=KnowledgeError)
    shapes.check(root, kind, KnowledgeError)
    return root


def _open(path, kind, errors, keep):
    try:
        root = _sound(str(path), strict_yaml.bytes_of(path), kind)
    except StoreError as error:
        errors.append(KnowledgeError(error.what, where=error.where, remedy=error.remedy))
    except ErrorList as several:
        errors.extend(several.errors)
    except KnowledgeError as error:
        errors.append(error)
    else:
        keep(root)


def _sha256(content):
    """Independent of the order of files and entries: rules and calculations go in by id."""
    return canonical.sha256(
        {
            **content,
            **{
                key: {record.id: record.hash for record in content[key]}
                for key in ("rules", "calculations", "figure_calculations")
            },
        }
    )


def _records(path, kind, key, read, known):
    errors: list[Any] = []
    roots = []
    for file in files_of(key, Path(path)):
        try:
            if file.suffix == ".csv" and kind == "kit":
                from .spreadsheet import root_of

                roots.append(root_of(file, known))
                continue
            root = strict_yaml.load(file, error=InputError, limit=strict_yaml.RECORDS_LIMIT)
            shapes.check(root, key, InputError)
            roots.append(root)
        except ErrorList as several:
            errors.extend(several.errors)
        except InputError as error:
            errors.append(error)
    if errors:
        raise ErrorList(errors)
    return read(roots, known)


def files_of(key: str, path: Path) -> list[Path]:
    """The files of records below a place, or the one that it is; a shop keeps its kits in YAML or as a spreadsheet."""
    suffixes = (".yaml", ".csv") if key == "kits" else (".yaml",)
    files = disk.below(path, suffixes) if path.is_dir() else [path] if path.exists() else []
    return [file for file in files if key != "kits" or file != path / EXPERIENCE]


def kits(path: Path, knowledge: Knowledge) -> tuple[Record, ...]:
    """Records of the kits in a file or folder, in order of id."""
    return _records(path, "kit", "kits", read_kits, knowledge)


def platforms(path: Path, knowledge: Knowledge) -> tuple[Record, ...]:
    """Records of the platforms in a file or folder, in order of id; fields by dotted path."""
    return _records(path, "platform", "platforms", read_platforms, knowledge)


def parts(path: Path, knowledge: Knowledge) -> tuple[Record, ...]:
    """Records of the parts in a file or folder, in order of id."""
    return _records(path, "part", "parts", read_parts, knowledge)


def records_sha256(records: tuple[Record, ...]) -> str:
    """Hex SHA-256 over the content of records, whatever their order and place."""
    return canonical.sha256({f"{record.kind} {record.id}": record.fields for record in records})
