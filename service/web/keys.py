"""Keys of callers, where the operator asks for one: known by their SHA-256 only, and looked at before anything else of a request."""

import hashlib
import hmac
import re
from pathlib import Path

from flask import Request

from service.settings import SettingError

HEADER = "X-API-Key"
UNDER = "/v1/"
OPEN = re.compile(r"/v1/(openapi\.json|problems(/.*)?)", re.DOTALL)
"""Whoever has no key yet may read how to call, and what a refusal means."""
_LINE = re.compile(r"([A-Za-z0-9._-]{1,64})[ \t]+([0-9A-Fa-f]{64})")


class KeyRefusedError(Exception):
    """A request without a key, or with one that is not known; carries the code of its problem."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


class Keys:
    """The keys that are valid now; several at once, so that one can be replaced."""

    def __init__(self, digests: dict[str, bytes]) -> None:
        self.digests = digests

    def check(self, request: Request) -> str | None:
        """Let a request pass that needs no key, or has one; return the name of its key.

        Raises
        ------
        KeyRefusedError
            It needs one and has none, or another.
        """
        if not request.path.startswith(UNDER) or OPEN.fullmatch(request.path) or request.method == "OPTIONS":
            return None
        sent = request.environ.get("HTTP_X_API_KEY")
        if not sent:
            raise KeyRefusedError("missing_api_key")
        digest = hashlib.sha256(sent.encode("latin1")).digest()
        # All of them, whichever fits: how long it takes says nothing about a key.
        names = [name for name, known in self.digests.items() if hmac.compare_digest(digest, known)]
        if not names:
            raise KeyRefusedError("invalid_api_key")
        return names[0]


def read_keys(path: str) -> Keys:
    """Read a file of keys: on each line a name, a space, and the SHA-256 of the key in hexadecimal; # begins a remark.

    Raises
    ------
    SettingError
        It cannot be read or holds no key, or a line is none. It names the line, never what stands there.
    """
    try:
        lines = Path(path).read_text(encoding="utf-8-sig").splitlines()
    except (OSError, ValueError) as error:
        said = error.strerror if isinstance(error, OSError) else "it is no text in UTF-8"
        raise SettingError(f"APP_API_KEYS_FILE={path}: {said}") from None
    found: dict[str, bytes] = {}
    for number, line in enumerate(lines, 1):
        words = line.partition("#")[0].strip()
        if not words:
            continue
        read = _LINE.fullmatch(words)
        if not read:
            raise SettingError(f"APP_API_KEYS_FILE={path}: line {number} is not a name and the SHA-256 of a key in 64 hexadecimal digits")
        if read[1] in found:
            raise SettingError(f"APP_API_KEYS_FILE={path}: line {number} has the name of an earlier line")
        found[read[1]] = bytes.fromhex(read[2])
    if not found:
        raise SettingError(f"APP_API_KEYS_FILE={path}: it holds no key, so that nobody could ask")
    return Keys(found)
