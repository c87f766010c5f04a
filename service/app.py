"""Joins the rooms into one app."""

import os

from flask import Flask

from service.settings import Settings, read_settings
from service.tables.book import open_book
from service.web import logs, operations, problems, routes
from service.web.headers import Layer
from service.web.keys import read_keys
from service.web.lean import Lean


def create_app(settings: Settings | None = None) -> Flask:
    """Return the app: tables read, addresses and contract in place.

    Raises
    ------
    SettingError, TableError
        The service cannot start; the message is one clear line.
    """
    settings = settings or read_settings(os.environ)
    open_book()
    logs.set_up(settings.log_level)
    app = Lean("service", static_folder=None)
    app.config["SETTINGS"] = settings
    app.keys = read_keys(settings.api_keys_file) if settings.api_keys_file else None
    app.url_map.strict_slashes = True
    app.url_map.merge_slashes = False
    problems.install(app)
    routes.install(app)
    app.register_blueprint(operations.operations)
    app.wsgi_app = Layer(app.wsgi_app, settings)  # type: ignore[method-assign]  # as Flask's own documentation wraps an app
    return app
