"""The judge of a dependency audit: silence about a package is not a pass."""

import pytest
from audit import judge

LOCK = "one==1.0 \\\n    --hash=sha256:aa\ntwo==2.0 ; python_version < '3.12' \\\n    --hash=sha256:bb\n"
ONE, TWO = {"name": "one", "version": "1.0", "vulns": []}, {"name": "two", "version": "2.0", "vulns": []}


@pytest.mark.parametrize(
    ("dependencies", "code"),
    [
        ([ONE, TWO], 0),
        ([ONE, TWO | {"vulns": [{"id": "CVE-2000-1"}]}], 1),
        ([ONE, {"name": "two", "skip_reason": "not found"}], 3),
        ([{"name": "one", "skip_reason": "not found"}, TWO | {"vulns": [{"id": "CVE-2000-1"}]}], 1),
        ([ONE], 3),
        ([ONE, TWO | {"version": "1.9"}], 3),
        ([], 3),
    ],
)
def test_only_a_whole_audit_passes(dependencies: list[dict[str, object]], code: int) -> None:
    assert judge({"dependencies": dependencies}, LOCK)[0] == code
