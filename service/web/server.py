"""gunicorn as this service starts it."""

import os
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from service.settings import Settings
from service.web.logs import ServerLog
from service.web.scrape import Scraper
from service.web.worker import Keeper

LAST_RESORT_S = 10
"""How much later than a worker would end a request itself gunicorn kills it."""


class Server(BaseApplication):  # type: ignore[misc]  # gunicorn ships no types
    """gunicorn with the service's own settings."""

    def __init__(self, app: Flask, settings: Settings, listening: int, counted: int | None = None) -> None:
        self.app, self.settings, self.listening, self.counted = app, settings, listening, counted
        super().__init__()

    def load_config(self) -> None:
        """Hand our settings to gunicorn."""
        longest = max(self.settings.client_timeout_s, self.settings.request_timeout_s) + LAST_RESORT_S
        options: dict[str, Any] = {
            "bind": f"fd://{self.listening}",
            "workers": self.settings.workers or (os.cpu_count() or 1) + 1,
            "worker_class": "service.web.worker.Worker",
            "backlog": self.settings.backlog,
            "preload_app": True,
            "timeout": longest,
            "graceful_timeout": longest,
            "loglevel": "warning",
            "logger_class": ServerLog,
            "limit_request_line": 8190,
            "when_ready": self.begin_to_count,
            "child_exit": lambda keeper, worker: keeper.forget(worker.pid),
            "on_exit": lambda keeper: keeper.clear_up(),
        }
        if "control_socket_disable" in self.cfg.settings:
            options["control_socket_disable"] = True
        for name, value in options.items():
            self.cfg.set(name, value)

    def begin_to_count(self, keeper: Keeper) -> None:
        """Open the listener of the counts, where there is one."""
        if self.counted is not None:
            keeper.scraper = Scraper(self.counted, [self.listening, *(s.fileno() for s in keeper.LISTENERS)])

    def load(self) -> Flask:
        """Return the app."""
        return self.app

    def run(self) -> None:
        """Serve until told to stop."""
        Keeper(self).run()
