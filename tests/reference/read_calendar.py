"""Reads calendar files with two independent parsers and prints what each found, as JSON.

    python3 read_calendar.py FIRST.ics SECOND.ics

Each parser takes in the first file and then the second the way a calendar program does: an event replaces
the one of the same UID if its SEQUENCE is not lower. Tried with icalendar 7.3.2 and vobject 0.9.9, Python
3.11.7. Exit status 3 where one of the packages is missing.
"""

import datetime
import json
import sys

try:
    import icalendar
    import vobject
except ImportError as missing:
    print(missing, file=sys.stderr)
    sys.exit(3)


def plain(value):
    return value.isoformat() if isinstance(value, (datetime.date, datetime.datetime)) else str(value)


def by_icalendar(text):
    calendar = icalendar.Calendar.from_ical(text)
    for event in calendar.walk("VEVENT"):
        yield {
            "uid": str(event["UID"]),
            "sequence": int(event["SEQUENCE"]),
            "status": str(event["STATUS"]),
            "summary": str(event["SUMMARY"]),
            "start": plain(event["DTSTART"].dt),
            "end": plain(event["DTEND"].dt),
        }


def by_vobject(text):
    calendar = vobject.readOne(text)
    for event in calendar.vevent_list:
        yield {
            "uid": event.uid.value,
            "sequence": int(event.sequence.value),
            "status": event.status.value,
            "summary": event.summary.value,
            "start": plain(event.dtstart.value),
            "end": plain(event.dtend.value),
        }


def taken_in(parse, texts):
    kept, counts = {}, []
    for text in texts:
        for event in parse(text):
            known = kept.get(event["uid"])
            if known is None or known["sequence"] <= event["sequence"]:
                kept[event["uid"]] = event
        counts.append(len(kept))
    events = sorted(kept.values(), key=lambda event: event["uid"])
    return {"counts": counts, "events": events}


texts = [open(path, encoding="utf-8", newline="").read() for path in sys.argv[1:]]
json.dump({"icalendar": taken_in(by_icalendar, texts), "vobject": taken_in(by_vobject, texts)}, sys.stdout)
