"""The calendar file, held against the grammar of RFC 5545: lines (3.1), texts (3.3.11), what must stand in it (3.6)."""

import datetime
import re

from advisor.web.calendar_file import reminder
from tests.web.browsing import HOST

NOW = datetime.datetime(2026, 11, 28, 13, 5, 9, tzinfo=datetime.timezone(datetime.timedelta(hours=1)))
#: contentline = name *(";" param) ":" value CRLF (RFC 5545, 3.1), without quoted parameters.
LINE = re.compile(r"[A-Z-]+(;[A-Z-]+=[^\x00-\x1f\x7f\";:,]+)*:[^\x00-\x08\x0a-\x1f\x7f]*")
#: text = *(TSAFE-CHAR / ":" / DQUOTE / ESCAPED-CHAR) (3.3.11).
TEXT = re.compile(r"(?:\\[\\;,Nn]|[^\\;,\x00-\x1f\x7f])*")


def lines_of(text):
    """The content lines, unfolded; every physical line holds 75 octets at the most and ends with CR and LF."""
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    assert max(len(line.encode()) for line in text.split("\r\n")) <= 75
    lines = text.replace("\r\n ", "").split("\r\n")[:-1]
    assert all(LINE.fullmatch(line) for line in lines)
    return lines


def test_it_holds_what_an_event_must_and_reads_back():
    said = 'Ring; or come, \\ "soon"\nSchaltgetriebe prüfen ' + "ü" * 90 + "\x00\u202e"
    lines = lines_of(reminder(datetime.date(2026, 12, 5), said, said, address="https://x.test/a", mark="m1", now=NOW))
    held = dict(line.split(":", 1) for line in lines if not line.startswith(("BEGIN", "END")))
    assert [line for line in lines if line.startswith(("BEGIN", "END"))] == [
        *("BEGIN:VCALENDAR", "BEGIN:VEVENT", "BEGIN:VALARM", "END:VALARM", "END:VEVENT", "END:VCALENDAR")
    ]
    assert held["VERSION"] == "2.0" and held["PRODID"] and held["UID"] == "m1"
    assert held["DTSTAMP"] == "20261128T120509Z" and held["DTSTART;VALUE=DATE"] == "20261205"
    assert held["ACTION"] == "DISPLAY" and held["TRIGGER"] == "PT9H"
    assert TEXT.fullmatch(held["SUMMARY"]) and TEXT.fullmatch(held["DESCRIPTION"])
    back = re.sub(r"\\(.)", lambda mark: "\n" if mark[1] in "nN" else mark[1], held["SUMMARY"])
    assert back == said.replace("\x00\u202e", "")


def test_a_customer_comes_back_on_a_day(app, browser):
    browser.get("/").send("/begin").get("/link")
    form = dict(browser.form("/come-back").fields)
    day, token = form["on"], form["csrf_token"]
    assert (datetime.date.fromisoformat(day) - datetime.date.today()).days == 7
    answer = browser.client.post("/come-back", data={"csrf_token": token, "on": day}, base_url=HOST)
    assert (
        answer.content_type == "text/calendar; charset=utf-8" and "attachment" in answer.headers["Content-Disposition"]
    )
    lines = lines_of(answer.get_data(as_text=True))
    assert f"DTSTART;VALUE=DATE:{day.replace('-', '')}" in lines and f"URL:{HOST}/answers" in lines
    assert not any("/open/" in line for line in lines), "no secret goes into a calendar"
    for wrong in ("", "2020-01-01", "9999-12-31", "tomorrow", "2026-02-30", "2026-1-1\r\nX:1"):
        browser.post("/come-back", {"csrf_token": token, "on": wrong})
        assert browser.status == 400 and browser.title.startswith("Error: ") and 'href="#on"' in browser.page, wrong
