"""What the Times' flows found → its charts, each with the one sentence that sums it up."""

from collections.abc import Sequence

from shoptrack.engine.units import minutes_words
from shoptrack.flows.times_of_jobs import JobHours
from shoptrack.flows.times_of_kind import KindPage, Month
from shoptrack.flows.times_record import SAID, Against, Record
from shoptrack.web.charts import (
    Axis,
    Chart,
    Series,
    minutes_axis,
    minutes_by_powers,
    month_axis,
    month_place,
    month_words,
    names_axis,
    percent,
    share_axis,
)
from shoptrack.web.render import measure

BESIDE = 0.15
"""A month is said to be like another where it is within so much of it."""


def months_chart(page: KindPage) -> Chart | None:
    """Minutes for the usual measure, month by month; None where fewer than two months have any."""
    months, usual = page.months, page.times.usual
    if len(months) < 2 or usual is None:
        return None
    places = tuple(float(month_place(month.first, months[0].first)) for month in months)
    for_usual = f"for {measure(round(usual, 1), page.times.kind.unit)}"
    told = Series(
        name="middle of the month",
        x=places,
        y=tuple(month.minutes for month in months),
        words=tuple(
            f"{month_words(m.first)}: {minutes_words(m.minutes)} {for_usual}, {m.count} logged"
            for m in months
        ),
        drawn="line",
    )
    series = [told]
    if page.times.rule_min is not None:
        x, y = (-0.5, places[-1] + 0.5), (page.times.rule_min,) * 2
        series.append(Series("rule of thumb", x, y, (), "line", "dash", ink="pencil"))
    longest = max([*told.y, page.times.rule_min or 0.0]) * 1.08
    return Chart(
        name=f"{page.times.kind.name} by month",
        said=_months_said(months, for_usual),
        x=month_axis([month.first for month in months]),
        y=minutes_axis(f"minutes {for_usual}", longest),
        series=tuple(series),
    )


def _months_said(months: Sequence[Month], for_usual: str) -> str:
    first, last = months[0], months[-1]
    said = f"{month_words(first.first)} {minutes_words(first.minutes)} {for_usual}"
    now = f"{month_words(last.first)} {minutes_words(last.minutes)}"
    change = last.minutes / first.minutes - 1.0 if first.minutes else 0.0
    if abs(change) < BESIDE:
        return f"About as long as at first: {said}, {now}."
    return f"{'Longer' if change > 0 else 'Shorter'} than at first: {said}, {now}."


def against_chart(name: str, found: Sequence[Against]) -> Chart | None:
    """The middle that was foretold against what it took; None under two."""
    if len(found) < 2:
        return None
    longer = [one for one in found if one.told.minutes > one.p80]
    within = [one for one in found if one.told.minutes <= one.p80]
    both = [value for one in found for value in (one.p50, one.told.minutes)]
    axis = minutes_by_powers("", both)
    ends = (10**axis.begins, 10**axis.ends)
    return Chart(
        name=f"{name} foretold and taken",
        said=(
            f"Of the newest {len(found)}, {len(within) or 'none'} took no longer than 8 in 10 were said to,"
            f" and {len(longer) or 'none'} longer; on the dashed line it took just what was foretold."
        ),
        x=Axis("foretold, half under", axis.ticks, axis.begins, axis.ends, log=True),
        y=Axis("what it took", axis.ticks, axis.begins, axis.ends, log=True),
        series=(
            Series("as foretold", ends, ends, (), "line", "dash", ink="pencil"),
            _points("within 8 in 10", within, "circle-open"),
            _points("longer than that", longer, "x-thin", rust=True),
        ),
    )


def _points(name: str, found: Sequence[Against], symbol: str, rust: bool = False) -> Series:
    return Series(
        name=name,
        x=tuple(one.p50 for one in found),
        y=tuple(one.told.minutes for one in found),
        words=tuple(
            f"{one.told.stage}: foretold {minutes_words(one.p50)}, took {minutes_words(one.told.minutes)}"
            for one in found
        ),
        drawn="points",
        symbol=symbol,
        ink="rust" if rust else "ink",
    )


def hours_chart(hours: JobHours) -> Chart | None:
    """Shares of the hours by kind of stage, lying bars; None without any hours."""
    kinds = [one for one in hours.kinds if one.hands_min > 0]
    if not kinds:
        return None
    first = kinds[0]
    return Chart(
        name="where the hours go",
        said=(
            f"Most of the hours, {percent(first.share)}, go into {first.name}:"
            f" {minutes_words(first.each_min)} an order."
        ),
        x=share_axis("share of the hours", max(one.share for one in kinds)),
        y=names_axis([one.name for one in kinds]),
        series=(
            Series(
                name="share of the hours",
                x=tuple(one.share for one in kinds),
                y=tuple(float(n) for n in range(len(kinds))),
                words=tuple(
                    f"{one.name}: {percent(one.share)}, {minutes_words(one.each_min)} an order"
                    for one in kinds
                ),
                drawn="bars",
            ),
        ),
        lying=True,
    )


def record_chart(record: Record) -> Chart | None:
    """How often what was said held, against what was said; None where there are too few."""
    if record.held[0].too_few:
        return None
    eight = record.held[1]
    ends = (0.4, 1.0)
    return Chart(
        name="said and held",
        said=(f"Of {record.of}, {eight.held} stayed under what was said of 8 in 10: {percent(eight.share)}."),
        x=Axis("what was said", tuple((said, percent(said)) for said in SAID), *ends),
        y=Axis("how often it held", tuple((n / 10, f"{n * 10} %") for n in range(11)), 0.0, 1.02),
        series=(
            Series("held as it was said", ends, ends, (), "line", "dash", ink="pencil"),
            Series(
                name="held",
                x=tuple(one.said for one in record.held),
                y=tuple(one.share for one in record.held),
                words=tuple(
                    f"said {percent(one.said)}, held {percent(one.share)}"
                    f" ({one.held} of {one.of}), surely within {percent(one.low)} to {percent(one.high)}"
                    for one in record.held
                ),
                drawn="points",
                low=tuple(one.low for one in record.held),
                high=tuple(one.high for one in record.held),
            ),
        ),
    )
