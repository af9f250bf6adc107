"""A posted form to the draft of a pattern, one stage of it open, and each button to the draft after it.

The draft lies in the form itself: what was typed in every stage is sent along, so nothing is lost on the way.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from shoptrack.errors import BadInput
from shoptrack.store.pattern_things import Things
from shoptrack.store.patterns import PatternStage
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.pattern_fields import ROWS, rows, typed_of
from shoptrack.web.pattern_settings import USUAL
from shoptrack.web.render import Wall

MOST_STAGES = 80
LONGEST = 5000
PLAIN = (
    "kind", "name", "fixed", "per_piece", "rounds", "station", "room", "recipe", "joint", "material",
    "attendance", "interruption", "dusty", "people", "width", "length", "hands_at", "caution", "settings",
    *USUAL,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DraftStage:
    """A stage as it is typed; ``key`` is its line, or n and a number for one that is new."""

    key: str
    typed: Fields

    @property
    def name(self) -> str:
        """What it is called so far."""
        return self.typed.get("name", "").strip()


@dataclass(frozen=True, slots=True)
class Draft:
    """A pattern being written: ``base`` is the revision it began from, ``open`` the key of the open stage."""

    name: str
    note: str
    base: int
    stages: tuple[DraftStage, ...]
    open: str = ""

    @property
    def places(self) -> Mapping[str, int]:
        """The place of each stage by its key, counted from 1."""
        return {stage.key: place for place, stage in enumerate(self.stages, 1)}

    @property
    def as_text(self) -> str:
        """All stages as the form carries them."""
        return json.dumps([[s.key, dict(s.typed)] for s in self.stages], ensure_ascii=False)


def draft_of(
    name: str, base: int, stages: Sequence[PatternStage], things: Things, wall: Wall, opened: str = ""
) -> Draft:
    """The draft that a revision begins as."""
    keys = {place: key_of(stage, place) for place, stage in enumerate(stages, 1)}
    drafted = tuple(
        DraftStage(keys[place], typed_of(stage, keys, things.kinds.get(stage.kind), wall))
        for place, stage in enumerate(stages, 1)
    )
    return Draft(name, "", base, drafted, opened if opened in keys.values() else "")


def key_of(stage: PatternStage, place: int) -> str:
    """The key of a stage that was saved: its line."""
    return str(stage.line if stage.line is not None else f"p{place}")


def read_draft(form: Fields) -> Draft:
    """The draft that a form carries, with what was typed in its open stage. Raises BadInput."""
    opened = form.get("open", "")
    stages = tuple(
        DraftStage(s.key, tidy({**_blank(), **form})) if s.key == opened else s
        for s in _carried(form.get("draft", "[]"))
    )
    return Draft(
        name=form.get("pattern_name", "").strip(),
        note=form.get("note", "").strip(),
        base=forms.whole(form, "base", "The revision", least=0, most=2**31) if form.get("base") else 0,
        stages=stages,
        open=opened if any(s.key == opened for s in stages) else "",
    )


def _blank() -> dict[str, str]:
    return dict.fromkeys(PLAIN, "")


def tidy(typed: Fields) -> dict[str, str]:
    """The fields of a stage alone, without empty ones, its lists closed up over rows left empty."""
    found = {name: typed.get(name, "").replace("\r\n", "\n")[:LONGEST] for name in PLAIN}
    for name, parts in ROWS.items():
        for new, old in enumerate(rows(typed, name)):
            found |= {f"{name}-{new}-{p}": typed.get(f"{name}-{old}-{p}", "")[:LONGEST] for p in parts}
    return {name: value for name, value in found.items() if value.strip()}


def _carried(text: str) -> tuple[DraftStage, ...]:
    try:
        found = json.loads(text)
        stages = tuple(DraftStage(str(key), tidy(dict(typed))) for key, typed in found)
    except (ValueError, TypeError, AttributeError, RecursionError) as problem:
        raise BadInput("The draft came back broken; go back to the page before and try again.") from problem
    if len(stages) > MOST_STAGES or len({s.key for s in stages}) < len(stages):
        raise BadInput(f"A pattern has at most {MOST_STAGES} stages, each once.")
    return stages


def turned(draft: Draft, button: str) -> Draft:
    """The draft after a button: open-, after-, out-, up-, down- and a key; first, branch or shut."""
    what, _, key = button.partition("-")
    place = draft.places.get(key)
    if what == "branch" or (what == "first" and not draft.stages):
        return _added(draft, len(draft.stages), {})
    if place is None:
        return replace(draft, open="") if what == "shut" else draft
    if what == "open":
        return replace(draft, open=key)
    if what == "after":
        return _after(draft, place)
    if what == "out":
        return _without(draft, place)
    if what in ("up", "down"):
        return _moved(draft, place, place - 1 if what == "up" else place + 1)
    return draft


def _added(draft: Draft, at: int, typed: Fields) -> Draft:
    if len(draft.stages) >= MOST_STAGES:
        raise BadInput(f"A pattern has at most {MOST_STAGES} stages.")
    key = next(k for n in count(1) if (k := f"n{n}") not in draft.places)
    stages = (*draft.stages[:at], DraftStage(key, typed), *draft.stages[at:])
    return replace(draft, stages=stages, open=key)


def _after(draft: Draft, place: int) -> Draft:
    """A new stage between one and those that simply follow it; who waits for it in some other way stays."""
    before = draft.stages[place - 1].key
    made = _added(draft, place, {"need-0-stage": before})
    return replace(
        made, stages=tuple(s if s.key == made.open else _follow(s, before, made.open) for s in made.stages)
    )


def _follow(stage: DraftStage, before: str, new: str) -> DraftStage:
    typed = dict(stage.typed)
    for n in rows(typed, "need"):
        simply = not any(typed.get(f"need-{n}-{part}") for part in ("by_rounds", "least", "most"))
        if simply and typed.get(f"need-{n}-stage") == before:
            typed[f"need-{n}-stage"] = new
    return replace(stage, typed=typed)


def _without(draft: Draft, place: int) -> Draft:
    """Without a stage; what came after it now comes after what it came after."""
    gone = draft.stages[place - 1]
    before = [gone.typed.get(f"need-{n}-stage", "") for n in rows(gone.typed, "need")]
    left = tuple(_closed_up(s, gone.key, before) for s in draft.stages if s.key != gone.key)
    return replace(draft, stages=left, open="" if draft.open == gone.key else draft.open)


def _closed_up(stage: DraftStage, gone: str, before: Sequence[str]) -> DraftStage:
    needs = {n: stage.typed.get(f"need-{n}-stage", "") for n in rows(stage.typed, "need")}
    if gone not in needs.values():
        return stage
    typed = {
        name: value
        for name, value in stage.typed.items()
        if not any(name.startswith(f"need-{n}-") for n, key in needs.items() if key == gone)
    }
    wanted = [key for key in before if key not in needs.values() and key != stage.key]
    free = (n for n in count() if n not in needs)
    return replace(
        stage, typed=tidy({**typed, **{f"need-{n}-stage": k for k, n in zip(wanted, free, strict=False)}})
    )


def _moved(draft: Draft, place: int, to: int) -> Draft:
    if not 1 <= to <= len(draft.stages):
        return draft
    stages = list(draft.stages)
    stages[place - 1], stages[to - 1] = stages[to - 1], stages[place - 1]
    return replace(draft, stages=tuple(stages))
