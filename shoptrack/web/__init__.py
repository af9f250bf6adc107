"""A store and the settings to the app that serves the shop's pages."""

from flask import Flask

from shoptrack.config import Config
from shoptrack.store.db import Store
from shoptrack.web import (
    api,
    assets,
    awaited,
    backups,
    bench,
    calendar,
    corrections,
    customers,
    devices,
    files,
    floor,
    forms,
    job_change,
    job_end,
    job_money,
    job_stages,
    jobs,
    last_time,
    looks,
    months,
    office,
    packed,
    paired,
    pairing,
    pattern_edit,
    patterns,
    photos,
    plan,
    plan_if,
    programs,
    quote_date,
    quote_form,
    quoted,
    quotes,
    reached,
    refusals,
    render,
    rights,
    say,
    search,
    security,
    seen,
    sheets,
    shop,
    start,
    times,
    tools,
    weeks,
)
from shoptrack.web.clock import now
from shoptrack.web.here import wall

PAGES = (
    api.bp,
    awaited.bp,
    backups.bp,
    bench.bp,
    calendar.bp,
    corrections.bp,
    customers.bp,
    devices.bp,
    files.bp,
    floor.bp,
    job_change.bp,
    job_end.bp,
    job_money.bp,
    job_stages.bp,
    jobs.bp,
    last_time.bp,
    months.bp,
    office.bp,
    pairing.bp,
    pattern_edit.bp,
    patterns.bp,
    photos.bp,
    plan.bp,
    plan_if.bp,
    programs.bp,
    quote_date.bp,
    quote_form.bp,
    quoted.bp,
    quotes.bp,
    say.bp,
    search.bp,
    sheets.bp,
    shop.bp,
    start.bp,
    times.bp,
    tools.bp,
    weeks.bp,
)


def create_app(store: Store, config: Config) -> Flask:
    """The app: guarded, with its pages, its words for the templates and its refusals."""
    app = Flask("shoptrack.web")
    app.json.sort_keys = False  # type: ignore[attr-defined] # Flask's default provider has it
    app.jinja_options = {"trim_blocks": True, "lstrip_blocks": True}
    app.extensions["shoptrack.store"] = store
    app.extensions["shoptrack.config"] = config
    packed.hang(app)
    reached.hang(app)
    security.guard(app, config)
    paired.hang(app)
    refusals.hang(app)
    render.hang(app, wall, now)
    assets.hang(app)
    looks.hang(app)
    forms.hang(app)
    rights.hang(app)
    seen.hang(app)
    start.hang(app)
    for blueprint in PAGES:
        app.register_blueprint(blueprint)
    return app
