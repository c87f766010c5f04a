"""Judges what a dependency audit found: 0 nothing in any locked package, 1 a known hole, 3 a package was not looked up."""

import json
import re
import sys
from pathlib import Path
from typing import Any


def locked(lock: str) -> set[str]:
    """Return the packages of a lock, as name==version."""
    return set(re.findall(r"^([a-z0-9][\w.-]*==[^\s;]+)", lock, re.M))


def judge(audit: dict[str, Any], lock: str) -> tuple[int, list[str]]:
    """Return the exit code and what is to be said; a package that is not in the audit was not looked up."""
    found = [d for d in audit["dependencies"] if "skip_reason" not in d]
    holes = [f"{d['name']} {d['version']}: {', '.join(v['id'] for v in d['vulns'])}" for d in found if d["vulns"]]
    if holes:
        return 1, holes
    left = sorted(locked(lock) - {f"{d['name']}=={d['version']}" for d in found})
    if left:
        return 3, [f"NOT CHECKED for known holes: {len(left)} of {len(locked(lock))} packages could not be looked up"]
    return 0, [f"no known hole in {len(found)} packages"]


if __name__ == "__main__":
    text = Path(sys.argv[1]).read_text(encoding="utf-8")
    code, said = judge(json.loads(text or '{"dependencies": []}'), Path(sys.argv[2]).read_text(encoding="utf-8"))
    print("\n".join(said), file=sys.stderr if code else sys.stdout)
    sys.exit(code)
