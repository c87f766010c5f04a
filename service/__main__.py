"""Starts the service: python -m service."""

import gc
import os
import signal
import socket
import sys
from errno import EADDRINUSE

from service.errors import TableError
from service.settings import SettingError, read_settings

METRICS_BACKLOG = 16


def listen(setting: str, address: str, backlog: int) -> int:
    """Listen, and return the file descriptor; gunicorn would try five times and say so over many lines.

    Raises
    ------
    SettingError
        The address is not of this machine, the name does not resolve, or the port cannot be had.
    """
    host, port = address.rsplit(":", 1)
    try:
        found = socket.getaddrinfo(host.strip("[]"), int(port), type=socket.SOCK_STREAM)
        family, *_, where = min(found, key=lambda f: f[0] != socket.AF_INET)
        both = family == socket.AF_INET6 and socket.has_dualstack_ipv6()
        return socket.create_server(where, family=family, backlog=backlog, dualstack_ipv6=both).detach()
    except UnicodeError:
        raise SettingError(f"{setting}={address}: no host name") from None
    except OSError as error:
        taken = f"the port is in use by another program; stop it, or name a free port in {setting}"
        raise SettingError(f"{setting}={address}: {taken if error.errno == EADDRINUSE else error.strerror}") from None


def end_old_drain(path: str) -> None:
    """Remove the drain file of an earlier run: where the folder outlives a container, the next one would never be ready.

    Raises
    ------
    SettingError
        It is no file, cannot be removed, or its folder does not exist, so that nobody could put it there.
    """
    try:
        os.unlink(path)
    except FileNotFoundError:
        if not os.path.isdir(os.path.dirname(path) or "."):
            raise SettingError(f"APP_DRAIN_FILE={path}: its folder does not exist") from None
    except OSError as error:
        raise SettingError(f"APP_DRAIN_FILE={path}: {error.strerror}; it names a file that others make") from None


def spare_the_collector() -> None:
    """Leave what is loaded to no garbage collection, and collect less often.

    Tables, schemas and contract stay for good, and answers hold few cycles: 500 walls in one call cost a third less CPU.
    A frozen heap also stays shared between the workers.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 50)


def leave_when_told() -> None:
    """End at once when told to stop, until the server that does it better has begun.

    The first process of a container hears no signal that it has no handler for.
    """
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: os._exit(0))


def main() -> int:
    """Start, or say in one line why not."""
    leave_when_told()
    try:
        settings = read_settings()
        # Here, since they take most of the start: the fields of questions name what the tables hold, so these imports read them.
        from service.app import create_app
        from service.web.lines import Lines, open_all
        from service.web.logs import log_uncaught
        from service.web.scrape import check_installed
        from service.web.server import Server

        open_all()
        if settings.drain_file:
            end_old_drain(settings.drain_file)
        app = create_app(settings)
        listening = listen("APP_LISTEN", settings.listen, settings.backlog)
        counted = None
        if settings.metrics_listen:
            check_installed()
            counted = listen("APP_METRICS_LISTEN", settings.metrics_listen, METRICS_BACKLOG)
    except (SettingError, TableError) as error:
        print(f"cannot start: {error}", file=sys.stderr)
        return 2
    spare_the_collector()
    log_uncaught()
    Lines(2).write(f"serving on http://{settings.listen}/  (stop with Ctrl-C)\n".encode())
    Server(app, settings, listening, counted).run()
    return 0


if __name__ == "__main__":
    sys.exit(main())
