"""One tool's deeds and hours, read one after another → where each of its edges is, and their lives."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime

from shoptrack.engine.shapes import DULL, Deed, Did, Edge, EdgeLife
from shoptrack.engine.shapes.edges import Where

LEAST_SAID_H = 1 / 60
"""Less than a minute with no edge on the tool is not worth a word."""


@dataclass(slots=True)
class EdgeDraft:
    """An edge while its deeds are read. ``run_h`` and ``effective_h`` count since it was made sharp last.

    ``going``: its life goes on. ``was_on``: it was on the tool when it broke or was worn out.
    """

    edge: Edge
    where: Where = "spare"
    since: datetime | None = None
    run_h: float = 0.0
    effective_h: float = 0.0
    dull: bool = False
    rough_only: bool = False
    renewals: int = 0
    back_on: date | None = None
    lives: list[EdgeLife] = field(default_factory=list)
    from_at: datetime | None = None
    going: bool = True
    was_on: bool = False

    def put(self, where: Where, at: datetime) -> None:
        """Where it is from now on."""
        self.where, self.since = where, at

    def all_lives(self) -> tuple[EdgeLife, ...]:
        """Its lives in order; the last one may go on."""
        return (*self.lives, self._life(None, dull=False, ended=None)) if self.going else tuple(self.lives)

    def end(self, deed: Deed, dull: bool) -> None:
        """Its life ends, unless it has ended before."""
        if self.going:
            self.lives.append(self._life(deed.at, dull, deed.did))
        self.going = False

    def resume(self) -> None:
        """It was only dirty: the life that ended dull goes on."""
        if not self.going and self.lives and self.lives[-1].ended in DULL:
            self.from_at = self.lives.pop().from_at
            self.going = True
        self.dull = self.rough_only = False

    def renew(self, deed: Deed) -> None:
        """It is sharp again: a new life begins."""
        self.end(deed, dull=False)
        self.run_h = self.effective_h = 0.0
        self.from_at, self.going = deed.at, True
        self.dull = self.rough_only = False
        self.renewals = 0 if deed.did == "replaced" else self.renewals + 1

    def _life(self, until_at: datetime | None, dull: bool, ended: Did | None) -> EdgeLife:
        return EdgeLife(self.edge.id, self.from_at, until_at, self.run_h, self.effective_h, dull, ended)


class Tool:
    """A tool with its edges; takes deeds and hours in the order of time, and writes remarks by entry."""

    def __init__(self, number: int, edges: Iterable[Edge], odd: dict[str, str]) -> None:
        self.number = number
        self.edges = {edge.id: EdgeDraft(edge) for edge in edges}
        self.fitted: EdgeDraft | None = None
        self.odd = odd
        self.bare_h: dict[str, float] = {}
        self._kept = len(self.edges)
        self._last_on: EdgeDraft | None = None
        self._emptied_by = ""

    def run(self, run_h: float, effective_h: float) -> None:
        """The tool ran: hours for the edge that is on it, if one is."""
        if self.fitted is not None:
            self.fitted.run_h += run_h
            self.fitted.effective_h += effective_h
        elif self._emptied_by:
            self.bare_h[self._emptied_by] = self.bare_h.get(self._emptied_by, 0.0) + run_h

    def take(self, deed: Deed) -> None:
        """One thing that was done to an edge or found of it."""
        if deed.did == "meter":
            return
        draft = self._meant(deed)
        if draft is None:
            none = "no edge was on the tool then" if self._kept else "this tool has no edge written down"
            self._remark(deed, none)
            return
        RULES[deed.did](self, draft, deed)

    def close(self) -> None:
        """At the end: remark on every deed after which the tool cut with no edge on it."""
        for entry, hours in self.bare_h.items():
            if hours >= LEAST_SAID_H:
                words = f"the tool cut for {hours * 60:.0f} min after that, with no edge said to be on it"
                self.odd[entry] = f"{self.odd[entry]}; {words}" if entry in self.odd else words

    def _meant(self, deed: Deed) -> EdgeDraft | None:
        """The edge that a deed speaks of: named, or the one on the tool; if none is, the last that was."""
        if deed.edge is not None:
            return self.edges.setdefault(deed.edge, EdgeDraft(Edge(deed.edge, self.number, "")))
        if deed.did == "back":
            away = [d for d in self.edges.values() if d.where == "away"]
            if away:
                return min(away, key=lambda d: d.since.timestamp() if d.since else 0.0)
        only = next(iter(self.edges.values())) if len(self.edges) == 1 else None
        return self.fitted or only or (self._last_on if deed.did in _RENEWS else None)

    def _remark(self, deed: Deed, words: str) -> None:
        self.odd[deed.entry] = f"{self.odd[deed.entry]}; {words}" if deed.entry in self.odd else words

    def _off(self, draft: EdgeDraft, deed: Deed) -> bool:
        """Take it off the tool; gives whether it was on it."""
        if self.fitted is not draft:
            return False
        self.fitted, self._last_on, self._emptied_by = None, draft, deed.entry
        return True

    def _on(self, draft: EdgeDraft, deed: Deed) -> None:
        if self.fitted is not None:
            self.fitted.put("spare", deed.at)
        draft.put("fitted", deed.at)
        draft.from_at = draft.from_at or deed.at
        self.fitted = draft

    def fit(self, draft: EdgeDraft, deed: Deed) -> None:
        """It is on the tool now; the one that was becomes a spare."""
        if self.fitted is draft:
            return
        words = {
            "away": "it was away then, and nobody said that it came back",
            "broken": "it was broken then",
            "worn out": "it was worn out then",
        }.get(draft.where, "")
        if draft.dull and not draft.rough_only:
            words = "it was found dull, and nobody said that it was made sharp since"
        if words:
            self._remark(deed, words)
        self._on(draft, deed)

    def take_off(self, draft: EdgeDraft, deed: Deed) -> None:
        """None is on the tool now."""
        if self._off(draft, deed):
            draft.put("spare", deed.at)
        else:
            self._remark(deed, "it was not on the tool then")

    def find_dull(self, draft: EdgeDraft, deed: Deed) -> None:
        """A life seen to its end; one that was still roughing is dull for all now."""
        if draft.dull and not draft.rough_only:
            self._remark(deed, "it was found dull before")
            return
        self._look_at(draft, deed)
        draft.end(deed, dull=True)
        draft.dull, draft.rough_only = True, False

    def rough(self, draft: EdgeDraft, deed: Deed) -> None:
        """Dull for show cuts, and kept for roughing."""
        self._look_at(draft, deed)
        draft.end(deed, dull=True)
        draft.dull = draft.rough_only = True

    def _look_at(self, draft: EdgeDraft, deed: Deed) -> None:
        if draft.where in ("away", "broken", "worn out"):
            self._remark(deed, f"it was {draft.where} then")

    def clean(self, draft: EdgeDraft, deed: Deed) -> None:
        """Found dull and only dirty; cleaned without that, nothing changes."""
        draft.resume()

    def sharpen(self, draft: EdgeDraft, deed: Deed) -> None:
        """Sharp again, here in the shop: where it is, or back where it was before it broke."""
        if draft.where == "away":
            self._remark(deed, "it was away then: taken as back")
            draft.put("spare", deed.at)
        elif draft.where in ("broken", "worn out"):
            if draft.where == "worn out" and deed.did != "replaced":
                self._remark(deed, "it was worn out then")
            if draft.was_on and self.fitted is None:
                self._on(draft, deed)
            else:
                draft.put("spare", deed.at)
        draft.renew(deed)

    def send(self, draft: EdgeDraft, deed: Deed) -> None:
        """Away to be sharpened; expected back on a day, if one was said."""
        if draft.where == "away":
            self._remark(deed, "it was away already")
            draft.back_on = deed.back_on or draft.back_on
            return
        self._off(draft, deed)
        draft.put("away", deed.at)
        draft.back_on = deed.back_on

    def come_back(self, draft: EdgeDraft, deed: Deed) -> None:
        """Back from the sharpener: a spare, and sharp. One that is on the tool all the same stays there."""
        if draft.where != "away":
            self._remark(deed, "nobody had said that it was sent")
        if draft.where != "fitted":
            draft.put("spare", deed.at)
        draft.renew(deed)

    def lose(self, draft: EdgeDraft, deed: Deed) -> None:
        """Broken or worn out: nobody knows how long it would have lasted."""
        draft.was_on = self._off(draft, deed)
        draft.end(deed, dull=False)
        draft.put("broken" if deed.did == "broken" else "worn out", deed.at)


_RENEWS = frozenset({"sharpened", "turned", "replaced", "cleaned"})

RULES: dict[str, Callable[[Tool, EdgeDraft, Deed], None]] = {
    "fitted": Tool.fit,
    "taken off": Tool.take_off,
    "found dull": Tool.find_dull,
    "cleaned": Tool.clean,
    "rough only": Tool.rough,
    "sharpened": Tool.sharpen,
    "turned": Tool.sharpen,
    "replaced": Tool.sharpen,
    "broken": Tool.lose,
    "sent": Tool.send,
    "back": Tool.come_back,
    "worn out": Tool.lose,
}
"""What each deed does to an edge. Readings of a meter are heard before."""
