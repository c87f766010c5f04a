"""Starts the service: python -m service."""

import os
import sys
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from service.app import create_app
from service.errors import TableError
from service.settings import SettingError, Settings, read_settings
from service.web.logs import ServerLog, log_uncaught

LAST_RESORT_S = 10
"""How much later than a worker would end a request itself gunicorn kills it."""


class Server(BaseApplication):  # type: ignore[misc]  # gunicorn ships no types
    """gunicorn with the service's own settings."""

    def __init__(self, app: Flask, settings: Settings) -> None:
        self.app, self.settings = app, settings
        super().__init__()

    def load_config(self) -> None:
        """Hand our settings to gunicorn."""
        options: dict[str, Any] = {
            "bind": self.settings.listen,
            "workers": self.settings.workers or (os.cpu_count() or 1) + 1,
            "worker_class": "service.web.worker.Worker",
            "backlog": self.settings.backlog,
            "preload_app": True,
            "timeout": max(self.settings.client_timeout_s, self.settings.request_timeout_s) + LAST_RESORT_S,
            "graceful_timeout": 30,
            "loglevel": "warning",
            "logger_class": ServerLog,
            "limit_request_line": 8190,
        }
        if os.path.isdir("/dev/shm"):
            options["worker_tmp_dir"] = "/dev/shm"
        if "control_socket_disable" in self.cfg.settings:
            options["control_socket_disable"] = True
        for name, value in options.items():
            self.cfg.set(name, value)

    def load(self) -> Flask:
        """Return the app."""
        return self.app


def main() -> int:
    """Start, or say in one line why not."""
    try:
        settings = read_settings()
        app = create_app(settings)
    except (SettingError, TableError) as error:
        print(f"cannot start: {error}", file=sys.stderr)
        return 2
    log_uncaught()
    print(f"serving on http://{settings.listen}/  (stop with Ctrl-C)", file=sys.stderr, flush=True)
    Server(app, settings).run()
    return 0


if __name__ == "__main__":
    sys.exit(main())
