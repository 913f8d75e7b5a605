"""A code read out on the telephone: how it is written; that it opens once, for ten minutes, and after few tries."""

import threading

import pytest

from advisor.web import codes
from tests.web import hostile
from tests.web.browsing import COUNTER, HOST, LEAD, Browser, app_in


@pytest.fixture(scope="module")
def shop_app(tmp_path_factory):
    """An application whose codes nobody else tries."""
    return app_in(tmp_path_factory.mktemp("codes"))


@pytest.fixture
def given(shop_app, request):
    """(browser of the counter at a case of its own, the code it was given)."""
    number = request.node.session.items.index(request.node) % 200
    counter = Browser(shop_app, f"10.60.{number}.1").come_in(COUNTER).get("/counter/").send("/begin")
    counter.send(f"{counter.path}/line", line="bramble 20t, about 417 Nm")
    return counter, give(counter)


def give(counter):
    """Have a code given at the page the browser stands at; the code."""
    number = counter.form("/code").action
    counter.send("/code")
    assert counter.status == 200 and counter.path == number, counter.path
    shown = counter.page.split('<p class="code">')[1].split("</p>")[0]
    return shown.replace(" ", "")


def customer_of(counter, last=2):
    """A browser of somebody else, at an address of his own."""
    return Browser(counter.client.application, counter.address.rpartition(".")[0] + f".{last}")


def typed(browser, code):
    """Type a code."""
    return browser.get("/code").send("/code", code=code)


def test_no_sign_is_taken_for_another_and_letters_are_spelled_out():
    assert len(set(codes.SIGNS)) == 32 and not set("01IO") & set(codes.SIGNS)
    drawn = {codes.drawn() for _ in range(200)}
    assert len(drawn) > 195 and all(len(code) == 6 and set(code) <= set(codes.SIGNS) for code in drawn)
    assert {sign for code in drawn for sign in code} == set(codes.SIGNS)
    # ITU Radio Regulations, appendix 14.
    assert codes.spelled("B2XZ9A") == "Bravo, 2, X-ray, Zulu, 9, Alfa"
    assert [codes.read(text) for text in (" b2x-z9a ", "B2X Z9A", "b 2 x z 9 a")] == ["B2XZ9A"] * 3
    assert [codes.read(text) for text in ("", "B2XZ9", "B2XZ9A2", "B2XZ90", "B2XZ9\u0391")] == [None] * 5
    # Four secret signs of 32, five tries: a chance of one in two hundred thousand.
    assert codes.TRIES / len(codes.SIGNS) ** (codes.LENGTH - codes.NAMING) < 1 / 200_000


def test_a_code_opens_the_case_on_another_telephone_and_only_once(given):
    counter, code = given
    customer = typed(customer_of(counter), codes.shown(code).lower())
    assert customer.path == "/answers" and "417" in customer.page and "The shop is working on this now" in customer.page
    counter.get(counter.path.removesuffix("/code"))
    assert "not shown again" not in counter.page and "Read it out" not in counter.page, "it was used up"
    again = typed(customer_of(counter, 3), code)
    assert again.status == 400 and again.title.startswith("Error: ") and 'href="#code"' in again.page
    # Who was let in goes on once the counter lets him.
    counter.send("/give-back")
    assert "with the customer now" in counter.page
    customer.say("main_use", "daily")
    assert "417" in customer.get("/answers").page and "every day" in customer.page


def test_a_code_ends_after_ten_minutes(given, monkeypatch):
    counter, _ = given
    assert codes.MINUTES == 10
    monkeypatch.setattr(codes, "MINUTES", 0)
    code = give(counter)
    assert typed(customer_of(counter), code).status == 400
    assert "A new code" not in counter.get(counter.path.removesuffix("/code")).page


def test_a_new_code_ends_the_old_one_and_it_can_be_ended(given):
    counter, first = given
    second = give(counter)
    assert first != second and typed(customer_of(counter), first).status == 400
    counter.send("/code/end")
    assert "A code to read out" in counter.page and typed(customer_of(counter), second).status == 400
    third = give(counter)
    customer = typed(customer_of(counter), third)
    fourth = give(counter)
    customer.get("/answers").send("/forget")
    assert typed(customer_of(counter, 3), fourth).status == 400, "the case was taken back"


def test_five_wrong_tries_end_a_code_wherever_they_come_from(given):
    counter, code = given
    last = codes.SIGNS[(codes.SIGNS.index(code[-1]) + 1) % 32]
    for number in range(4):
        assert typed(customer_of(counter, 10 + number), code[:-1] + last).status == 400
    with counter.client.application.extensions["site"].register() as register:
        assert [doing["what"] for doing in register.doings(4)] == ["typed a code that opens nothing"] * 4
    typed(customer_of(counter, 14), code[:-1] + last)
    assert typed(customer_of(counter, 15), code).status == 400
    assert (
        "typed a code that opens nothing" in Browser(counter.client.application).come_in(LEAD).get("/shop/doings").page
    )


def test_four_wrong_tries_do_not(given):
    counter, code = given
    for number in range(4):
        assert typed(customer_of(counter, 10 + number), code[:2] + "2222").status == 400 or code[2:] == "2222"
    assert typed(customer_of(counter, 14), code).path == "/answers"


def test_an_address_may_try_ten_in_ten_minutes(given):
    counter, code = given
    guesser = customer_of(counter)
    statuses = [typed(guesser, text).status for text in ("X" * 6, "", "ABC", *hostile.PIECES[:7], code, code)]
    assert statuses[:10] == [400] * 10 and statuses[10:] == [429] * 2 and int(guesser.headers["Retry-After"]) > 60
    assert typed(customer_of(counter, 3), code).path == "/answers", "nobody else waits for it"


def test_of_many_at_once_one_gets_in(given):
    counter, code = given
    app, key = counter.client.application, counter.client.application.extensions["site"].secret_keys()[0]
    opened = []

    def use():
        with app.extensions["site"].register() as register:
            opened.append(register.use_code(code, key))

    threads = [threading.Thread(target=use) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(number is not None for number in opened) == [False, False, False, True]


def test_a_code_stands_in_no_log_no_address_and_no_file(given, capsys):
    counter, code = given
    customer = typed(customer_of(counter), code[:-1] + "#")
    customer.post("/code", {"code": code, "csrf_token": "an old one"})
    assert customer.status == 400 and code not in customer.page
    typed(customer, code)
    assert customer.path == "/answers" and code not in customer.page and code not in capsys.readouterr().err
    folder = counter.client.application.extensions["site"].folders.pages
    held = b"".join(path.read_bytes() for path in folder.rglob("*") if path.is_file())
    assert len(held) > 10_000 and code.encode() not in held


def test_only_who_has_the_case_or_nobody_has_it(given):
    counter, _ = given
    other = Browser(counter.client.application, "10.61.0.1").come_in(LEAD)
    page = counter.path.removesuffix("/code")
    other.get(page)
    assert "A code to read out" not in other.page
    token = {"csrf_token": dict(other.form("/take-over").fields)["csrf_token"]}
    assert other.post(f"{page}/code", token).status == 409
    assert other.post(f"{page}/code/end", token).status == 409
    assert other.client.get(f"{page}/code", base_url=HOST).status_code == 405
