"""The typed rule model: what every reader of the knowledge works with.

Values are canonical: a number is a float in the unit its fact declares, a choice is text, a flag
is a bool, a list is a sorted tuple of choices. Nothing here reads files or computes.
"""

from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import Any

from ..errors import Position
from ..frozen import frozen

Value = float | str | bool | tuple

STAGES = ("consistency", "case", "setup")
#: The stage of what speaks for and against the cause of a complaint; it has a vocabulary of its own beside the case's.
COMPLAINT = "complaint"
#: The fact that rules of stage consistency conclude: a list of their ids.
CONTRADICTION = "contradiction"
#: How a plain number (unit 1) is shown to people: as it is, in per cent, "1.2 times", "class 2", a price, a chance.
SHOWN_AS = ("", "share", "times", "class", "money", "chance")
#: Conditions on one fact against a literal; the second group may also compare with another fact.
PLAIN_TESTS = ("is", "in", "is_not", "not_in", "has", "known", "absent", "answered", "not_answered")
ORDERED_TESTS = ("above", "at_least", "below", "at_most", "between")
#: The two tests that a fact without a value passes; they read no value.
WITHOUT_VALUE = ("absent", "not_answered")


@frozen
class FactRef:
    """Another fact's value."""

    name: str


@frozen
class KitRef:
    """A field of the kit that is being judged."""

    name: str


@frozen
class Unknown:
    """What happens where nobody answered: ``do`` is stop, assume, worst or leave.

    ``value`` for assume and worst; ``low`` and ``high`` (numbers) or ``others`` (choices, flags) for assume.
    """

    do: str
    value: Any = None
    low: Any = None
    high: Any = None
    others: tuple = ()
    basis: str = ""


@frozen
class Plausible:
    """What a fact that nobody answered may turn out to be.

    It applies where every fact in ``given`` (pairs of name and values) has one of those values, or any value where
    there are no ``values``. ``none`` per cent have no value. The others: ``shares`` (pairs of value and per cent), or
    ``band`` (low, likely, high: half lie below likely, half above, evenly), in which ``share`` per cent say ``common``
    itself. A band counts in the fact's unit, or with ``times`` as so many times the product of those facts, with
    ``over`` divided by others. ``from_kits``: what the kits on file have.
    """

    basis: str
    given: tuple = ()
    shares: tuple = ()
    band: tuple = ()
    times: tuple[str, ...] = ()
    over: tuple[str, ...] = ()
    common: float | None = None
    share: int = 0
    none: int = 0
    from_kits: bool = False


@frozen
class Speech:
    """How people speak of an asked fact.

    ``phrases``: for a choice or flag, value -> phrases that say it; ``names``: words that point to the fact;
    ``unsettled``: phrases that point to it and leave open which value; ``units``: spelling ("" for none at all) ->
    the unit meant by it here; ``by_unit``: a number with such a unit and no other word is about this fact;
    ``ahead``: a wish or a plan is an answer; ``qualifies``: the number fact it tells more about; ``not_with``: words
    beside which a number, or behind which a phrase, is about something else; ``answers``: value -> phrases that say it
    only where the fact was asked, or where one of its ``names`` stands beside; ``alone``: value -> phrases that say it
    where they are a whole part of a sentence; ``loose``: value -> words that say it where all stand in one part;
    ``anybody``: what is said of somebody else, or of what he did before, is an answer; ``points``: words that point
    to a number where all stand in one part; ``words``: the sets of words that ``loose`` and ``points`` name in braces;
    ``implies``: value -> ((fact, value), ...) that it says as well; ``lasting``: a trait that nobody wishes for;
    ``habit``: what happens whenever something is done answers it; ``needs``: words of which one must be said with it;
    ``mainly``: it is about what is mostly so; ``only``: value -> words that say it where the sentence says nothing
    else of the fact and holds none of ``unless``; ``beside``: value -> the value it becomes beside one of ``near``;
    ``near``: words of which one must stand near a number said by its unit alone, or as "one in five"; ``whole``: words
    beside which a second mass is that of the whole; ``plain``: (unit, lowest, highest) of a number said without a
    unit; ``to_come``: values that tell of what is still to come, and nothing where they are said of what was;
    ``elsewhere``: another thing -> words: spoken of just before it is meant, unless one of these is spoken of too;
    ``fitted``: it is something fitted, which is not there where it is said to be off, broken or never used;
    ``seldom``: value -> the value it becomes where it is so now and then only;
    ``wished``: it is about how something must be, which how it is today does not tell.
    """

    phrases: dict = field(default_factory=dict, hash=False)
    answers: dict = field(default_factory=dict, hash=False)
    names: tuple = ()
    unsettled: tuple = ()
    units: dict = field(default_factory=dict, hash=False)
    by_unit: bool = False
    ahead: bool = False
    qualifies: str = ""
    not_with: tuple = ()
    alone: dict = field(default_factory=dict, hash=False)
    loose: dict = field(default_factory=dict, hash=False)
    anybody: bool = False
    points: tuple = ()
    words: dict = field(default_factory=dict, hash=False)
    implies: dict = field(default_factory=dict, hash=False)
    lasting: bool = False
    habit: bool = False
    needs: tuple = ()
    mainly: bool = False
    only: dict = field(default_factory=dict, hash=False)
    unless: tuple = ()
    beside: dict = field(default_factory=dict, hash=False)
    near: tuple = ()
    whole: tuple = ()
    plain: tuple = ()
    to_come: tuple = ()
    elsewhere: dict = field(default_factory=dict, hash=False)
    fitted: bool = False
    seldom: dict = field(default_factory=dict, hash=False)
    wished: bool = False


@frozen
class Fact:
    """One word of the vocabulary.

    ``source``: asked (people answer it), platform (a field of the platform record), factory_kit (a field
    of the platform's factory clutch), derived (rules or calculations), kit (a kit's field, set-up only) or
    figure (a figure of the kit, set-up only). An asked fact may name a ``platform`` path that answers it
    where nobody does. ``agreement``: one_rule, same_value or list. Of ``plausible`` the first that applies counts.
    """

    name: str
    kind: str  # number, choice, flag, list
    label: str
    source: str
    unit: str = ""
    choices: tuple = ()
    low: float | None = None
    high: float | None = None
    resolution: float | None = None
    agreement: str = "one_rule"
    if_unknown: Unknown | None = None
    plausible: tuple[Plausible, ...] = ()
    changeable: str = "cannot"  # cannot, costs, free
    offered: bool = True  # may a change of it be offered at all
    safety: bool = False
    platform: str = ""
    field: str = ""
    output: bool = False  # shown to people, so no rule need read it
    always: bool = False  # derived: no caller who gets a decision may be left without it
    rises_with: tuple[str, ...] = ()  # derived number: no less where one of these is more, all else alike
    falls_with: tuple[str, ...] = ()  # derived number: no more where one of these is more, all else alike
    never_for: tuple[tuple[str, tuple[Value, ...]], ...] = ()  # derived: choices (fact, values) it is not meant for
    needs_one_of: tuple = ()  # derived: without a value there is no decision; one of these facts would give it
    shown_as: str = ""  # one of SHOWN_AS
    speech: Speech | None = None  # how people speak of it, where it is asked
    dimensions: bool = False  # a text that is dimensions, kept in one normal form
    position: Position | None = None


@frozen
class Figure:
    """A computed number about a kit in a case; ``better`` is higher, lower or neither."""

    name: str
    unit: str
    label: str
    resolution: float
    better: str = "neither"
    shown_as: str = ""
    always: bool = False  # no caller who gets a decision may be left without a must on it
    eases_with: tuple[str, ...] = ()  # no limit on it is tighter where one of these facts is more, all else alike
    position: Position | None = None


@frozen
class KitField:
    """A field of a kit record: number, choice, flag or text; ``path`` where it stands in the record.

    ``of_kits``: pairs (field, values) that must all hold, or the field does not apply to the kit. ``dimensions``: a
    text that is dimensions, kept in one normal form.
    """

    name: str
    kind: str
    label: str
    unit: str = ""
    choices: tuple = ()
    low: float | None = None
    high: float | None = None
    required: bool = False
    path: str = ""
    shown_as: str = ""
    of_kits: tuple[tuple[str, tuple[Value, ...]], ...] = ()
    dimensions: bool = False
    always: bool = False  # no caller who gets a decision may be left without a must on it
    position: Position | None = None


@frozen
class Condition:
    """``fact`` ``test`` ``limit``; ``limit`` is a value, a FactRef, or for between a pair of either.

    ``in`` and ``not_in`` hold a tuple of values; known, absent, answered and not_answered hold None.
    """

    fact: str
    test: str
    limit: Any = None
    position: Position | None = field(default=None, compare=False)


#: One way for an ``any`` to hold: all of its conditions must.
Branch = tuple[Condition, ...]
#: Key of a field's metadata under which stands how it goes into a hash, where that is not as it is.
HASHED_AS = "hashed_as"


def _branches_hashed(branches: tuple[Branch, ...]) -> tuple[Condition | Branch, ...]:
    """A branch that asks one thing as that alone: what was hashed before branches could ask more keeps its hash."""
    return tuple(branch[0] if len(branch) == 1 else branch for branch in branches)


def conditions_of(item: "Rule | Question", branches: Iterable[int] | None = None) -> tuple[Condition, ...]:
    """The conditions of a rule or question: of ``all``, then of some branches of ``any`` (None: of each)."""
    chosen = range(len(item.any)) if branches is None else branches
    return (*item.all, *(condition for place in chosen for condition in item.any[place]))


@frozen
class Conclusion:
    """``fact`` takes ``value``: a literal or a FactRef to copy."""

    fact: str
    value: Any
    position: Position | None = field(default=None, compare=False)


@frozen
class Requirement:
    """A limit on a kit, posted by a rule.

    ``source`` is figure or kit and ``measure`` the figure's or field's name; ``compare`` one of at_least,
    at_most, above, below, between, is, in, not_in; ``limit`` a value, FactRef, KitRef, tuple (in, not_in) or
    a pair (between). ``of_kits``: pairs (field, values) that must all hold, or it does not apply to the kit.
    """

    id: str
    source: str
    measure: str
    compare: str
    limit: Any
    unit: str
    level: str  # must, should
    concern: str = ""
    safety: bool = False
    of_kits: tuple = ()
    rule: str = ""
    position: Position | None = field(default=None, compare=False)


@frozen
class Caution:
    """A warning shown with the decision.

    ``audience``: buyer, fitter or both; ``weight``: before_buying, living_with, or with_every_clutch for what goes
    with all of them.
    """

    id: str
    text: str
    safety: bool = False
    audience: str = "both"
    weight: str = "living_with"


@frozen
class Item:
    """Something that goes with a kit: a part to add, a thing to do, or who fits it (set-up only).

    ``kind``: part, measurement, step, bedding_in or fitted_by. ``level``: required, check or optional.
    ``part`` is the kind of part for kind part; ``who`` for fitted_by; ``in_short``: as said in a few words on the card
    at the end of a call, which holds every required step that has this. ``likely``: of a part of level check, that it
    is needed as a rule, though nobody knows before the gearbox is out.
    """

    id: str
    kind: str
    text: str
    level: str = "required"
    part: str = ""
    who: str = ""
    in_short: str = ""
    likely: bool = False


@frozen
class Basis:
    """Where a rule or number comes from: published, common_practice, computed, judgement or shop."""

    kind: str
    source: str = ""
    caution: str = ""


@frozen
class Contradiction:
    """What a rule of stage consistency says of answers that cannot all be true.

    ``readings``: each side; ``harder``: what facts take where somebody insists; ``settle``: the fact to ask again;
    ``undersizes``: could the clutch come out too small?
    """

    readings: tuple[str, ...]
    harder: tuple[Conclusion, ...]
    settle: str
    undersizes: bool


@frozen
class Rule:
    """Holds when all of ``all`` hold and, where ``any`` is not empty, all of at least one branch of ``any``."""

    id: str
    topic: str
    stage: str
    title: str
    all: tuple[Condition, ...]
    any: tuple[Branch, ...] = field(metadata={HASHED_AS: _branches_hashed})
    conclude: tuple[Conclusion, ...]
    require: tuple[Requirement, ...]
    cautions: tuple[Caution, ...]
    items: tuple[Item, ...]
    because: str
    basis: Basis
    hash: str
    owner: str = ""
    reviewed: str = ""
    contradiction: Contradiction | None = None
    position: Position | None = field(default=None, compare=False)

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """Every condition, those of the branches last."""
        return conditions_of(self)


@frozen
class Input:
    """One keyword argument of a calculation.

    ``source``: fact, figure, kit, facing (property of the kit's facing), table (kit table of order.yaml),
    value (literal) or choice (literal text). ``unit`` is the unit the source's number is in.
    A facing's curve is two inputs, named curve_temperatures and curve_factors.
    ``first_of``: alternatives, the first known one counts (figures only).
    """

    source: str
    name: str = ""
    value: Value | None = None
    unit: str = ""
    first_of: tuple["Input", ...] = ()


@frozen
class Calculation:
    """One mechanics function computing one fact (stage consistency or case) or one figure (stage kit).

    ``inputs``: pairs (keyword, Input). ``units``: pairs (keyword, unit the function wants, "any" for any).
    ``result_unit``: unit the function gives; ``unit``: unit of what it ``gives``.
    """

    id: str
    title: str
    stage: str  # consistency, case, kit
    gives: str
    unit: str
    function: str  # "friction.torque_capacity"
    inputs: tuple[tuple[str, Input], ...]
    units: tuple[tuple[str, str], ...]
    result_unit: str
    because: str
    basis: Basis
    hash: str
    position: Position | None = field(default=None, compare=False)


@frozen
class KitTable:
    """A number in ``unit`` looked up by kit fields: ``rows`` are (row id, ((field, values), ...), value); disjoint."""

    name: str
    by: tuple[str, ...]
    rows: tuple
    because: str
    basis: Basis
    complete: bool = False
    unit: str = "1"


@frozen
class Step:
    """How far two values must lie apart before a driver feels it: steps of one ``share``, one of them at ``start``."""

    name: str
    share: float
    start: float
    unit: str
    because: str
    basis: Basis


@frozen
class Order:
    """Concerns by importance, the tables over kit fields (harshness among them), and steps a driver can feel."""

    concerns: tuple[str, ...]
    tables: Mapping[str, KitTable]
    steps: Mapping[str, Step]


@frozen
class AskedBack:
    """Something asked of the advice: what it is ``about``, ways of asking, and (class, words) of a figure's classes."""

    about: str
    said: tuple[str, ...]
    classes: tuple[tuple[str, str], ...] = ()


@frozen
class Question:
    """How an asked fact is asked.

    ``all`` and ``any`` (as of a rule) are conditions on what is answered or on file: where there are some, it is asked
    by itself only where they hold; ``unless`` are groups of them under which nobody would ask it, one whole group being
    enough. ``first``: where it is asked at all, before every other question. ``fitter``: measured in the workshop,
    never asked of a caller. ``wish``: what the answer asks for, as in "a lighter pedal costs 100.00 EUR more".
    ``options``: (choice, plain words). ``before_stopping``: groups of conditions under which no interview ends without
    it.
    """

    fact: str
    topic: str
    plain: str
    short: str
    help: str = ""
    effort: str = "memory"  # memory, look, measure
    all: tuple[Condition, ...] = ()
    any: tuple[Branch, ...] = field(default=(), metadata={HASHED_AS: _branches_hashed})
    first: bool = False
    wish: str = ""
    unless: tuple[tuple[Condition, ...], ...] = ()
    fitter: bool = False
    options: tuple[tuple[str, str], ...] = ()
    before_stopping: tuple[tuple[Condition, ...], ...] = ()

    @property
    def pointed(self) -> bool:
        """Is it asked only where something points there?"""
        return bool(self.all or self.any)


@frozen
class Facing:
    """Friction and limits of one facing: property name -> number; ``curve`` pairs (degC, factor)."""

    name: str
    label: str
    numbers: Mapping[str, float]
    units: Mapping[str, str]
    curve: tuple[tuple[float, float], ...]
    bases: Mapping[str, Basis]


@frozen
class Estimate:
    """A number ``field`` of a kit that sellers do not print: ``likely``, ``low`` and ``high`` in ``unit``.

    They hold where each field of ``powers`` (field, power, at) is what ``at`` says, and go with it to its power.
    ``of_kits``: pairs (field, values) of the kits it is for; ``unless``: fields that tell it better. ``hardest``: the
    end (low, high) at which a must on safety is read; ``hardest_of_factory``: the same of a factory clutch.
    """

    id: str
    field: str
    unit: str
    of_kits: tuple[tuple[str, tuple[Value, ...]], ...]
    powers: tuple[tuple[str, float, float], ...]
    likely: float
    low: float
    high: float
    hardest: str
    measure: str
    because: str
    basis: Basis
    hardest_of_factory: str = ""
    unless: tuple[str, ...] = ()


@frozen
class Limit:
    """What a fitter measures against where the makers say nothing else: both ends in ``unit``."""

    name: str
    low: float
    high: float
    unit: str
    basis: Basis

    @property
    def why(self) -> str:
        """Where it comes from, in one line."""
        return "; ".join(part for part in (self.basis.source, self.basis.caution) if part)


@frozen
class Remark:
    """Something in the rules that is allowed but worth a look: shown by the check, never an error.

    ``stale``: a house rule stands in the place of a shipped one that has changed, or is gone. ``until_proved``: what
    two rules alone leave open, and a proof over all rules settles.
    """

    what: str
    position: Position | None = None
    stale: bool = False
    until_proved: bool = False

    def __str__(self) -> str:
        return f"{self.position}: {self.what}" if self.position else self.what


@frozen
class Knowledge:
    """Everything in the rules folder, checked. Mappings keep file order; ``sha256`` is hex.

    ``facts`` also holds what set-up rules read about the kit: ``kit_<field>`` for every kit field (source
    kit) and every figure by its own name (source figure).
    """

    facts: Mapping[str, Fact]
    figures: Mapping[str, Figure]
    kit_fields: Mapping[str, KitField]
    rules: tuple[Rule, ...]
    calculations: tuple[Calculation, ...]
    figure_calculations: tuple[Calculation, ...]
    facings: Mapping[str, Facing]
    order: Order
    questions: Mapping[str, Question]
    workshop: Mapping[str, Limit]
    sha256: str
    remarks: tuple[Remark, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    edition: str = ""  # name and version of the rule set; empty where it says none
    asked_back: Mapping[str, AskedBack] = field(default_factory=dict)
    #: House rule -> the shipped rule that it stands in the place of.
    replaced: Mapping[str, str] = field(default_factory=dict)
    #: The sets of words of the vocabulary, by name.
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@frozen
class Record:
    """A kit, platform or part: canonical field values (absent where not given) and its place."""

    kind: str
    id: str
    fields: Mapping[str, Any]
    position: Position | None = field(default=None, compare=False)
