"""Two drafts begun from one revision to one: what the other changed, wherever nothing was typed here."""

from collections.abc import Mapping
from dataclasses import replace

from shoptrack.web.forms import Fields
from shoptrack.web.pattern_draft import PLAIN, Draft, DraftStage
from shoptrack.web.pattern_fields import ROWS


def merged(ours: Draft, base: Draft, theirs: Draft) -> Draft:
    """Our draft with their changes: field by field, each list of a stage (needs, clamps, tools) as one.

    A stage they added comes after the one it comes after with them; one they took out goes where we left
    it as it was. Where both changed a thing, ours stays.
    """
    old, new = ({s.key: s.typed for s in draft.stages} for draft in (base, theirs))
    stages = [
        DraftStage(s.key, _both(s.typed, old[s.key], new[s.key])) if s.key in old and s.key in new else s
        for s in ours.stages
        if s.key not in old or s.key in new or dict(s.typed) != dict(old[s.key])
    ]
    behind = ""
    for stage in theirs.stages:
        here = {s.key: place for place, s in enumerate(stages)}
        if stage.key not in here and stage.key not in old:
            stages.insert(here.get(behind, -1) + 1, stage)
        behind = stage.key if stage.key in here or stage.key not in old else behind
    name = theirs.name if ours.name == base.name else ours.name
    kept = ours.open if any(s.key == ours.open for s in stages) else ""
    return replace(ours, name=name, base=theirs.base, stages=tuple(stages), open=kept)


def _both(ours: Fields, base: Fields, theirs: Fields) -> dict[str, str]:
    found = {name: value for name in PLAIN if (value := _kept(ours, base, theirs, name))}
    for name in ROWS:
        mine, was, new = (_list(typed, name) for typed in (ours, base, theirs))
        found |= new if mine == was else mine
    return found


def _kept(ours: Fields, base: Fields, theirs: Fields, name: str) -> str:
    mine = ours.get(name, "")
    return theirs.get(name, "") if mine == base.get(name, "") else mine


def _list(typed: Fields, name: str) -> Mapping[str, str]:
    return {field: value for field, value in typed.items() if field.startswith(f"{name}-")}
