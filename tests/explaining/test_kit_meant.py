"""Which kit is meant, by id, title or words."""

import pytest

from advisor.errors import InputError
from advisor.explaining.kit_meant import meant


def test_ids_and_titles(mild):
    assert meant(mild, "orrin-240-s2").kit == "orrin-240-s2"
    assert meant(mild, mild.wording.title("orrin-240-s2").upper()).kit == "orrin-240-s2"
    assert meant(mild, " dunmere-260-s4 ").kit == "dunmere-260-s4"


@pytest.mark.parametrize(
    ("words", "field", "values"),
    [
        ("a twin", "discs", [2]),
        ("a single", "discs", [1]),
        ("the sintered one", "facing", ["sintered_iron"]),
        ("one with paddles", "disc_form", ["paddle"]),
        ("a solid hub", "hub", ["solid"]),
        ("a carbon twin", "facing", ["carbon_organic", "carbon_carbon"]),
        ("the factory one", "factory", [True]),
    ],
)
def test_descriptions(words, field, values, mild):
    found = meant(mild, words)
    for kit in (found.kit, *found.others):
        assert mild.fields(kit)[field] in values and mild.kits[kit].fits and kit != mild.pick
    assert found.said.startswith("Taken as ")


def test_comparisons_with_the_pick(mild):
    price = mild.fields(mild.pick)["price"]
    cheaper = meant(mild, "a cheaper one")
    assert all(mild.fields(kit)["price"] < price for kit in (cheaper.kit, *cheaper.others))
    gentler = meant(mild, "a gentler one")
    assert all(mild.kits[kit].gentleness < mild.kits[mild.pick].gentleness for kit in (gentler.kit, *gentler.others))
    stronger = meant(mild, "a stronger one")
    assert mild.record.figure(stronger.kit, "capacity_bedded_nm") > mild.record.figure(mild.pick, "capacity_bedded_nm")
    lighter = meant(mild, "a lighter one")
    assert mild.record.figure(lighter.kit, "pedal_force_n") < mild.record.figure(mild.pick, "pedal_force_n")


def test_the_sellers_favourite_has_the_highest_rating(mild):
    found = meant(mild, "the seller's favourite")
    ratings = [mild.fields(kit.id).get("seller_rating") or 0 for kit in mild.record.fitting]
    assert mild.fields(found.kit)["seller_rating"] == max(ratings)


def test_the_one_in_mind(mild):
    found = meant(mild, "the one I have in mind")
    assert found.kit == mild.record.next_down.kit and "Say more" in found.said


def test_a_sellers_name_and_a_size(mild):
    found = meant(mild, "the orrin 240")
    assert all("Orrin 240" in mild.wording.title(kit) for kit in (found.kit, *found.others))


def test_those_that_pass_come_first(mild):
    found = meant(mild, "a twin")
    ranks = [(mild.kits[kit].place or 10**6, len(mild.kits[kit].failed)) for kit in (found.kit, *found.others)]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("zanzibar", ("no kit is known", "twin")),
        ("orrin-240-s9x", ("no kit is known", "orrin-240-s")),
        ("a triple sintered paddle single", ("no kit that fits", "fewer")),
    ],
)
def test_what_means_no_kit(text, words, mild):
    with pytest.raises(InputError) as caught:
        meant(mild, text)
    assert all(word in str(caught.value) for word in words), str(caught.value)
