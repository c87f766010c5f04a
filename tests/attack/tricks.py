"""Requests that are no good HTTP, or that two servers in a row might read differently.

What each may get is from RFC 9112, whose sections are named: a server refuses or closes, and never reads one request as two.
"""

from dataclasses import dataclass

from tests.attack.wire import talk

BODY = b'{"connection_id":"stud-to-plate-end-nail","nail_id":"16d-common"}'
GET, POST, JSON = b"GET /livez HTTP/1.1\r\n", b"POST /v1/requirements HTTP/1.1\r\n", b"Content-Type: application/json\r\n"
HOST, END, SMUGGLED = b"Host: x\r\n", b"\r\n", b"GET /v1/limits HTTP/1.1\r\nHost: x\r\n\r\n"
CHUNKED = b"Transfer-Encoding: chunked\r\n"
WHOLE = b"%x\r\n%b\r\n0\r\n\r\n" % (len(BODY), BODY)
REFUSED = (400, 501)


@dataclass(frozen=True)
class Trick:
    """What is sent, and the statuses it may get; 0 is a connection closed without a word. Nothing gets more than `most` answers.

    `close` ends our side behind it, which a proxy may take for a client that has left; `proxied` are what it may get from a proxy too.
    """

    name: str
    sent: bytes
    may: tuple[int, ...]
    most: int = 1
    close: bool = False
    proxied: tuple[int, ...] = ()


def post(*headers: bytes, body: bytes = BODY) -> bytes:
    return POST + HOST + JSON + b"".join(h + END for h in headers) + END + body


CLOSE = b"Connection: close"
LENGTH = b"Content-Length: %d" % len(BODY)
TRICKS = [
    # two lengths, or none that can be read (6.3)
    Trick("length and chunks", post(LENGTH, b"Transfer-Encoding: chunked", body=b"0\r\n\r\n" + SMUGGLED), REFUSED),
    Trick("chunks and length", post(b"Transfer-Encoding: chunked", b"Content-Length: 4", body=WHOLE + SMUGGLED), REFUSED),
    Trick("two lengths", post(LENGTH, b"Content-Length: 0", body=BODY + SMUGGLED), REFUSED),
    Trick("two equal lengths", post(LENGTH, LENGTH), (200, *REFUSED)),
    Trick("a list of lengths", post(b"Content-Length: 65, 65"), (200, *REFUSED)),
    Trick("length of -1", post(b"Content-Length: -1"), REFUSED),
    Trick("length of +65", post(b"Content-Length: +65"), REFUSED),
    Trick("length of 0x41", post(b"Content-Length: 0x41"), REFUSED),
    Trick("length of 6e1", post(b"Content-Length: 6e1"), REFUSED),
    Trick("length of 6_5", post(b"Content-Length: 6_5"), REFUSED),
    Trick("length of nothing", post(b"Content-Length:"), (*REFUSED, 411)),
    Trick("length of Arabic digits", post("Content-Length: \u0666\u0665".encode()), REFUSED),
    Trick("length of 10^30", post(b"Content-Length: 1" + b"0" * 30), (400, 413)),
    Trick("length of 2^64", post(b"Content-Length: 18446744073709551616"), (400, 413)),
    Trick("length over the body", post(b"Content-Length: 500"), (400, 0), close=True),
    Trick("length under the body", post(b"Content-Length: 2", CLOSE), (400,)),
    # codings (6.1, 7)
    Trick("xchunked", post(b"Transfer-Encoding: xchunked", body=WHOLE + SMUGGLED), REFUSED),
    Trick("identity", post(b"Transfer-Encoding: identity", body=WHOLE + SMUGGLED), REFUSED),
    Trick("gzip, chunked", post(b"Transfer-Encoding: gzip, chunked", body=WHOLE), (200, 400, 415, 501)),
    Trick("chunked, gzip", post(b"Transfer-Encoding: chunked, gzip", body=WHOLE), REFUSED),
    Trick("chunked twice", post(b"Transfer-Encoding: chunked", b"Transfer-Encoding: chunked", body=WHOLE), REFUSED),
    Trick("chunked and identity", post(b"Transfer-Encoding: chunked", b"Transfer-Encoding: identity", body=WHOLE), REFUSED),
    Trick("chunked after a tab", post(b"Transfer-Encoding:\tchunked", body=WHOLE), (200, *REFUSED)),
    Trick("chunked after a form feed", post(b"Transfer-Encoding: \x0bchunked", body=WHOLE + SMUGGLED), REFUSED),
    Trick("chunked before a colon's blank", post(b"Transfer-Encoding : chunked", body=WHOLE + SMUGGLED), REFUSED),
    Trick("chunked in HTTP/1.0", b"POST /v1/requirements HTTP/1.0\r\n" + HOST + JSON + CHUNKED + END + WHOLE + SMUGGLED, (200, *REFUSED)),
    # chunks (7.1)
    Trick("chunks", post(b"Transfer-Encoding: chunked", CLOSE, body=WHOLE), (200,)),
    Trick(
        "chunk with an extension",
        post(b"Transfer-Encoding: chunked", CLOSE, body=b'41;a=b;c="d"\r\n' + BODY + b"\r\n0\r\n\r\n"),
        (200, 400),
    ),
    Trick("chunk of zz", post(b"Transfer-Encoding: chunked", body=b"zz\r\n" + BODY), (400,)),
    Trick("chunk of -1", post(b"Transfer-Encoding: chunked", body=b"-1\r\n" + BODY), (400,)),
    Trick("chunk of 0x41", post(b"Transfer-Encoding: chunked", body=b"0x41\r\n" + BODY + b"\r\n0\r\n\r\n"), (400,)),
    Trick("chunk of 4_1", post(b"Transfer-Encoding: chunked", body=b"4_1\r\n" + BODY + b"\r\n0\r\n\r\n"), (400,)),
    Trick("chunk of +41", post(b"Transfer-Encoding: chunked", body=b"+41\r\n" + BODY + b"\r\n0\r\n\r\n"), (400,)),
    Trick("chunk of 2^64", post(b"Transfer-Encoding: chunked", body=b"10000000000000000\r\n" + BODY), (400, 413), close=True),
    Trick("chunk of 10^40", post(b"Transfer-Encoding: chunked", body=b"f" * 40 + b"\r\n" + BODY), (400, 413), close=True),
    Trick("chunk of no size", post(b"Transfer-Encoding: chunked", body=b"\r\n" + BODY), (400,), close=True),
    Trick("chunk too short for its size", post(b"Transfer-Encoding: chunked", body=b"5\r\n" + BODY + b"\r\n0\r\n\r\n"), (400,)),
    Trick(
        "chunk ended by a bare line feed",
        post(b"Transfer-Encoding: chunked", CLOSE, body=b"41\n" + BODY + b"\n0\n\n"),
        (200, 400),
        close=True,
    ),
    Trick("chunks without an end", post(b"Transfer-Encoding: chunked", body=b"41\r\n" + BODY + b"\r\n"), (400, 0), close=True),
    Trick(
        "an extension of 1 MB",
        post(b"Transfer-Encoding: chunked", CLOSE, body=b"41;" + b"a" * 1_000_000 + b"\r\n" + BODY + b"\r\n0\r\n\r\n"),
        (200, 400, 413),
    ),
    Trick("trailers", post(b"Transfer-Encoding: chunked", CLOSE, body=WHOLE[:-2] + b"X-A: b\r\nContent-Length: 5\r\n\r\n"), (200, 400)),
    Trick(
        "trailers of 1 MB", post(b"Transfer-Encoding: chunked", CLOSE, body=WHOLE[:-2] + b"X-A: b\r\n" * 125_000 + b"\r\n"), (200, 400, 431)
    ),
    # lines of the head (2.2, 3, 5)
    Trick("a folded header", GET + HOST + b"A: b\r\n c\r\n\r\n", (200, *REFUSED)),
    Trick("a folded first header", GET + b" A: b\r\n" + HOST + END, REFUSED),
    Trick("bare line feeds", b"GET /livez HTTP/1.1\nHost: x\nConnection: close\n\n", (200, 400)),
    Trick("a bare carriage return", GET + b"A: b\rContent-Length: 5\r\n" + HOST + END, REFUSED),
    Trick("a NUL in a header", GET + HOST + b"A: b\0c\r\n\r\n", REFUSED),
    Trick("a NUL in the address", b"GET /livez\0 HTTP/1.1\r\n" + HOST + END, (*REFUSED, 404)),
    Trick("a blank before the colon", GET + b"Host : x\r\n\r\n", REFUSED),
    Trick("a header without a colon", GET + HOST + b"nonsense\r\nConnection: close\r\n\r\n", REFUSED, proxied=(200,)),
    Trick("a header without a name", GET + HOST + b": b\r\n\r\n", REFUSED),
    Trick("a blank line first", END + GET + HOST + b"Connection: close\r\n\r\n", (200, 400)),
    Trick("two blanks in the line", b"GET  /livez HTTP/1.1\r\n" + HOST + CLOSE + END + END, (200, *REFUSED)),
    Trick("a tab in the line", b"GET\t/livez\tHTTP/1.1\r\n" + HOST + END, REFUSED),
    Trick("a blank in the address", b"GET /livez a HTTP/1.1\r\n" + HOST + END, (*REFUSED, 404)),
    Trick("a letter over ASCII in the address", b"GET /v1/nails/\xff HTTP/1.1\r\n" + HOST + CLOSE + END + END, (*REFUSED, 404)),
    Trick("no host", GET + END, (400,)),
    Trick("two hosts", GET + HOST + b"Host: y\r\nConnection: close\r\n\r\n", (400,)),
    Trick("a host with a path", GET + b"Host: x/../@y\r\nConnection: close\r\n\r\n", (200, 400)),
    Trick("an empty host", GET + b"Host:\r\nConnection: close\r\n\r\n", (200, 400)),
    Trick("an absolute address", b"GET http://evil.example/livez HTTP/1.1\r\n" + HOST + b"Connection: close\r\n\r\n", (200, 400)),
    Trick("an absolute address of another kind", b"GET file:///etc/passwd HTTP/1.1\r\n" + HOST + END, (*REFUSED, 404)),
    Trick("only an authority", b"CONNECT x:443 HTTP/1.1\r\n" + HOST + END, (400, 404, 405, 501)),
    Trick("an asterisk", b"OPTIONS * HTTP/1.1\r\n" + HOST + END, (200, 204, *REFUSED, 404)),
    Trick("a fragment", b"GET /livez#a HTTP/1.1\r\n" + HOST + b"Connection: close\r\n\r\n", (200, 400)),
    # other versions (2.3, 2.5)
    Trick("HTTP/0.9", b"GET /livez\r\n", (200, 400, 0), close=True),
    Trick("HTTP/1.0", b"GET /livez HTTP/1.0\r\n\r\n", (200,)),
    Trick("HTTP/1.9", b"GET /livez HTTP/1.9\r\n" + HOST + b"Connection: close\r\n\r\n", (200, 400, 505)),
    Trick("HTTP/2.0", b"GET /livez HTTP/2.0\r\n" + HOST + END, (400, 505)),
    Trick("HTTP/9", b"GET /livez HTTP/9\r\n" + HOST + END, (400, 505)),
    Trick("the beginning of HTTP/2", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n" + b"\0\0\0\4\0\0\0\0\0", (400, 405, 505)),
    Trick("the beginning of TLS", b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + b"\xaa" * 500, (400, 0), close=True),
    Trick("words of another protocol", b"EHLO x\r\nQUIT\r\n", (400, 0), close=True),
    Trick("NULs", b"\0" * 10_000, (400, 414, 0), close=True),
    # more than was asked for
    Trick("two in one go", GET + HOST + END + GET + HOST + b"Connection: close\r\n\r\n", (200,), most=2),
    Trick("one behind a refusal", b"GET /%zz HTTP/1.1\r\nHost\r\n\r\n" + SMUGGLED, REFUSED),
    Trick("a body of a GET", GET + HOST + b"Content-Length: 5\r\nConnection: close\r\n\r\nabcde", (200, 400)),
    Trick(
        "a request as the body of a GET",
        GET + HOST + b"Content-Length: %d\r\nConnection: close\r\n\r\n" % len(SMUGGLED) + SMUGGLED,
        (200, 400),
    ),
    Trick("expectation", post(b"Expect: 100-continue", LENGTH, b"Connection: close"), (100, 200), most=2),
    Trick("another expectation", post(b"Expect: 200-ok", LENGTH, b"Connection: close"), (200, 400, 417)),
    Trick(
        "an upgrade", GET + HOST + b"Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n\r\n", (200, 400), close=True
    ),
    Trick(
        "an upgrade to h2c",
        GET + HOST + b"Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\nHTTP2-Settings: AA\r\n\r\n",
        (200, 400),
        close=True,
    ),
    # much
    Trick("a header of 10 MB", GET + HOST + b"A: " + b"a" * 10_000_000 + END + END, (400, 431)),
    Trick("a name of 10 MB", GET + HOST + b"a" * 10_000_000 + b": b\r\n\r\n", (400, 431)),
    Trick("10,000 headers", GET + HOST + b"".join(b"A%d: b\r\n" % n for n in range(10_000)) + END, (400, 431)),
    Trick("an address of 10 MB", b"GET /" + b"a" * 10_000_000 + b" HTTP/1.1\r\n" + HOST + END, (400, 414)),
    Trick("a method of 1 MB", b"A" * 1_000_000 + b" / HTTP/1.1\r\n" + HOST + END, (400, 405, 414)),
    # and then nothing
    Trick("half a line", b"GET /liv", (400, 0), close=True),
    Trick("half a head", GET + b"Host", (400, 0), close=True),
    Trick("half a body", post(LENGTH, body=BODY[:20]), (400, 0), close=True),
    Trick("nothing", b"", (0,), close=True),
]


def answers(raw: bytes) -> list[tuple[int, bytes]]:
    """Return status and body of each answer in some bytes, by their lengths."""
    found = []
    while raw:
        head, end, rest = raw.partition(b"\r\n\r\n")
        assert end and head.startswith(b"HTTP/1."), raw[:300]
        fields = dict(line.lower().split(b":", 1) for line in head.split(b"\r\n")[1:])
        size = int(fields.get(b"content-length", b"0"))
        found.append((int(head.split()[1]), rest[:size]))
        raw = rest[size:]
    return found


def play(port: int, trick: Trick, proxied: bool = False) -> list[int]:
    """Do a trick, and return the statuses that came back; fail where it is not refused or answered in our words."""
    raw = talk(port, trick.sent, close=trick.close)
    if proxied and trick.name == "HTTP/0.9" and raw.startswith(b"{"):
        return [200]  # the proxy speaks it: an answer without a head
    got = answers(raw)
    statuses = [status for status, _ in got] or [0]
    assert len(statuses) <= trick.most, statuses
    also = (*trick.proxied, *((0,) if trick.close else ())) if proxied else ()
    assert set(statuses) <= {*trick.may, *also}, (statuses, got[0][1][:300] if got else b"")
    for status, body in got:
        assert b"<" not in body, body[:300]
        if status >= 400:
            assert b'"code":"' in body, body[:300]
    assert answers(talk(port, GET + HOST + b"Connection: close\r\n\r\n"))[0][0] == 200, "the next client is not answered"
    return statuses
