"""The mechanics library's docstrings, read as data."""

import inspect
from pathlib import Path

import pytest

from advisor.errors import KnowledgeError
from advisor.knowledge.functions import RENAMED, describe, function, names, read_docstring
from advisor.knowledge.units import find
from tests.each import each


@each(lambda: [(name, name) for name in names()])
def test_every_calculation_can_be_read(name):
    doc = describe(name)
    signature = inspect.signature(function(name))
    assert set(doc.keywords) == set(signature.parameters) and doc.summary and doc.formula
    assert all(unit == "any" or find(unit).name == unit for unit in (*doc.keywords.values(), doc.result_unit))
    assert doc.references


#: Every name by which the calculations have called a function since cases are kept.
EVER_CALLED = (Path(__file__).parent / "called_functions.txt").read_text(encoding="utf-8").split()


@each(lambda: [(name, name) for name in EVER_CALLED])
def test_names_in_kept_rule_sets_stay_reachable(name):
    assert describe(name).name == name
    assert function(name) is function(RENAMED.get(name, name))


def test_every_name_called_today_is_among_those_kept(content):
    knowledge = content.knowledge
    today = {one.function for one in (*knowledge.calculations, *knowledge.figure_calculations)}
    assert today <= set(EVER_CALLED), "add the new names to called_functions.txt"
    assert not today & set(RENAMED), "a rule of today calls a function where it stands now"
    assert set(RENAMED) <= set(EVER_CALLED)


def test_one_in_full():
    doc = describe("friction.torque_capacity")
    assert doc.keywords == {
        "friction_coefficient": "1",
        "clamp_load": "N",
        "mean_radius": "m",
        "friction_surfaces": "1",
    }
    assert (doc.result_name, doc.result_unit, doc.optional, doc.texts) == ("torque", "N m", (), ())
    assert doc.formula == ("torque = friction_surfaces * friction_coefficient * clamp_load * mean_radius",)
    assert doc.summary == "Torque a stack of friction surfaces holds before it slips."
    assert doc.references == ("V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.6.",)
    assert doc.meanings["clamp_load"] == "Clamp load of the cover"


def test_texts_and_defaults():
    doc = describe("friction.peak_pressure")
    assert doc.texts == ("theory",) and doc.optional == ("coverage",)


@pytest.mark.parametrize(
    "name, words",
    [
        ("friction.torque_capacit", "Did you mean torque_capacity"),
        ("friktion.torque_capacity", "module.function"),
        ("torque_capacity", "module.function"),
        ("argument_checks.finite", "no function"),
        ("friction.np", "no function"),
        ("friction._x", "no function"),
        ("os.system", "no function"),
        ("../x.y", "no function"),
    ],
)
def test_what_is_no_calculation(name, words):
    with pytest.raises(KnowledgeError) as caught:
        describe(name)
    assert words in str(caught.value)


def test_a_docstring_without_units_is_refused():
    def half(*, value):
        """Half.

        Parameters
        ----------
        value : float
            A value

        Returns
        -------
        half : float
            Half of it, [m]
        """

    with pytest.raises(KnowledgeError, match="gives no unit for value"):
        read_docstring("test.half", inspect.getdoc(half), inspect.signature(half))
    with pytest.raises(KnowledgeError, match="which is no known unit"):
        read_docstring(
            "test.half", inspect.getdoc(half).replace("A value", "A value, [furlong]"), inspect.signature(half)
        )
    with pytest.raises(KnowledgeError, match="does not describe other"):
        read_docstring("test.half", inspect.getdoc(half), inspect.signature(lambda *, other: other))
