"""One folder for a shop: read with clear faults, found in three ways, and said on every answer."""

import json
import shutil

import pytest

from advisor.cli import main
from advisor.errors import ErrorList, InputError, StoreError
from advisor.knowledge import shop as shops, sources
from tests.conftest import ROOT

DEMONSTRATION = ROOT / "scenarios"
CASE = str(DEMONSTRATION / "cases/mild-street-tune.yaml")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A shop of its own with the shipped records under another name."""
    for kind in ("kits", "platforms", "parts"):
        shutil.copytree(DEMONSTRATION / kind, tmp_path / "shop" / kind)
    (tmp_path / "shop/shop.toml").write_text('name = "Test Works"\ncasebook = "kept/book.sqlite"\n')
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "configuration"))
    monkeypatch.delenv(shops.VARIABLE, raising=False)
    return tmp_path / "shop"


def test_the_demonstration_says_all_there_is_and_that_it_is_invented():
    about = shops.read(DEMONSTRATION)
    assert about.invented and about.currency == "EUR" and about.quote_days == 14
    assert about.tax == shops.Tax("VAT", 19.0, True)
    assert [person.name for person in about.of_role("lead")] == ["Cleo Invented"]
    assert (about.decimal_mark, about.thousands_mark) == (".", ",")


def test_people_contact_counter_and_casebook_are_not_kept_with_an_answer():
    about = shops.read(DEMONSTRATION)
    kept = shops.written(about.kept())
    back = shops.shop_of(kept)
    assert back.sha256 == about.sha256 and back.kept() == about.kept()
    assert "Cleo" not in kept and "Lane" not in kept and back.people == ()


@pytest.mark.parametrize(
    "text, line, says, remedy",
    [
        ("", 1, "name is missing.", 'Write name = "...".'),
        ('name = "A"\nunit = "si"', 2, "unit is nothing a shop has.", "Did you mean units?"),
        ('name = "A"\n\n[tax]\npercent = "19"', 4, "tax.percent is '19'.", "Write a number from 0 to 100"),
        ('name = "A"\nquote_days = 2.5', 2, "quote_days is 2.5.", "Write a whole number from 1 to 365"),
        ('name = "A"\ncurrency = "euro"', 2, "currency is 'euro'.", 'Write it like "EUR".'),
        (
            'name = "A"\n[[people]]\nname = "B"\nroles = ["lead"]\n[[people]]\nname = "C"\nroles = ["boss"]',
            7,
            "people.roles is ['boss'].",
            "Write some of",
        ),
        ('name = "A"\ninvented = "yes"', 2, "invented is 'yes'.", "Write true or false"),
        ('name = "A"\ntax = 19', 2, "tax is 19.", "Write it as a table: [tax]."),
        ('name = "A\\u202eB"', 1, "name holds a control or invisible sign.", "Take it out."),
    ],
)
def test_a_fault_has_its_line_and_its_remedy(text, line, says, remedy):
    with pytest.raises(ErrorList) as caught:
        shops.shop_of(text, "shop.toml")
    (error,) = caught.value.errors
    assert error.where.line == line
    assert error.what.startswith(says) and error.remedy.startswith(remedy)


def test_what_is_no_toml_is_told_with_its_place():
    with pytest.raises(InputError) as caught:
        shops.shop_of("name = \n", "shop.toml")
    assert (caught.value.where.line, caught.value.where.column) == (1, 8)


def test_all_faults_are_told_at_once():
    with pytest.raises(ErrorList) as caught:
        shops.shop_of("units = 1\npaper = 2\n[rules]\nuse = 3")
    assert len(caught.value.errors) == 4


def test_a_shop_is_found_by_option_environment_or_configuration_in_this_order(folder, tmp_path, monkeypatch):
    assert shops.find() is None
    other = tmp_path / "other"
    other.mkdir()
    (other / "shop.toml").write_text('name = "Other"')
    (tmp_path / "configuration/least-clutch").mkdir(parents=True)
    (tmp_path / "configuration/least-clutch/config.toml").write_text(f'shop = "{other}"')
    assert shops.find() == other
    monkeypatch.setenv(shops.VARIABLE, str(folder))
    assert shops.find() == folder
    assert shops.find(other) == other and shops.find(other / "shop.toml") == other
    with pytest.raises(StoreError, match="no shop here"):
        shops.find(tmp_path)


def test_every_answer_names_shop_and_rules(folder, capsys):
    assert main(["recommend", CASE, "--shop", str(folder), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["shop"] == {"name": "Test Works", "invented": False, "rules_version": "shipped rules 2026.11"}
    assert record["knowledge"]["shop_sha256"] == shops.read(folder).sha256
    for command in (["recommend", CASE], ["why", CASE], ["why-not", CASE, "factory-bramble-20t"]):
        assert main([*command, "--shop", str(folder)]) == 0
        assert "Test Works, shipped rules 2026.11." in capsys.readouterr().out


def test_without_a_shop_it_is_the_demonstration(monkeypatch, capsys):
    monkeypatch.delenv(shops.VARIABLE, raising=False)
    assert main(["recommend", CASE]) == 0
    out = " ".join(capsys.readouterr().out.split())  # lines break where the screen ends
    assert "Invented shop, cars and kits: Demonstration shop, shipped rules" in out


def test_an_empty_shop_is_no_error(tmp_path, capsys):
    (tmp_path / "shop.toml").write_text('name = "New"')
    content = sources.read(sources.Sources.chosen(tmp_path))
    assert (content.kits, content.platforms, content.parts) == ((), (), ())
    case = str(DEMONSTRATION / "cases/not-on-file-half.yaml")
    assert main(["recommend", case, "--shop", str(tmp_path)]) in (3, 4)
    assert "New, shipped rules" in capsys.readouterr().out


def test_a_part_or_kit_for_a_car_that_is_not_there_is_a_remark(folder):
    (folder / "platforms/bramble-20t.yaml").unlink()
    content = sources.read(sources.Sources.chosen(folder))
    told = [str(remark) for remark in content.remarks]
    assert any("fits bramble-20t, which is no platform on file" in one and "/parts/" in one for one in told)
    assert any("fits bramble-20t, which is no platform on file" in one and "/kits/" in one for one in told)
    (folder / "kits/factory.yaml").unlink()
    content = sources.read(sources.Sources.chosen(folder))
    assert any("factory clutch factory-sedge-18 of sedge-18 is no kit on file" in str(one) for one in content.remarks)


def test_a_kept_case_names_its_shop_and_comes_out_the_same(folder, capsys):
    (folder / "kept").mkdir()
    assert main(["recommend", CASE, "--shop", str(folder), "--save"]) == 0
    assert (folder / "kept/book.sqlite").is_file()
    book = ["--casebook", str(folder / "kept/book.sqlite")]
    capsys.readouterr()
    assert main(["case", "replay", "1", *book]) == 0
    assert "byte for byte" in capsys.readouterr().out
    assert main(["case", "audit", "1", *book]) == 0
    assert "Test Works, shipped rules" in capsys.readouterr().out


def test_knowledge_kept_before_there_were_shops_is_decided_without_one():
    from advisor.casebook.kept_files import Files, content

    files = Files.of(sources.Sources.chosen())
    older = Files({place: body for place, body in files.bodies.items() if place[0] != "shop"})
    assert older.sha256() != files.sha256()
    read = content(older)
    assert read.shop is None and "shop_sha256" not in read.hashes
