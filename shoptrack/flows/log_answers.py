"""Somebody's word on a time that looks wrong → kept beside it, so that what is learned follows."""

from datetime import datetime

from shoptrack.store.db import Store
from shoptrack.store.log_answers import say_of_log


def answer_log(store: Store, key: str, counts: bool, who: int | None, now: datetime) -> None:
    """Say of a time whether it counts like any other or is left out; it may be said otherwise later.

    Takes the time's key, as ``Logged`` has it. Said again it changes nothing. Raises NotFound where there is
    no such time.
    """
    with store.writing() as session:
        say_of_log(session, key, counts, who, now)
