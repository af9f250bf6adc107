"""The starting values of the guided first day → the tables of docs/starting-values.md."""

from shoptrack.engine.units import show_minutes
from shoptrack.flows.first_day.starting import StartingMark, StartingRecipe
from shoptrack.flows.first_day.starting_edges import EDGES
from shoptrack.flows.first_day.starting_finishes import FINISHES
from shoptrack.flows.first_day.starting_glues import GLUES
from shoptrack.flows.first_day.starting_things import KINDS, REACHES, ROOMS, STATIONS


def recipes(all_of: tuple[StartingRecipe, ...]) -> str:
    """Each glue or finish with every value it starts with, and where that comes from."""
    return "\n\n".join(_recipe(one) for one in all_of)


def glues() -> str:
    return recipes(GLUES)


def finishes() -> str:
    return recipes(FINISHES)


def _recipe(one: StartingRecipe) -> str:
    values = {"factor per 10 °C": f"{one.q10:g}"}
    if one.lowest_c is not None:
        below = "spoils" if one.below == "spoils" else "stands still"
        values["lowest temperature"] = f"{_both(one.lowest_c)}; below it the joint {below}"
    if one.open_min is not None:
        values["open time"] = show_minutes(one.open_min)
    lines = [f"### {one.name}", "", f"Times are for {_both(one.reference_c)}. {one.caution}".strip(), ""]
    lines += ["| value | starts as | source |", "|---|---|---|", *map(_mark, one.marks)]
    lines += [f"| {name} | {values[name]} | {source} |" for name, source in one.sources]
    return "\n".join(lines)


def _mark(marked: StartingMark) -> str:
    mark = marked.mark
    ends = [("from", mark.from_min), ("until", mark.until_min)]
    said = ", ".join(f"{word} {show_minutes(at)}" for word, at in ends if at is not None)
    joint = f" ({marked.joint})" if marked.joint else ""
    return f"| {mark.name}{joint} | {said} | {marked.source} |"


def _both(c: float) -> str:
    return f"{c:.1f}".removesuffix(".0") + f" °C ({c * 9 / 5 + 32:.0f} °F)"


def kinds() -> str:
    """Each kind of stage with its measure and rule of thumb, in inches and in millimetres."""
    lines = ["| kind of stage | in a shop of inches | in a shop of millimetres |", "|---|---|---|"]
    for kind in KINDS:
        said = []
        for measure, rule, _ in (kind.in_unit("in"), kind.in_unit("mm")):
            said.append(f"{measure}: {show_minutes(rule.setup_min)} and {show_minutes(rule.rate_min)} each")
        lines.append(f"| {kind.name} | {said[0]} | {said[1]} |")
    return "\n".join(lines)


def things() -> str:
    """Rooms, stations and clamps with their plain sizes."""
    lines = ["| thing | starts as |", "|---|---|"]
    lines += [f"| {r.name} | {_both(r.heated_c)} by day, {_both(r.unheated_c)} at night |" for r in ROOMS]
    for one in STATIONS:
        limits = [
            f"{name.removesuffix('_mm').replace('_', ' ')} {i} in / {mm} mm" for name, i, mm in one.limits
        ]
        lines.append(f"| {one.name} | {'; '.join(limits) or '–'}{'; makes dust' if one.dust else ''} |")
    lines += [f"| clamps of {inches} in / {mm} mm | {count} |" for inches, mm, count in REACHES]
    return "\n".join(lines)


def edges() -> str:
    """Each usual kind of edge with its life and how it is made sharp again."""
    lines = ["| kind of edge | usual life | made sharp again |", "|---|---|---|"]
    for edge in EDGES:
        again = {
            "sent": "sent to the sharpener",
            "here": "in the shop",
            "turned": "turned",
            "replaced": "replaced",
        }
        away = f", {edge.away_days} working days away" if edge.away_days else ""
        most = f", {edge.most_renewals} times at most" if edge.most_renewals is not None else ""
        lines.append(f"| {edge.name} | {edge.usual_life_h:g} h | {again[edge.renewed]}{away}{most} |")
    return "\n".join(lines)
