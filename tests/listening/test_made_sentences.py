"""Of sentences made by grammar a sample; all of them: ``python -m tests.full understanding``."""

import pytest

from tests.listening.made_sentences import FACTS, changed_by_noise, numbers_differ, taken, wrongly_framed
from tests.listening.test_sentences import listener


def test_every_fact_is_taken_where_it_is_plainly_said():
    assert [fact.plain for fact in FACTS if not taken(listener(), fact.plain)] == []


def test_a_fact_in_a_frame_is_not_taken():
    many, wrong = wrongly_framed(listener(), step=41)
    assert many > 100 and wrong == []


@pytest.mark.parametrize(
    "frame", ("when I bought it it {past}", "it {past} before I changed all that", "say it {present}")
)
def test_the_words_of_an_answer_do_not_hide_the_frame_around_it(frame):
    for fact in FACTS:
        heard = taken(listener(), frame.format(past=fact.past, present=fact.present))
        assert not heard.items() & taken(listener(), fact.plain).items(), (fact, heard)


def test_who_says_it_himself_supposes_nothing():
    plain = taken(listener(), "it slips on full boost")
    assert plain and taken(listener(), "I'd say it slips on full boost") == plain


def test_asides_order_and_slips_change_nothing():
    many, changed = changed_by_noise(listener(), step=19)
    assert many > 50 and changed == []


def test_a_number_is_the_same_in_every_writing():
    assert numbers_differ(listener()) == []
