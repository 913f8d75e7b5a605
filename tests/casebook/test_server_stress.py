"""Kills of writers and of their server, and a network that drops, in the counts of an ordinary run."""

import pytest

from .. import database
from . import server_stress, stores

pytestmark = [pytest.mark.needs("server"), pytest.mark.file_only]  # it names its places itself


@pytest.fixture
def place(tmp_path):
    """The address of an empty casebook, as its owner."""
    with database.emptied(stores.schema(tmp_path)):
        yield stores.address(tmp_path)


def test_nothing_acknowledged_is_lost_or_doubled_when_writers_and_their_server_are_killed(place, tmp_path):
    storm = server_stress.Storm(tmp_path, place, place, writers=4, seed=7)
    try:
        for number in range(4):
            storm.work(8, 10.0)
            storm.kill_one()
            if number % 2:
                database.server().kill()
                database.server().start()
        storm.work(8, 10.0)
    finally:
        storm.end()
    acknowledged, entries = storm.look()
    assert 0 < acknowledged <= entries


def test_nothing_acknowledged_is_lost_or_doubled_when_the_network_drops(place, tmp_path):
    way = server_stress.Dropping(database.server().port, seed=7)
    storm = server_stress.Storm(tmp_path, place, stores.address(tmp_path, port=way.port), writers=4, seed=7)
    try:
        while way.cuts < 8:
            storm.work(4, 10.0)
            way.cut()
        storm.work(4, 10.0)
    finally:
        storm.end()
        way.end()
    acknowledged, entries = storm.look()
    assert 0 < acknowledged <= entries
