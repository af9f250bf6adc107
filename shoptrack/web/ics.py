"""The days and instants of the shop → a calendar by RFC 5545 that phones and desks subscribe to."""

from datetime import date, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event, vText

from shoptrack import __version__
from shoptrack.engine.shapes import Role
from shoptrack.flows.calendar import Due, Feed, Turn
from shoptrack.web.render import count

LOOK_AGAIN_EVERY = timedelta(minutes=30)  # a wish: most phones look when they like
OPENS: dict[Role, str] = {
    "clamps off": "clamps may come off",
    "scrape": "squeeze-out can be scraped",
    "work": "can be worked",
    "full strength": "full strength",
    "recoat": "may be recoated",
    "wipe": "may be wiped off",
    "dust free": "dust-free",
    "handle": "can be handled",
    "food contact": "food may touch it",
}
ENDS: dict[Role, str] = {
    "scrape": "last moment to scrape",
    "recoat": "last moment to recoat",
    "wipe": "last moment to wipe off",
}


def calendar_text(feed: Feed) -> bytes:
    """The calendar; equal feeds give equal bytes."""
    made = Calendar()
    made.add("version", "2.0")
    made.add("prodid", f"-//shoptrack//{__version__}//EN")
    made.add("calscale", "GREGORIAN")
    called = f"{feed.whose}’s plan · {feed.shop}" if feed.whose else feed.shop
    name = vText(plain(called))  # the library knows neither name, and escapes only what is text
    made.add("name", name)  # RFC 7986, section 5.1
    made.add("x-wr-calname", name)  # the older name of the same, which more programs read
    made.add("refresh-interval", LOOK_AGAIN_EVERY, parameters={"VALUE": "DURATION"})  # RFC 7986, section 5.7
    for due in feed.dues:
        made.add_component(event(feed, due))
    for turn in feed.turns:
        made.add_component(planned_event(feed, turn))
    return bytes(made.to_ical())


def event(feed: Feed, due: Due) -> Event:
    """One line of the calendar; it takes nobody's time, so free and busy stay as they are."""
    made = begun(feed, due.key, summary(due))
    if due.at is not None:
        made.add("dtstart", to_second(due.at))
    elif due.on is not None:
        made.add("dtstart", due.on)
        if due.on < date.max:
            made.add("dtend", due.on + timedelta(days=1))  # not included: RFC 5545, section 3.6.1
    return made


def planned_event(feed: Feed, turn: Turn) -> Event:
    """What is planned for a person on a day, said to be a plan."""
    part = f", {turn.part}" if turn.part else ""
    made = begun(feed, turn.key, f"Plan: {turn.tag} {turn.stage}{part}")
    made.add("dtstart", to_second(turn.from_at))
    made.add("dtend", to_second(turn.to_at))
    made.add("status", "TENTATIVE")
    return made


def begun(feed: Feed, key: str, words: str) -> Event:
    """A line of the calendar with its name and its words, still without its time."""
    made = Event()
    made.add("uid", str(uuid5(NAMESPACE_URL, f"shoptrack:{feed.made_at.isoformat()}:{key}")))
    made.add("dtstamp", to_second(feed.written_at))
    made.add("last-modified", to_second(feed.written_at))
    made.add("sequence", feed.revision)
    made.add("summary", plain(words))
    made.add("transp", "TRANSPARENT")
    return made


def to_second(at: datetime) -> datetime:
    """An instant as the format writes it: whole seconds."""
    return at.replace(microsecond=0)


def summary(due: Due) -> str:
    """What a phone shows: tag, stage, and what may or must be done."""
    part = f", {count(due.count)} of {count(due.quantity)}" if due.count is not None else ""
    place = f"{due.tag} {due.stage}".strip() + part
    doubt = ", joint in doubt" if due.doubtful else ""
    return f"{place}: {said(due)}{doubt}"


def said(due: Due) -> str:
    """What of it is due."""
    if due.role is not None:
        return OPENS[due.role] if due.what == "from" else ENDS.get(due.role, f"last moment, {due.role}")
    return "promised, must be kept" if due.what == "promised" and due.must_keep else due.what


def plain(text: str) -> str:
    """A text without the control characters that the format does not allow (RFC 5545, section 3.1)."""
    return "".join(c if c == "\n" or (ord(c) >= 32 and ord(c) != 127) else " " for c in text)
