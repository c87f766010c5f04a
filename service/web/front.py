"""The quote page at `/`: one page, one style sheet, one module, all from here."""

from collections.abc import Callable
from importlib import resources

from flask import Flask, Response

from service import API_VERSION
from service.web.sending import send_bytes, tag

FOLDER = resources.files("service.web").joinpath("page")
FILES = {
    "/": ("index.html", "text/html; charset=utf-8"),
    "/page.css": ("page.css", "text/css; charset=utf-8"),
    "/page.js": ("page.js", "text/javascript; charset=utf-8"),
}
ASK_AGAIN = "public, no-cache"
"""A browser asks each time, by tag: the three belong together, and a new release must not meet an old style sheet."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def install(app: Flask) -> None:
    """Add the page and its two files; they are read once, with the version written in."""
    for path, (name, media) in FILES.items():
        raw = FOLDER.joinpath(name).read_text(encoding="utf-8").replace("{{version}}", API_VERSION).encode()
        app.add_url_rule(path, f"page_{name}", _view(raw, media))


def _view(raw: bytes, media: str) -> Callable[[], Response]:
    etag = tag(raw)

    def view() -> Response:
        response = send_bytes(raw, ASK_AGAIN, etag, media)
        response.headers["Content-Security-Policy"] = POLICY
        return response

    return view
