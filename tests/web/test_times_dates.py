"""Whether promised dates held, on its page."""

from datetime import date

from flask.testing import FlaskClient

from shoptrack.store.jobs import close_job
from shoptrack.store.promised_dates import say
from tests.joinery import NOW, Joinery
from tests.times import text_of


def test_no_date_is_over_yet(client: FlaskClient) -> None:
    assert "No promised date is over yet." in text_of(client.get("/times/dates").text)
    assert 'href="/times/dates"' in client.get("/times").text


def test_each_chance_against_what_came(client: FlaskClient, joinery: Joinery) -> None:
    """Twelve promised at 82 in 100, nine of them kept; one without a chance, missed by five days."""
    early, late = date(2026, 11, 27), date(2026, 11, 20)
    jobs = {
        joinery.add("door", f"door {n}", day)["job"]: day for n, day in enumerate([early] * 9 + [late] * 4)
    }
    with joinery.store.writing() as session:
        for job, day in list(jobs.items())[:12]:
            say(session, job, day, 0.82, NOW)
        for job in jobs:
            close_job(session, job, NOW)
    words = text_of(client.get("/times/dates").text)
    assert "9 of 13 dates were kept: 69 %." in words
    assert "Of those missed, half were 5 days late or more." in words
    assert "70 to 85 in 100 82 % 9 12 75 %" in words
    assert "as said, as far as can be told" in words
    assert "none – 0 1 – no chance was shown" in words
