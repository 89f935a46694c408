"""An alarm file for the phone's own calendar: it rings with the page closed."""

from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event

from kennelward.desk.pages.bench.phase import ReadingTime


def alarm_file(
    *, test: str, dog: str, kit: str, time: ReadingTime, at: datetime
) -> bytes:
    """A calendar with two alarms: when reading starts and when it ends.

    `at` is now, for the file's stamp. Ids are stable, so opening it twice adds nothing.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Kennelward//Bench//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    words = {"dog": dog, "kit": kit}
    calendar.add_component(
        _event(
            uid=f"{test}-from@kennelward",
            when=time.read_from,
            until=time.read_until,
            says=_("Read the strip now: %(dog)s, %(kit)s") % words,
            at=at,
        )
    )
    calendar.add_component(
        _event(
            uid=f"{test}-until@kennelward",
            when=time.read_until,
            until=time.read_until + timedelta(minutes=1),
            says=_("Reading time is over: %(dog)s, %(kit)s") % words,
            at=at,
        )
    )
    return bytes(calendar.to_ical())


def _event(
    *, uid: str, when: datetime, until: datetime, says: str, at: datetime
) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", at)
    event.add("dtstart", when)
    event.add("dtend", until)
    event.add("summary", says)
    ring = Alarm()
    ring.add("action", "DISPLAY")
    ring.add("description", says)
    ring.add("trigger", timedelta(0))
    event.add_component(ring)
    return event
