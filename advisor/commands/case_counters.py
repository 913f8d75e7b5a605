"""The sub-command of ``advisor case`` by which a counter hands its own casebook over to the shop's."""

from argparse import ArgumentParser, Namespace
from collections.abc import Callable

from ..casebook.book import Casebook
from ..errors import InputError, StoreError
from ..knowledge.sentences import count
from . import opening

EPILOG = (
    "A counter whose way to the shop's casebook can be cut names both in shop.toml: casebook, the shop's, own_casebook,"
    " a file on its own disk, and counter, a name of its own. Every command then goes by the shop's where that can be"
    " reached, else by its own, and says so. Cases keep the numbers they got at the counter, WEST/12; a broken-off"
    " hand-over is simply done again. What either side erased of a person is erased on the other."
)


def add(action: Callable[..., ArgumentParser]) -> None:
    """Set up the sub-command."""
    parser = action(
        "hand-over", "hand this counter's own casebook over to the shop's", run_hand_over, write=True, output=False
    )
    parser.epilog = EPILOG
    parser.add_argument("--own", metavar="FILE", help="the counter's own casebook, where shop.toml does not name it")
    parser.add_argument("--counter", metavar="NAME", help="the counter's name, where shop.toml does not give it")
    parser.add_argument("--make", action="store_true", help="make the shop's casebook where there is none yet")


def run_hand_over(arguments: Namespace) -> int:
    """Hand over; what came of it in a few lines."""
    from ..casebook.handing_over import hand_over

    own = arguments.own or opening.own_casebook(arguments)
    shop = opening.shops_casebook(arguments)
    if own is None or shop is None:
        missing = "the counter's own casebook" if own is None else "the shop's casebook"
        raise InputError(
            f"nothing says where {missing} is.",
            remedy="Name both in shop.toml (casebook, own_casebook), or with --casebook and --own.",
        )
    Casebook(own, write=False).close()
    if not arguments.make:
        _must_be_there(shop)
    counter = arguments.counter or opening.shop_of(arguments).counter
    with Casebook(own, counter=counter) as counters_book, Casebook(shop) as shops_book:
        done = hand_over(counters_book, shops_book, counter)
        of_both = dict.fromkeys((counters_book.store.traces, shops_book.store.traces))
        traces = "" if done.wiped else " ".join(of_both)
    if not done.entries and not done.known:
        opening.say(f"{done.name}: nothing waited to be handed over.")
    else:
        stood = f", {done.known} stood there already" if done.known else ""
        entries = count(done.entries, "entry", "entries")
        opening.say(f"{done.name}: {entries} of {count(len(done.cases), 'case')} handed over{stood}.")
    if done.erased_here or done.erased_there:
        opening.say(
            f"Erased on the other side before: {count(done.erased_here, 'text')} erased in your own casebook,"
            f" {done.erased_there} in the shop's."
        )
    if traces:
        opening.say(traces)
    for case in done.at_both:
        opening.say(f"Case {case} went on in the shop's casebook too: what came last counts. advisor case show {case}")
    for number in done.quotes:
        opening.say(f"Two quotes have the number {number}: name the case where you look for one.")
    return 0


def _must_be_there(shop):
    """StoreError where the shop's casebook cannot be opened: it is made only where that is asked for."""
    try:
        Casebook(shop, write=False).close()
    except StoreError as error:
        if "no casebook here" not in error.what:
            raise
        raise StoreError(
            error.what,
            where=error.where,
            remedy="Where the shop has none yet: advisor case hand-over --make. Else see why it cannot be reached.",
        ) from None
