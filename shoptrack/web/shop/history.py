"""All that was ever changed in the descriptions: who, when, what it was and what it became, page by page."""

from collections.abc import Collection

from flask import render_template, request

from shoptrack.store.histories import changed_tables, changes
from shoptrack.web.here import store
from shoptrack.web.shop.door import bp, editor, page_number
from shoptrack.web.shop.history_words import TOPICS, tell, topic_of

A_PAGE = 50


@bp.get("/shop/history")
def show_history() -> str:
    """Fifty lines, of one topic where it is asked for."""
    page = page_number(request.args)
    topic = request.args.get("thing", "")
    with store().reading() as session:
        present = changed_tables(session)
        wanted = [table for table in present if topic and topic_of(table) == topic]
        found = changes(session, wanted or ([topic] if topic else []), A_PAGE + 1, (page - 1) * A_PAGE)
    told = tell(found[:A_PAGE], editor().now, editor().wall)
    more, topics = len(found) > A_PAGE, _topics(present)
    name = "shop/history.html"
    return render_template(name, changed=told, more=more, page=page, topic=topic, topics=topics)


def _topics(present: Collection[str]) -> list[str]:
    """What there are lines of: the known topics in their order, then tables of other screens."""
    here = {topic_of(table) for table in present}
    return [name for name in TOPICS if name in here] + sorted(here - set(TOPICS))
