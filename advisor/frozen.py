"""Small classes whose objects never change, quickly made.

`frozen` is ``dataclasses.dataclass(frozen=True, slots=True)`` in all that is seen of it: fields, defaults, equality,
hash, ``repr``, copies and pickles, and what `dataclasses` does with such classes. That one, though, compiles six
functions for every class at every start of the program, which for the hundred and thirty classes behind a decision took
a seventh of the whole command. Here one is compiled for all classes of as many fields, whose names are then put into
it; the others serve all classes alike.

What no class here needs is refused, not left out in silence: fields that are no arguments, or by keyword alone, or not
shown, and ``__post_init__``.
"""

import dataclasses
import functools
import operator
from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError
from types import CodeType, FunctionType
from typing import Any, NoReturn, TypeVar, dataclass_transform, overload

Kind = TypeVar("Kind", bound=type)


@overload
def frozen(kind: Kind, /) -> Kind: ...
@overload
def frozen(*, eq: bool = True, slots: bool = True) -> Callable[[Kind], Kind]: ...


@dataclass_transform(frozen_default=True, field_specifiers=(dataclasses.field,))
def frozen(kind: Any = None, /, *, eq: bool = True, slots: bool = True) -> Any:
    """A class of the fields it annotates, all of them arguments; no object of it is changed once it is made.

    ``eq``: equal where all fields are, else only to itself. ``slots``: nothing but its fields can be kept with it; what
    is worked out once (`functools.cached_property`) needs a class without.
    """

    def decorate(kind: type) -> type:
        return _filled(dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)(kind), eq, slots)

    return decorate if kind is None else decorate(kind)


def _filled(kind, eq, slots):
    fields = dataclasses.fields(kind)
    if hasattr(kind, "__post_init__") or not all(field.init and field.repr and not field.kw_only for field in fields):
        raise TypeError(f"{kind.__qualname__} wants more than frozen does: use dataclasses.dataclass(frozen=True)")
    functions = {"__init__": _init(kind, fields), "__repr__": _repr}
    if eq:
        functions |= _equality(fields)
    if slots:
        functions |= {"__getstate__": _getstate, "__setstate__": _setstate}
    for name, function in functions.items():
        if name not in vars(kind):
            setattr(kind, name, function)
    kind.__setattr__, kind.__delattr__ = _set, _delete
    return kind


def _init(kind, fields: "tuple[Field[Any], ...]"):
    """A function whose arguments are the fields."""
    anew = tuple(field.default_factory is not MISSING for field in fields)
    code = _compiled(anew)
    names = {_placeholder(place): field.name for place, field in enumerate(fields)}
    code = code.replace(
        co_varnames=("self", *names.values()),
        co_consts=tuple(names.get(constant, constant) for constant in code.co_consts),
        co_qualname=f"{kind.__qualname__}.__init__",
    )
    needed = [field.default is MISSING and not factory for field, factory in zip(fields, anew)]
    count = sum(needed)
    if not all(needed[:count]):
        raise TypeError(f"{kind.__qualname__} has a field without a default behind one that has it")
    defaults = tuple(field.default for field in fields[count:])
    factories = {f"make_{_placeholder(place)}": field.default_factory for place, field in enumerate(fields)}
    names_used = {"set_field": object.__setattr__, "missing": MISSING, **factories}
    return FunctionType(code, names_used, "__init__", defaults)


def _placeholder(place: int) -> str:
    return f"field_{place}"


@functools.cache
def _compiled(anew: tuple[bool, ...]) -> CodeType:
    """The code of an ``__init__`` of so many fields; ``anew``: whether a field's default is made anew every time.

    To compile takes several times as long as to put names into what is compiled, and there are few numbers of fields.
    """
    names = [_placeholder(place) for place in range(len(anew))]
    values = [
        f"make_{name}() if {name} is missing else {name}" if factory else name for name, factory in zip(names, anew)
    ]
    lines = [f" set_field(self, {name!r}, {value})" for name, value in zip(names, values)]
    functions: dict[str, Any] = {}
    exec(f"def __init__({', '.join(('self', *names))}):\n" + ("\n".join(lines) or " pass"), functions)
    return functions["__init__"].__code__


def _equality(fields):
    compared = _values([field.name for field in fields if field.compare])
    hashed = _values([field.name for field in fields if (field.compare if field.hash is None else field.hash)])

    def __eq__(self, other):
        return compared(self) == compared(other) if other.__class__ is self.__class__ else NotImplemented

    def __hash__(self):
        return hash(hashed(self))

    return {"__eq__": __eq__, "__hash__": __hash__}


def _values(names):
    """A function of an object that gives the values of its fields as a tuple."""
    if len(names) > 1:
        return operator.attrgetter(*names)
    return lambda holder: tuple(getattr(holder, name) for name in names)


def _repr(self):
    values = ", ".join(f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self))
    return f"{self.__class__.__qualname__}({values})"


def _set(self: object, name: str, _: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(self: object, name: str) -> NoReturn:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _getstate(self):
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _setstate(self, state):
    for field, value in zip(dataclasses.fields(self), state):
        object.__setattr__(self, field.name, value)
