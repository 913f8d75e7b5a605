"""Every authoring mistake has its tiny file, its place and its remedy; none ends in a traceback."""

import pytest

from advisor.errors import AdvisorError, ErrorList, KnowledgeError
from advisor.knowledge import load, strict_yaml

from .broken_files import BROKEN, PLACES, load_everything, put

EXPECTED = strict_yaml.load(BROKEN / "expected.yaml").plain()["files"]


def test_every_broken_file_stands_in_the_table():
    files = sorted(path.relative_to(BROKEN).as_posix() for path in BROKEN.glob("*/*.yaml"))
    assert files == sorted(entry["file"] for entry in EXPECTED)
    assert len(files) >= 45
    assert {name.split("/")[0] for name in files} == set(PLACES)


@pytest.mark.parametrize("entry", EXPECTED, ids=[entry["file"] for entry in EXPECTED])
def test_broken_file_is_told_where_and_how(entry, tmp_path):
    area = entry["file"].split("/")[0]
    put(entry["file"], tmp_path)
    with pytest.raises(AdvisorError) as caught:
        load_everything(tmp_path, area)
    errors = getattr(caught.value, "errors", (caught.value,))
    file = tmp_path / entry.get("in", PLACES[area])
    matching = [
        error
        for error in errors
        if str(error.where) == f"{file}:{entry['at']}" and error.what.startswith(entry["says"])
    ]
    assert len(matching) == 1, str(caught.value)
    assert matching[0].remedy.startswith(entry["remedy"])
    assert str(caught.value).count(f"{file}:{entry['at']}: ") == 1
    # One mistake is not reported as many.
    assert len(errors) <= 2
    assert all(error.where and error.where.line and error.remedy for error in errors)
    assert caught.value.exit_code == (2 if area in ("cases", "kits", "platforms", "parts") else 5)


def test_several_mistakes_are_reported_together_in_file_order(tmp_path):
    put("rules/unknown-fact.yaml", tmp_path)
    (tmp_path / "rules/case/another.yaml").write_text(
        (BROKEN / "rules/wrong-unit.yaml").read_text()
        + (BROKEN / "rules/unknown-figure.yaml").read_text().split("rules:\n")[1]
    )
    with pytest.raises(ErrorList) as caught:
        load.knowledge(tmp_path / "rules")
    places = [(error.where.file.rsplit("/", 1)[1], error.where.line) for error in caught.value.errors]
    assert places == [("another.yaml", 6), ("another.yaml", 13), ("broken.yaml", 6)]


@pytest.mark.parametrize("name", ["vocabulary", "questions", "calculations", "facings", "order", "workshop"])
def test_a_missing_file_is_named(name, tmp_path):
    put("rules/unknown-fact.yaml", tmp_path)
    (tmp_path / f"rules/{name}.yaml").unlink()
    with pytest.raises(ErrorList) as caught:
        load.knowledge(tmp_path / "rules")
    (error,) = caught.value.errors
    assert (
        isinstance(error, KnowledgeError) and str(error.where).endswith(f"{name}.yaml") and "is not there" in error.what
    )


def test_a_folder_without_rules_is_refused(tmp_path):
    put("rules/unknown-fact.yaml", tmp_path)
    for path in tmp_path.glob("rules/*/*.yaml"):
        path.unlink()
    with pytest.raises(ErrorList, match="there are no rules"):
        load.knowledge(tmp_path / "rules")
