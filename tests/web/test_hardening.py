"""Requests that once got past the door."""

import socket

import pytest
import requests
from flask.testing import FlaskClient

JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}


@pytest.mark.parametrize("field", ["joint_count", "wind_speed_mph", "connection_id", "fire_rated", "ground_snow_load_psf"])
@pytest.mark.parametrize("value", [10**30, -(10**30)])
def test_huge_integers_are_refused_in_words(client: FlaskClient, field: str, value: int) -> None:
    answer = client.post("/v1/requirements", json={**JOINT, field: value})
    assert answer.status_code == 422
    assert answer.json["errors"][0]["pointer"] == f"#/{field}"


def raw_status(live: str, request: bytes) -> bytes:
    host, port = live.removeprefix("http://").rstrip("/").split(":")
    with socket.create_connection((host, int(port)), 5) as wire:
        wire.sendall(request)
        wire.shutdown(socket.SHUT_WR)
        return wire.recv(4096).split(b"\r\n", 1)[0]


def test_a_body_that_ends_early_is_400(live: str) -> None:
    body = b'{"connection_id":"stud-to-plate-end-nail","nail_id":"16d-common"}'
    head = b"POST /v1/requirements HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n"
    assert b" 400 " in raw_status(live, head + body)


def test_an_absurd_content_length_is_not_a_500(live: str) -> None:
    head = b"POST /v1/requirements HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 99999999999999999999999\r\n\r\n"
    assert b" 413 " in raw_status(live, head)


def test_the_live_service_answers_a_wall(live: str) -> None:
    wall = {"framing_nail": {"nail_designation": "3 x 0.131"}, "wall": {"length_in": 192, "height_in": 97.125}}
    answer = requests.post(f"{live.rstrip('/')}/v1/wall-plans", json=wall, timeout=10)
    # 16 ft at 16 in on center: 13 studs, 3 nails at each of 2 ends (common practice for the count of studs, IRC R602.3(1) item 17 for 3)
    assert answer.json()["result"]["connections"][0]["nail_count"] == 13 * 2 * 3
