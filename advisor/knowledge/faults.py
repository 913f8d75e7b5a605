"""Collecting every fault of one pass, so that an author sees them all at once."""

import difflib
from contextlib import contextmanager

from ..errors import AdvisorError, ErrorList, KnowledgeError, Position


class Faults:
    """Faults found so far; ``kind`` is the class of error each becomes."""

    def __init__(self, kind=KnowledgeError):
        self.kind = kind
        self.errors = []

    def __bool__(self):
        return bool(self.errors)

    def add(self, what, where, remedy="", value=None):
        """Note a fault at a Node or Position."""
        place = getattr(where, "position", where)
        self.errors.append(self.kind(what, where=place, remedy=remedy, value=value))

    @contextmanager
    def at(self, where):
        """Note what goes wrong inside at ``where``, unless the error knows its own place, and go on after it."""
        try:
            yield
        except ErrorList as several:
            self.errors.extend(several.errors)
        except AdvisorError as error:
            if error.where is not None:
                self.errors.append(error)
            else:
                self.add(error.what, where, error.remedy, error.value)

    @contextmanager
    def placed(self, where):
        """Give an error raised inside its place, unless it has one, and let it go on."""
        try:
            yield
        except AdvisorError as error:
            if error.where is not None:
                raise
            self.refuse(error.what, where, error.remedy, error.value)

    def refuse(self, what, where, remedy="", value=None):
        """Raise a fault at a Node or Position, to be caught by the nearest `at`."""
        raise self.kind(what, where=getattr(where, "position", where), remedy=remedy, value=value)

    def finish(self):
        """Raise everything found, in file order; nothing where nothing was found."""
        if self.errors:
            raise ErrorList(sorted(self.errors, key=_place))


def _place(error):
    where = error.where or Position("")
    return where.file, where.line, where.column, error.what


def nearest(name, names):
    """The most similar of ``names``, or ``""``."""
    found = difflib.get_close_matches(str(name)[:80], [str(one) for one in names], 1, 0.6)
    return found[0] if found else ""


def did_you_mean(name, names):
    """A remedy: the nearest name, or the whole short list."""
    near = nearest(name, names)
    if near:
        return f"Did you mean {near}?"
    names = list(names)
    return f"Known are {', '.join(names)}." if 0 < len(names) <= 12 else "Check the spelling."
