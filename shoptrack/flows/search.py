"""A few words → everything written down that has them all, grouped by what it is, page by page."""

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from sqlalchemy.orm import Session

from shoptrack.store import search as written
from shoptrack.store.search import JobName, Written

SHOWN_FIRST = 8
SHOWN_A_PAGE = 30
LONGEST_SHOWN = 160  # letters of a find around its first word
KINDS = ("note", "mend", "spoil", "put-aside")


@dataclass(frozen=True, slots=True)
class Found:
    """One find: where it leads, the job it is of, its words, and when it was written where that is known."""

    path: str
    job: JobName | None
    words: str
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """The finds of one sort on one page; ``total`` is how many there are on all pages."""

    key: str
    name: str
    found: tuple[Found, ...]
    total: int


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of thing that is searched: its words, where a find leads, whether only the office sees it."""

    name: str
    read: Callable[[Session], Iterable[Written]]
    path: str
    office: bool = False


SORTS: Mapping[str, Sort] = {
    "jobs": Sort("Jobs", written.job_words, "/jobs/{job}"),
    "quotes": Sort("Quotes", written.quote_words, "/quotes/{id}", office=True),
    "customers": Sort("Customers", written.customer_words, "/customers/{id}", office=True),
    "patterns": Sort("Patterns", written.pattern_words, "/patterns/{id}", office=True),
    "stages": Sort("Stages", written.stage_words, "/jobs/{job}"),
    "notes": Sort("Notes in the book", lambda s: written.note_words(s, KINDS), "/jobs/{job}#log"),
    "extras": Sort("Extras", written.extra_words, "/jobs/{job}/money#extras", office=True),
    "costs": Sort("Costs", written.cost_words, "/jobs/{job}/money#costs", office=True),
    "photos": Sort("Photos", written.photo_words, "/jobs/{job}#photos"),
}
"""What is searched, in the order in which it is shown."""


def folded(text: str) -> str:
    """Text as it is compared: no capitals, no marks on letters, so that "mobel" finds "Möbel"."""
    if text.isascii():
        return text.lower()
    bare = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return bare.casefold()


def search(
    session: Session, asked: str, office: bool, only: str | None = None, page: int = 1
) -> tuple[Group, ...]:
    """What has all the words that were asked for, in the order of SORTS.

    Takes whether what is for the office may be found; ``only`` one sort, and its page from 1 on. A job whose
    tag was asked for comes first, and so does a quote whose number was. Empty: nothing has them, or nothing
    was asked.
    """
    wanted = folded(asked).split()
    if not wanted:
        return ()
    groups = []
    for key, sort in SORTS.items():
        if (office or not sort.office) and only in (None, key):
            first, many = ((page - 1) * SHOWN_A_PAGE, SHOWN_A_PAGE) if only else (0, SHOWN_FIRST)
            finds = list(_having(sort.read(session), wanted))
            shown = _shown(session, key, sort, list(islice(finds, first, first + many)), wanted)
            groups.append(Group(key, sort.name, shown, len(finds)))
    return tuple(g for g in groups if g.total)


def _having(things: Iterable[Written], wanted: Sequence[str]) -> Iterator[Written]:
    """The things that have all words; those called by just that short name first."""
    later = []
    for thing in things:
        if thing.short and wanted == [thing.short.lower()]:
            yield thing
        elif all(word in folded(" ".join(thing.words)) for word in wanted) or _with_tag(thing, wanted):
            later.append(thing)
    yield from later


def _with_tag(thing: Written, wanted: Sequence[str]) -> bool:
    """Whether all words but the tag are in the words: "K7 tray"."""
    tag = thing.short.lower()
    others = [word for word in wanted if word != tag]
    if not tag or len(others) == len(wanted):
        return False
    text = folded(" ".join(thing.words))
    return all(word in text for word in others)


def _shown(
    session: Session, key: str, sort: Sort, things: Sequence[Written], wanted: Sequence[str]
) -> tuple[Found, ...]:
    names = written.job_names(session, [t.job for t in things if t.job is not None])
    when = written.instants_of_notes(session, [t.id for t in things]) if key == "notes" else {}
    return tuple(
        Found(
            path=sort.path.format(job=t.job, id=t.id),
            job=names.get(t.job) if t.job is not None else None,
            words=_words(key, t, wanted),
            at=when.get(t.id),
        )
        for t in things
    )


def _words(key: str, thing: Written, wanted: Sequence[str]) -> str:
    """What is shown of a find: a job's title stands beside it already, a quote is called by its number; long
    words around the first asked.
    """
    words = thing.words[1:] if key in ("jobs", "quotes") else thing.words
    if key == "quotes":
        words = (f"quote {thing.id}", *words)
    text = " · ".join(" ".join(w.split()) for w in words if w.strip())
    if key == "stages" and thing.id > 1:
        text += f" · in {thing.id:,} stages"
    if len(text) <= LONGEST_SHOWN:
        return text
    bare = folded(text)
    places = [bare.find(word) for word in wanted if word in bare]
    start = max(0, min(min(places, default=0), len(text)) - LONGEST_SHOWN // 3)
    return ("… " if start else "") + text[start : start + LONGEST_SHOWN].strip() + " …"
