"""A store and the settings to the app that serves the shop's pages."""

from flask import Flask

from shoptrack.config import Config
from shoptrack.store.db import Store
from shoptrack.web import (
    api,
    assets,
    bench,
    floor,
    forms,
    jobs,
    looks,
    office,
    refusals,
    render,
    rights,
    security,
)
from shoptrack.web.clock import now
from shoptrack.web.here import wall


def create_app(store: Store, config: Config) -> Flask:
    """The app: guarded, with its pages, its words for the templates and its refusals."""
    app = Flask("shoptrack.web")
    app.json.sort_keys = False  # type: ignore[attr-defined] # Flask's default provider has it
    app.jinja_options = {"trim_blocks": True, "lstrip_blocks": True}
    app.extensions["shoptrack.store"] = store
    app.extensions["shoptrack.config"] = config
    security.guard(app, config)
    refusals.hang(app)
    render.hang(app, wall, now)
    assets.hang(app)
    looks.hang(app)
    forms.hang(app)
    rights.hang(app)
    pages = (
        floor.bp,
        bench.bp,
        jobs.bp,
        office.bp,
        api.bp,
    )
    for blueprint in pages:
        app.register_blueprint(blueprint)
    return app
