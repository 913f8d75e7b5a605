"""Several counters with casebooks of their own and a shop's: random writes, hand-overs, interruptions, erasures.

Everything is written down beside as it is acknowledged, and held against the casebooks in the end.
"""

import contextlib
import random
import shutil
from collections import Counter as Tally
from pathlib import Path

from advisor.casebook import anchors, casebook_file, quotes, sales, seals, shape, signatures, signing, statements
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.handing_over import hand_over
from advisor.errors import AdvisorError

from . import shelf

NAMES = ("WEST", "EAST", "NORTH", "SOUTH")
CASES = ("mild-street-tune", "nothing-fits")


SYLLABLES = ("ba", "ke", "di", "fo", "gu", "ha", "je", "li", "mo", "nu")


def invented_name(number):
    """Given name and surname of nobody, others for every number below 10,000."""
    word = "".join(SYLLABLES[int(digit)] for digit in f"{number:04d}").capitalize()
    return f"{word}s {word}vik"


class CutOff(Exception):
    """Somebody pulled the plug."""


class Fragile:
    """A connection that is cut at its n-th statement."""

    def __init__(self, connection, left):
        self._connection, self._left = connection, left

    def execute(self, sql, values=()):
        self._left[0] -= 1
        if self._left[0] < 0:
            raise CutOff
        return self._connection.execute(sql, values)


def cut_after(store, count):
    """From now on the store's transactions are cut after so many statements, counted over all of them."""
    whole, left = store.transact, [count]
    store.transact = lambda action: whole(lambda connection: action(Fragile(connection, left)))


class Shop:
    """A shop of some counters; ``lead``: an opened key to sign with."""

    def __init__(self, folder, seed, lead=None, counters=3, shop=None):
        self.pick = random.Random(seed)
        self.folder, self.lead = folder, lead
        self.shop = shop or folder / "shop.sqlite"
        self.own = {name: folder / f"{name.lower()}.sqlite" for name in NAMES[:counters]}
        Casebook(self.shop).close()
        for path in self.own.values():
            # A file, wherever the shop's casebook stands.
            casebook_file.make(path)
        #: Digest -> (counter, number there) of every entry that a counter acknowledged.
        self.acknowledged = {}
        self.anchors = []
        self.people = 0
        #: Name -> where it was erased.
        self.erased = {}
        self.interrupted = self.handed = 0

    # --- what people do

    def step(self):
        """One thing that somebody does somewhere."""
        name = self.pick.choice([*self.own, ""])
        place = self.own.get(name, self.shop)
        acts = (self.save, self.save, self.note, self.note, self.sell, self.quote, self.sign, self.forget, self.anchor)
        with Casebook(place, counter=name) as book:
            before = book.store.row(statements.HEAD)[1]
            self.pick.choice(acts)(book, name)
            if name:
                for entry in book.entries_of(statements.SOME_ENTRIES_AFTER, (before, 1000)):
                    self.acknowledged[entry.digest] = (name, entry.number)
        if self.pick.random() < 0.4:
            self.hand_over(self.pick.choice(list(self.own)), cut=self.pick.random() < 0.5)

    def save(self, book, _):
        self.people += 1
        caller = invented_name(self.people)
        phone = f"0151 77{self.people:05d}"
        shelf.save(book, self.pick.choice(CASES), by="counter hand", name=caller, phone=phone, note=f"{caller} rang")

    def _some(self, book, decided=False):
        numbers = [row["number"] for row in book.overview() if row["decision"] is not None or not decided]
        return self.pick.choice(numbers) if numbers else None

    def note(self, book, _):
        number = self._some(book)
        if number is not None:
            person = next((parts for parts in book.private_of(number).values() if "name" in parts), {})
            book.note(number, f"rang again: {person.get('name', 'somebody')}", by="counter hand")

    def sell(self, book, _):
        number = self._some(book, decided=True)
        kit = None if number is None else book.standing(number)[1].body["pick"]
        if kit and book.sale(number) is None:
            sales.sell(book, number, kit, by="counter hand")

    def quote(self, book, name):
        from advisor.explaining.quoting import quoted_kits
        from advisor.explaining.worded import WordedRecord

        number = self._some(book, decided=True)
        if number is None or book.standing(number)[1].body["pick"] is None:
            return
        record = book.record(book.standing(number)[1])
        lines = quoted_kits(WordedRecord(record, shelf.decider().shop.wording(shelf.decider().knowledge)))[0].lines
        quotes.keep_quote(book, number, [record.pick_id], lines, counter=name or "DESK", days=14)

    def sign(self, book, _):
        number = self._some(book, decided=True)
        if number is None:
            return
        if self.lead is None:
            book.sign(number, by="The Lead", text="agreed")
        else:
            asked = signatures.to_sign(book, number)
            signatures.take(book, number, signing.sign(asked, self.lead, by="The Lead", verdict="sign_off", text="yes"))

    def forget(self, book, name):
        number = self._some(book)
        callers = (
            [] if number is None else [parts["name"] for parts in book.private_of(number).values() if "name" in parts]
        )
        if callers:
            book.forget(number)
            self.erased.update(dict.fromkeys(callers, name))

    def anchor(self, book, _):
        with contextlib.suppress(AdvisorError):  # nothing is in it yet
            self.anchors.append(anchors.anchor_of(book.store))

    # --- handing over

    def hand_over(self, name, cut=False, piece=None):
        """Hand a counter's casebook over, cut off somewhere on the way; what came of it, or None."""
        with Casebook(self.own[name], counter=name) as own, Casebook(self.shop) as shop:
            if cut:
                cut_after(self.pick.choice((own, shop, shop, shop)).store, self.pick.randrange(0, 60))
            try:
                done = hand_over(own, shop, name, piece=piece or self.pick.choice((1, 3, 7, 200)))
            except CutOff:
                self.interrupted += 1
                done = None
        self._own_entries(name)
        self.handed += 1
        return done

    def _own_entries(self, name):
        """Entries that a hand-over wrote into a counter's casebook: what the shop had erased."""
        with Casebook(self.own[name], write=False) as book:
            for entry in book.every_entry():
                self.acknowledged.setdefault(entry.digest, (name, entry.number))

    def settle(self, order=None):
        """Hand everything over until neither side has anything left to tell the other."""
        for _ in range(2):
            for name in order or self.own:
                self.hand_over(name)

    # --- what must hold

    def faults(self):
        """What does not hold, in words."""
        for path in (self.shop, *self.own.values()):
            for fault in check_file(path).faults:
                yield f"{path}: {fault}"
        with Casebook(self.shop, write=False) as shop:
            yield from anchors.faults(
                shop.store, [kept for kept in self.anchors if self._handed_over(shop, kept) is not None]
            )
            yield from self._each_once(shop)
            yield from self._people(shop)

    def _handed_over(self, shop, anchor):
        if anchor.casebook == shop.store.row(statements.HEAD)[0]:
            return anchor
        row = shop.store.row(statements.LAST_LINK, (anchor.casebook,))
        return anchor if row and row[0] >= anchor.entry else None

    def _each_once(self, shop):
        links = Tally(row[3] for row in shop.store.rows(statements.EVERY_LINK))
        said = Tally(digest for entry in shop.every_entry() for digest in shape.digests(entry)[1:])
        for digest, (name, number) in self.acknowledged.items():
            if links[digest] != 1 or said[digest] != 1:
                yield f"entry {number} of {name} stands {said[digest]} times, with {links[digest]} links"
        if len(links) != len(self.acknowledged) + sum(1 for _ in shop.store.rows(statements.COUNTERS)):
            yield f"{len(links)} links for {len(self.acknowledged)} entries"

    def _people(self, shop):
        words = {name: name.encode() for name in self.erased}
        for path in filter(Path.is_file, (self.shop, *self.own.values())):
            raw = path.read_bytes()
            yield from (f"{name} still stands in {path.name}" for name, word in words.items() if word in raw)
        for _, part, _, _, text in shop.store.rows(statements.EVERY_APART):
            for name in self.erased if text else ():
                if name in text:
                    yield f"{name} still stands in part {part} of the shop's book"

    def told(self):
        """What the shop's book holds of each counter's cases, in a form that says nothing of its own numbers."""
        with Casebook(self.shop, write=False) as shop:
            held = {}
            for row in shop.store.rows(statements.EVERY_LINK):
                casebook, number, case, digest = row[:4]
                held[casebook, number] = (
                    case,
                    digest,
                    shop.called(shop.store.row("SELECT in_case FROM entry WHERE number = ?", row[4:5])[0]),
                )
            return held

    def copy(self, folder):
        """The same shop in another folder, as it stands."""
        other = Shop.__new__(Shop)
        other.__dict__.update(self.__dict__)
        folder.mkdir()
        other.shop = folder / "shop.sqlite"
        other.own = {name: folder / path.name for name, path in self.own.items()}
        for old, new in ((self.shop, other.shop), *((self.own[name], other.own[name]) for name in self.own)):
            shutil.copy(old, new)
            seals.begin_anew(str(new))
        other.acknowledged, other.pick = dict(self.acknowledged), random.Random(1)
        return other
