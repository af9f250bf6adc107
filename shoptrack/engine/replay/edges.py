"""Taps about edges: what was done to one or found of it, and the question whether one was found dull."""

from shoptrack.engine.replay.book import Book
from shoptrack.engine.shapes import DEEDS, DULL, Deed, Entry, Offer, Question, Stage

QUESTION = "found-dull"
_BEARING = frozenset({"fitted", "cleaned", "sharpened", "turned", "replaced", "back"})
"""What may leave a tool with an edge that cuts again."""


def edge(book: Book, e: Entry) -> None:
    """Write down what was said of an edge; found dull, it answers who asked that of its tool before."""
    did = next((d for d in DEEDS if d == e.choice), None)
    if e.tool is None or did is None:
        return
    book.deeds.append(
        Deed(e.id, e.at, did, e.tool, e.edge, e.person, e.minutes, e.cents, e.look_again_on, e.text)
    )
    if did in DULL:
        book.dull.add(e.tool)
        _settle(book, e.tool)
    elif did in _BEARING:
        book.dull.discard(e.tool)


def _settle(book: Book, tool: int) -> None:
    asked = [key for key, q in book.questions.items() if any(o.tool == tool for o in q.offers)]
    for key in asked:
        del book.questions[key]


def ask_dull(book: Book, e: Entry, stage: Stage) -> None:
    """A dull edge spoiled pieces: ask which of the stage's edges that was, unless one is known to be dull."""
    if not stage.tools or any(tool in book.dull for tool in stage.tools):
        return
    named = [(tool, book.world.tools.get(tool, f"tool {tool}")) for tool in stage.tools]
    offers = [Offer("found dull", _with_article(name), tool=tool) for tool, name in named]
    words = f"{e.count or 0:g} spoiled by a dull edge. Which edge was found dull?"
    if len(named) == 1:
        words = f"{e.count or 0:g} spoiled by a dull edge. Was the edge found dull?"
    book.questions[(e.id, QUESTION)] = Question(
        e.id, QUESTION, words, (*offers, Offer("no", "no")), e.at, e.person, (stage.id,), stage.job
    )


def _with_article(name: str) -> str:
    """A name as it stands in a sentence; one that is written large is a name of its own."""
    return f"the {name}" if name[:1].islower() else name
