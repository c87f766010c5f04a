"""The pages for people: the quote page at `/` and the documentation at `/docs`, each with its own files, all from here."""

from collections.abc import Callable
from importlib import metadata, resources
from pathlib import Path

from flask import Flask, Response

from service import API_VERSION
from service.web.sending import send_bytes, tag

WEB = resources.files("service.web")
FOLDER, DOCS_FOLDER = WEB.joinpath("page"), WEB.joinpath("docs")
VIEWER = Path(str(metadata.distribution("flask-swagger-ui").locate_file("flask_swagger_ui/dist")))
"""Files of the package alone: importing it would make a blueprint with a page and a policy of its own."""
HTML, CSS, SCRIPT = (f"text/{kind}; charset=utf-8" for kind in ("html", "css", "javascript"))
FILES = {
    "/": ("index.html", HTML),
    "/page.css": ("page.css", CSS),
    "/page.js": ("page.js", SCRIPT),
}
DOCS_FILES = {
    "/docs": ("index.html", HTML),
    "/docs/docs.css": ("docs.css", CSS),
    "/docs/docs.js": ("docs.js", SCRIPT),
    "/docs/lines.js": ("lines.js", SCRIPT),
}
VIEWER_FILES = {
    "/docs/swagger-ui.css": ("swagger-ui.css", CSS),
    "/docs/swagger-ui-bundle.js": ("swagger-ui-bundle.js", SCRIPT),
}
ASK_AGAIN = "public, no-cache"
"""A browser asks each time, by tag: the files belong together, and a new release must not meet an old style sheet."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
DOCS_POLICY = POLICY.replace("style-src 'self'", "style-src 'self' 'unsafe-inline'").replace(" blob:", "")
"""The viewer of the contract writes styles into its elements."""
GROUPS = ((FOLDER, FILES, POLICY), (DOCS_FOLDER, DOCS_FILES, DOCS_POLICY), (VIEWER, VIEWER_FILES, DOCS_POLICY))


def install(app: Flask) -> None:
    """Add the pages and their files; they are read once, ours with the version written in."""
    for folder, files, policy in GROUPS:
        for path, (name, media) in files.items():
            raw = folder.joinpath(name).read_bytes()
            if folder is not VIEWER:
                raw = raw.replace(b"{{version}}", API_VERSION.encode())
            app.add_url_rule(path, f"page {path}", _view(raw, media, policy))


def _view(raw: bytes, media: str, policy: str) -> Callable[[], Response]:
    etag = tag(raw)

    def view() -> Response:
        response = send_bytes(raw, ASK_AGAIN, etag, media)
        response.headers["Content-Security-Policy"] = policy
        return response

    return view
