"""`frozen` classes against the standard library's own: whatever is asked of both, the answer is the same."""

import copy
import dataclasses
import pickle

import pytest

from advisor.frozen import frozen


def pairs_of_classes():
    """(ours, the standard library's) of the same body, in each of the ways that are used."""

    def body():
        class Kit:
            name: str
            load: float = 7.7
            parts: dict = dataclasses.field(default_factory=dict, hash=False)
            place: str | None = dataclasses.field(default=None, compare=False)

        return Kit

    for options in ({}, {"eq": False}, {"slots": False}):
        usual = {"frozen": True, "slots": True, **options}
        yield frozen(**options)(body()), dataclasses.dataclass(**usual)(body())


@frozen
class Cover:
    """At the top of a module, where what is pickled is looked up."""

    name: str
    load: float = 1.0


@frozen
class Held(Cover):
    """With a field more than what it is made from."""

    hours: tuple = ()


MADE_OF = (("low", 5.0), ("low", 5.0, {"bolt": 6}), ("low", 5.0, {"bolt": 6}, "shelf"), ("high",))


def answers(kind):
    """What a class says of objects made alike."""
    holders = [kind(*values) for values in MADE_OF]
    return {
        "shown": [repr(holder) for holder in holders],
        "equal": [[first == second for first in holders] for second in holders],
        "equal to another made alike": [holder == kind(*values) for holder, values in zip(holders, MADE_OF)],
        "equal to its values": [holder == tuple(MADE_OF[2]) for holder in holders],
        "counted in a set": len({*holders, *(kind(*values) for values in MADE_OF)}),
        "as a dictionary": [dataclasses.asdict(holder) for holder in holders],
        "replaced": repr(dataclasses.replace(holders[1], load=6.0)),
        "copied": [repr(copy.copy(holder)) for holder in holders],
        "copied whole": [repr(copy.deepcopy(holder)) for holder in holders],
        "fields": [(field.name, field.compare, field.hash) for field in dataclasses.fields(kind)],
        "places in a match": kind.__match_args__,
        "own dictionary": hasattr(holders[0], "__dict__"),
        "shared default": holders[0].parts is holders[3].parts,
    }


@pytest.mark.parametrize("ours, theirs", [*pairs_of_classes()])
def test_it_answers_as_the_standard_library_does(ours, theirs):
    assert answers(ours) == answers(theirs)


@pytest.mark.parametrize("ours, theirs", [*pairs_of_classes()])
def test_it_refuses_what_the_standard_library_refuses(ours, theirs):
    def refusals(kind):
        refused = []
        for attempt in (
            lambda: kind(),
            lambda: kind("low", weight=3),
            lambda: setattr(kind("low"), "name", "high"),
            lambda: delattr(kind("low"), "name"),
            lambda: dataclasses.replace(kind("low"), weight=3),
        ):
            with pytest.raises((TypeError, AttributeError)) as error:
                attempt()
            refused.append((error.type, str(error.value)))
        return refused

    assert refusals(ours) == refusals(theirs)
    with pytest.raises(dataclasses.FrozenInstanceError):  # where theirs, with slots, trips over itself
        ours("low").colour = "red"


@pytest.mark.parametrize("options", [{"repr": False}, {"init": False, "default": "x"}, {"kw_only": True}])
def test_what_it_does_not_do_is_refused(options):
    """A secret that must not be shown, above all, is not shown because nobody thought of it."""

    class Key:
        secret: str = dataclasses.field(**options)

    with pytest.raises(TypeError, match="Key wants more than frozen does"):
        frozen(Key)


def test_what_is_to_be_done_after_it_is_made_is_refused():
    class Key:
        secret: str

        def __post_init__(self):
            raise AssertionError("never called")

    with pytest.raises(TypeError, match="wants more"):
        frozen(Key)


def test_what_is_pickled_comes_back_and_still_does_not_change():
    for holder in (Cover("low", 5.0), Held("low", 5.0, (1, 2))):
        back = pickle.loads(pickle.dumps(holder))
        assert back == holder and back is not holder and hash(back) == hash(holder)
        with pytest.raises(dataclasses.FrozenInstanceError):
            back.name = "high"
    assert Held("low", 5.0) != Cover("low", 5.0)
    assert repr(Held("low")) == "Held(name='low', load=1.0, hours=())"


def test_a_field_without_a_default_behind_one_that_has_it_is_refused():
    class Kit:
        load: float = 7.7
        name: str

    with pytest.raises(TypeError, match="Kit has a field without a default"):
        frozen(Kit)
