"""Reads the settings, once, from environment variables that begin with APP_."""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields


class SettingError(Exception):
    """A setting that is unknown or out of range; the service does not start."""


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting with its default; the variable is APP_ and the name in capitals."""

    listen: str = "127.0.0.1:8080"
    workers: int = 0
    backlog: int = 128
    max_body_bytes: int = 1_048_576
    max_items: int = 500
    max_position_walls: int = 25
    max_members: int = 100_000
    max_positions: int = 100_000
    client_timeout_s: int = 10
    request_timeout_s: int = 20
    cors_origins: str = "*"
    public_url: str = ""
    api_keys_file: str = ""
    drain_file: str = ""
    metrics_listen: str = ""
    log_level: str = "info"
    build: str = "unknown"


RANGES = {
    "workers": (0, 256),
    "backlog": (1, 65_535),
    "max_body_bytes": (1_024, 67_108_864),
    "max_items": (1, 100_000),
    "max_position_walls": (1, 10_000),
    "max_members": (100, 10_000_000),
    "max_positions": (1_000, 10_000_000),
    "client_timeout_s": (1, 300),
    "request_timeout_s": (1, 300),
}
PATTERNS = {
    "listen": r"^(\[[0-9a-fA-F:]+\]|[A-Za-z0-9.-]+):\d{1,5}$",
    "metrics_listen": r"^((\[[0-9a-fA-F:]+\]|[A-Za-z0-9.-]+):\d{1,5})?$",
    "cors_origins": r"^(\*|https?://[A-Za-z0-9.:\[\]-]+(,\s*https?://[A-Za-z0-9.:\[\]-]+)*)$",
    "public_url": r"^(https?://(\[[0-9a-fA-F:]+\]|[A-Za-z0-9.-]+)(:\d{1,5})?(/[A-Za-z0-9._~-]+)*)?$",
    "log_level": r"^(debug|info|warning|error)$",
}


def read_settings(environment: Mapping[str, str] = os.environ) -> Settings:
    """Return the settings in force.

    Raises
    ------
    SettingError
        An APP_ variable is unknown, no number, or outside its range.
    """
    known = {f"APP_{f.name.upper()}": f for f in fields(Settings)}
    got: dict[str, str | int] = {}
    for name, value in environment.items():
        if not name.startswith("APP_"):
            continue
        if name not in known:
            raise SettingError(f"{name} is not a setting; known are {', '.join(sorted(known))}")
        field = known[name].name
        if field in RANGES:
            low, high = RANGES[field]
            if not re.fullmatch(r"\d{1,9}", value) or not low <= int(value) <= high:
                raise SettingError(f"{name} must be a whole number from {low} to {high}, not {value!r}")
            got[field] = int(value)
        else:
            if field in PATTERNS and not re.fullmatch(PATTERNS[field], value):
                raise SettingError(f"{name} must fit {PATTERNS[field]}, not {value!r}")
            if field in ("listen", "metrics_listen") and value and not 1 <= int(value.rsplit(":", 1)[1]) <= 65_535:
                raise SettingError(f"{name} must name a port from 1 to 65535, not {value!r}")
            if field == "api_keys_file" and not value:
                raise SettingError("APP_API_KEYS_FILE is empty; name a file of keys, or leave it out where calls need none")
            got[field] = value
    return Settings(**got)  # type: ignore[arg-type]  # each value was read by its own kind above
