"""The blueprint of the Times, and what each of its pages begins with: all that was learned, and a session."""

from collections.abc import Iterator
from contextlib import contextmanager

from flask import Blueprint
from sqlalchemy.orm import Session

from shoptrack.flows.learning import Learned, learned
from shoptrack.web.charts import month_words, percent
from shoptrack.web.clock import now
from shoptrack.web.here import store
from shoptrack.web.rule_fields import rule_words

bp = Blueprint("times", __name__)
for word in (month_words, percent, rule_words):
    bp.add_app_template_filter(word)


def all_learned() -> Learned:
    """What was learned so far."""
    return learned(store(), now())


@contextmanager
def reading() -> Iterator[tuple[Session, Learned]]:
    """A session for reading, and what was learned."""
    found = all_learned()
    with store().reading() as session:
        yield session, found
