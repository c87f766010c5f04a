"""What mutants are made with: texts, values and bytes that something once tripped over."""

from typing import Any

TEXTS = [
    "", " ", "24", "true", "null", "NaN", "\0", "a\nb", "\t", "\r", "=cmd|'/c calc'!A0", "+1", "-1", "@SUM(1)", "\t=1", "'", '"', "\\", "<script>alert(1)</script>",
    "]]>", "&amp;", "(\\)", "\u202e abc", "\u200b", "\ue000", "\ue001", "\ue0001.5\ue001", "../../etc/passwd", "%00", "%2e%2e%2f", "{{7*7}}", "${7*7}", "__proto__",
    "constructor", "$ref", "#/wall", "_schema", "\u00fc" * 70, "x" * 257, "\U0001f528", "e\u0301", "\ud7ff", "\uffff", "1e5", "0x10", "1_000", "1,5", "3 x 0.131", "16d",
    "1/0", "0/0", "1-1/0", "9" * 40, "\u0661", "\u00bd", "2x4", "0x0", "irc-2021", "IRC-2021", "us", "metric",
]  # fmt: skip
VALUES: list[Any] = [
    None, True, False, 0, 1, -1, 2, 3, 16, -0.0, 0.1, 0.0001, 0.00001, 1.5, 1e-7, 5e-324, -5e-324, 1e15, 1e16, 1e308, -1e308, 10**30, -(10**30), 2**53, 2**53 + 1, 2**63, 2**64,
    12.000000001, 99999999.99999999, [], {}, [[]], [{}], [None], {"": None}, {"_schema": 1}, {"a": {"b": [1]}}, [1, "a", None], *TEXTS,
]  # fmt: skip
TOKENS = [
    b"\\ud800", b"\\u0000", b'"', b"{", b"}", b"[", b"]", b",", b":", b"NaN", b"Infinity", b"-", b"1e999", b"-0", b"\x00", b"\xff", b"\xc0\xaf", b"\xed\xa0\x80", b"\xef\xbb\xbf",
    b"//", b"/*", b"'", b"\\", b"\n", b"null", b"true", b"0", b"9" * 30, b".", b"e", b"\xe2\x80\xa8", b'"a":1,', b"[[[[[[[[[[[[[[[[[[",
]  # fmt: skip
ACCEPTS = [
    "*/*",
    "application/json",
    "text/csv",
    "image/svg+xml",
    "application/pdf",
    "application/json;q=0",
    "text/html",
    "*/*;q=NaN",
    "a/b;q=1e9, */*",
    ";",
    "text/*",
    "\xff",
]
