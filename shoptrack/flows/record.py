"""Taps → the log of work, each taken once or set aside with a reason, and the tally; its only writer."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, date, datetime, timedelta

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Entry
from shoptrack.errors import BadInput
from shoptrack.flows.at_hand import AtHand, leave_for, left_for, read_at_hand
from shoptrack.flows.desk import NO_ENTRY, Desk, Pending, Verdict, row_id
from shoptrack.flows.entry_kinds import KINDS, Said
from shoptrack.flows.envelopes import FORM, Answer, Envelope, Receipt, Tap, parse_envelope, plain, read
from shoptrack.flows.learning import Learned, before_a_tap
from shoptrack.flows.limits import with_limits
from shoptrack.flows.on_the_wall import with_held
from shoptrack.store import log, tally, worked
from shoptrack.store.db import Head, Store, head
from shoptrack.store.known import closed_in_hand, closed_jobs_cut, jobs_of_entries, waiting_for
from shoptrack.store.signs import read_signs
from shoptrack.store.tables import KeptRow, SetAsideRow

__all__ = ["KINDS", "Answer", "Envelope", "Receipt", "accept", "parse_envelope", "tap"]

BEHIND = timedelta(minutes=2)
"""How far the server's clock may lie behind the log before taps are kept and not placed."""
LATE = timedelta(minutes=1)
"""A tap older than this may cut into what was done on a job that has been closed since."""

TYPED = frozenset({"count", "out_of", "minutes", "cents", "value_c", "text", "look_again_on", "ago_min"})
"""What a hand writes into a form: while it can't be read nothing is kept, for the form is still there."""

LOGGER = logging.getLogger("shoptrack.record")


def accept(store: Store, envelope: Envelope, now: datetime) -> Receipt:
    """Write an envelope's taps to the log, each once, and give an answer for each in order.

    Takes the envelope and the server's ``now``. Gives the receipt; a tap that came before gets the answer
    it got then. All of it is one write transaction, on disk before the answer is given.
    """
    taps = [read(sent, envelope.device) for sent in envelope.entries]
    known = before_a_tap(store, now)
    with store.writing() as session:
        writing = _Writing(session, envelope.device, now - envelope.sent_at, now, left_for(store), known)
        answers = writing.receive(taps)
    leave_for(store, writing.at_hand)
    with store.reading() as session:
        after = head(session)
    return Receipt(after.database_id, after.revision, now, answers)


def tap(
    store: Store,
    *,
    id: str,
    person: int | None,
    kind: str,
    now: datetime,
    ago_min: float = 0,
    **said: object,
) -> Answer:
    """Write one tap that a plain form made, with the form's hidden id; sent twice it counts once.

    Raises BadInput, with the member, for what was written by hand and can't be read; nothing is kept of it.
    """
    sent: dict[str, object] = {"id": id, "kind": kind, "person": person, "ago_min": ago_min or None, **said}
    sent = {name: _sent(value) for name, value in sent.items() if not _nothing(value)}
    asked = read({**sent, "seq": 0, "at": _sent(now)}, FORM)
    if asked.field in TYPED:
        raise BadInput(asked.reason, asked.field)
    known = before_a_tap(store, now)
    with store.writing() as session:
        numbered = {**sent, "seq": log.next_seq(session, FORM), "at": _sent(now)}
        writing = _Writing(session, FORM, timedelta(0), now, left_for(store), known)
        answers = writing.receive([read(numbered, FORM)])
    leave_for(store, writing.at_hand)
    return answers[0]


def _nothing(value: object) -> bool:
    return value is None or value is False or value in ("", (), [])


def _sent(value: object) -> object:
    """A form's value as a tablet would have sent it."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value


@dataclass
class _Writing:
    """One write transaction; ``offset`` is what the device's clock lacks of the server's, ``known`` what was
    learned of the kinds of stage.
    """

    session: Session
    device: str
    offset: timedelta
    now: datetime
    at_hand: AtHand | None
    known: Learned | None = None
    fresh: list[tuple[Pending, Entry]] = field(default_factory=list)

    def receive(self, taps: Sequence[Tap]) -> tuple[Answer, ...]:
        """Settle what was kept, place the taps, write them all and make the tally anew."""
        signs = read_signs(self.session)
        self.head = signs.head
        behind = signs.newest_at is not None and self.now < signs.newest_at - BEHIND
        kept = log.kept(self.session) if signs.kept else []
        self.desk = Desk(self.session, self.now, behind, {row.id: row.body_hash for row in kept})
        settled = [] if behind else [self._settling(row) for row in kept if self._has_turn(row)]
        pendings = [Pending(t, self.device, t.said.at + self.offset if t.said else self.now) for t in taps]
        self.desk.look([*settled, *pendings])
        for pending in settled:
            self._do(pending)
        answers = tuple(self._answer(pending) for pending in pendings)
        self._bring_back()
        self._append()
        return answers

    def _has_turn(self, row: KeptRow) -> bool:
        """A kept tap is settled with its own tablet's clock; a form's has the server's, right by now."""
        return row.device in (self.device, FORM)

    def _settling(self, row: KeptRow) -> Pending:
        offset = self.offset if row.device == self.device else timedelta(0)
        return Pending(read(row.body, row.device), row.device, row.device_at + offset, settling=True)

    def _answer(self, pending: Pending) -> Answer:
        verdict = self._do(pending)
        reason = verdict.reason
        return Answer(pending.tap.id, "set aside" if reason else "done", reason)

    def _do(self, pending: Pending) -> Verdict:
        verdict = self.desk.judge(pending)
        said = pending.tap.said
        if verdict.what == "set aside":
            self._set_aside(pending, verdict.reason)
        elif verdict.what == "keep" and said is not None:
            self._keep(pending, said)
        elif verdict.what == "take" and said is not None:
            self._take(pending, said)
        return verdict

    def _take(self, pending: Pending, said: Said) -> None:
        tapped_at = self.desk.place(pending, said)
        self.fresh.append((pending, entry_of(said, pending.device, tapped_at, self.now)))
        if said.id in self.desk.kept:
            log.drop_kept(self.session, [said.id])
        self.desk.note(pending, said, tapped_at)

    def _keep(self, pending: Pending, said: Said) -> None:
        if pending.settling:
            return  # what it speaks of has not been settled yet
        log.keep(
            self.session,
            id=said.id,
            device=pending.device,
            seq=said.seq,
            device_at=said.at,
            body=pending.tap.sent,
            body_hash=pending.tap.print,
            received_at=self.now,
        )
        self.desk.kept[said.id] = pending.tap.print
        self.desk.lines[pending.device].taken[said.seq] = said.id

    def _set_aside(self, pending: Pending, reason: str) -> None:
        """Lay a tap beside the log as it came, with its corrected instant should it be taken after all."""
        tap = pending.tap
        body = plain(tap.sent)
        if isinstance(body, dict) and reason == NO_ENTRY:
            body["tapped_at"] = _sent(min(pending.at, self.now))
        log.set_aside(
            self.session,
            id=row_id(tap),
            device=pending.device,
            body=body,
            body_hash=tap.print,
            reason=reason,
            received_at=self.now,
        )
        self.desk.reasons[row_id(tap), tap.print] = reason
        if pending.settling:
            log.drop_kept(self.session, [tap.id])

    def _bring_back(self) -> None:
        """Take taps that were set aside because the entry they mean had not come yet, now that it has.

        After a restore the tablets offer their taps again in any order, so a strike may come first.
        """
        came = {entry.id for _, entry in self.fresh}
        while came and (rows := waiting_for(self.session, NO_ENTRY, came)):
            before = len(self.fresh)
            pendings = [_come_back(row) for row in rows]
            self.desk.look(pendings)
            for row, pending in zip(rows, pendings, strict=True):
                if self._do(pending).what == "take":
                    row.seen_at = self.now
            self.session.flush()
            came = {entry.id for _, entry in self.fresh[before:]}

    def _append(self) -> None:
        if not self.fresh:
            return
        entries = with_limits(self.session, [entry for _, entry in self.fresh], self._known())
        entries = with_held(self.session, entries, self.head, self.at_hand)
        taps = [pending.tap for pending, _ in self.fresh]
        lines = [log.Written(e, _beside(t), t.print) for t, e in zip(taps, entries, strict=True)]
        log.append(self.session, lines, self.now)
        self.at_hand = make_tally(self.session, entries, self.now, self.head, self.at_hand)

    def _known(self) -> Learned | None:
        """What was learned, unless the shop was put back from a file since."""
        same = self.known is not None and self.known.database == self.head.database_id
        return self.known if same else None


def _beside(tap: Tap) -> dict[str, object]:
    """What a tap says that its entry has no field for: the tablet's own clock, and how long ago it was."""
    said = tap.said
    if said is None:
        return {}
    ago = {"ago_min": said.ago_min} if said.ago_min else {}
    return {"device_at": _sent(said.at), **ago}


def entry_of(said: Said, device: str, tapped_at: datetime, now: datetime) -> Entry:
    """The entry that a tap becomes, made at its corrected instant; nothing in it is later than ``now``."""
    spoken = {name: getattr(said, name) for name in _SPOKEN}
    if said.to_at is not None:
        spoken["to_at"] = min(said.to_at, now)
    at = tapped_at - timedelta(minutes=said.ago_min)
    return Entry(device=device, at=at, tapped_at=tapped_at, **spoken)


_SPOKEN = {f.name for f in fields(Said)} & {f.name for f in fields(Entry)} - {"at"}


def make_tally(
    session: Session, entries: Sequence[Entry], now: datetime, head: Head, left: AtHand | None
) -> AtHand | None:
    """Replay the open jobs and those the entries speak of, and write what differs into the tally.

    Should the replay itself break, the entries are in the log all the same: the tally stays as it was,
    which ``replay --check`` reports, and the next tap makes it anew. Takes what the last tap left at hand,
    gives what this one leaves: it holds for the head that the commit will raise.
    """
    try:
        with session.begin_nested():
            cut = closed_jobs_cut(session, _cuts(session, entries, now)) | closed_in_hand(session)
            at_hand = (None if cut else left and left.with_new(entries, head)) or read_at_hand(
                session, head, jobs_of_entries(session, [e.id for e in entries]) | cut
            )
            standing = at_hand.stand_at(at_hand.newest_at(), at_hand.jobs)
            changed = list(standing.changed_since(left if at_hand.added else None))
            tally.rewrite(session, changed)
            next_head = replace(head, revision=head.revision + 1)
            recut = dict.fromkeys(worked.rewrite(session, changed, standing.world), next_head.revision)
            return replace(standing, head=next_head, recut={**standing.recut, **recut})
    except Exception:
        LOGGER.exception("The taps are in the log, but the tally could not be made from them.")
        return None


def _cuts(session: Session, entries: Sequence[Entry], now: datetime) -> set[tuple[int, datetime]]:
    """Who may have had something in hand when, that these late entries end, lengthen or take minutes from.

    An entry of this moment can only end what is in hand now: see ``closed_in_hand``.
    """
    cuts: set[tuple[int, datetime]] = set()
    for e in entries:
        meant = log.entry(session, e.of) if e.of is not None and e.kind in ("strike", "retime") else e
        said = [e.at, e.to_at, meant.at if meant is not None else None]
        instants = [at for at in said if at is not None and at < now - LATE]
        people = [p for p in (e.helper, meant.person if meant is not None else None) if p is not None]
        cuts |= {(person, at) for person in people for at in instants}
    return cuts


def _come_back(row: SetAsideRow) -> Pending:
    sent = dict(row.body)
    at = datetime.fromisoformat(sent.pop("tapped_at"))
    back = replace(read(sent, row.device), print=row.body_hash)
    return Pending(back, row.device, at, settling=True)
