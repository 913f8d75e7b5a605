"""A day to come back on, as a calendar file (RFC 5545) that any calendar reads; it holds no secret."""

import datetime

#: Octets of a line before it is folded (RFC 5545, 3.1); the hour at which the calendar reminds.
LONGEST_LINE, HOUR = 75, 9


def reminder(
    day: datetime.date, summary: str, description: str, *, address: str, mark: str, now: datetime.datetime
) -> str:
    """One whole day with a reminder in its morning; ``mark``: its own name, ``now``: with its time zone."""
    stamp = now.astimezone(datetime.UTC)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//least-clutch//pages//EN",
        "BEGIN:VEVENT",
        f"UID:{mark}",
        f"DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"SUMMARY:{_text(summary)}",
        f"DESCRIPTION:{_text(description)}",
        f"URL:{address}",
        "TRANSP:TRANSPARENT",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_text(summary)}",
        f"TRIGGER:PT{HOUR}H",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
    ]
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def _text(value: str) -> str:
    """A value of the kind TEXT (3.3.11): what would end or part it is marked; signs that show nothing are left out."""
    value = "".join(sign for sign in value if sign == "\n" or sign.isprintable())
    for sign in ("\\", ";", ","):
        value = value.replace(sign, f"\\{sign}")
    return value.replace("\n", "\\n")


def _folded(line: str) -> str:
    """A long line on several, each after the first begun by a blank; no sign is cut in two."""
    folded, octets = "", 0
    for sign in line:
        size = len(sign.encode())
        if octets + size > LONGEST_LINE:
            folded, octets = f"{folded}\r\n ", 1
        folded, octets = folded + sign, octets + size
    return folded
