"""Flask without what this service does not use: sessions, hooks, signals, hosts, coroutines."""

from collections.abc import Callable
from typing import Any

from flask import Flask, Request, Response
from flask.globals import request_ctx
from flask.sessions import NullSession, SessionInterface
from werkzeug.exceptions import NotFound
from werkzeug.routing import MapAdapter

from service.web.current import noted
from service.web.keys import Keys


class _NoSessions(SessionInterface):
    """Nothing is stored between requests."""

    _none = NullSession()

    def open_session(self, app: Flask, request: Request) -> NullSession:
        """Return the one session there is, which holds nothing."""
        return self._none


class Lean(Flask):
    """Flask that goes from the address to the view and back; half of a small answer's time went to the rest."""

    session_interface = _NoSessions()
    keys: Keys | None = None
    """Keys of callers, where one is asked for."""

    def create_url_adapter(self, request: Request | None) -> MapAdapter | None:
        """Return the matcher of a request by path alone: no address depends on the host, so the host is not read."""
        if request is None:
            return super().create_url_adapter(None)
        environ = request.environ
        return MapAdapter(
            self.url_map, "", environ.get("SCRIPT_NAME", "") or "/", "", environ["wsgi.url_scheme"], request.path, request.method
        )

    def full_dispatch_request(self) -> Response:
        """Answer, or refuse; a view here returns a response and needs no making of one."""
        request = request_ctx.request
        noted().route = request.url_rule.rule if request.url_rule else None
        try:
            if self.keys:
                noted().key_name = self.keys.check(request)
            if request.environ["PATH_INFO"].startswith("//"):
                raise NotFound()  # the library takes any number of slashes at the beginning for one
            answer: Any = self.dispatch_request()
        except Exception as error:
            answer = self.handle_user_exception(error)
        response: Response = answer
        return response

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """Return a view as it stands; none is a coroutine."""
        return func

    def do_teardown_request(self, exc: BaseException | None = None) -> None:
        """Do nothing: no view leaves anything open."""

    def do_teardown_appcontext(self, exc: BaseException | None = None) -> None:
        """Do nothing: no view leaves anything open."""
