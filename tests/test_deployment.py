"""The deployments: settings that the service knows, pods that may do nothing they need not, a drain that is long enough."""

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from service.settings import Settings, read_settings
from service.web.scrape import PATH
from service.web.server import LAST_RESORT_S

DOCKER = Path(__file__).parents[1] / "docker"
KINDS = {d["kind"]: d for d in yaml.safe_load_all((DOCKER / "kubernetes.yaml").read_text(encoding="utf-8"))}
COMPOSED: dict[str, Any] = yaml.safe_load((DOCKER / "compose.yaml").read_text(encoding="utf-8"))["services"]
POD = KINDS["Deployment"]["spec"]["template"]["spec"]
BOX = POD["containers"][0]
SET = {"kubernetes": {e["name"]: e["value"] for e in BOX["env"]}, "compose": COMPOSED["service-a"]["environment"]}


def graceful_s(settings: Settings) -> int:
    return max(settings.client_timeout_s, settings.request_timeout_s) + LAST_RESORT_S


@pytest.mark.parametrize("where", SET)
def test_the_service_knows_the_settings(where: str) -> None:
    assert read_settings(SET[where]).request_timeout_s == 10


def test_the_pod_is_restricted() -> None:
    """The restricted level of the Pod Security Standards."""
    assert POD["securityContext"]["runAsNonRoot"]
    assert POD["securityContext"]["runAsUser"] > 0
    assert POD["securityContext"]["seccompProfile"] == {"type": "RuntimeDefault"}
    assert BOX["securityContext"] == {"allowPrivilegeEscalation": False, "readOnlyRootFilesystem": True, "capabilities": {"drop": ["ALL"]}}
    assert not {"hostNetwork", "hostPID", "hostIPC"} & POD.keys()
    assert [v.keys() - {"name"} for v in POD["volumes"]] == [{"emptyDir"}]


def test_every_selector_finds_the_pods() -> None:
    own = KINDS["Deployment"]["spec"]["template"]["metadata"]["labels"]
    assert KINDS["Service"]["spec"]["selector"] == own
    assert KINDS["NetworkPolicy"]["spec"]["podSelector"]["matchLabels"] == own
    for kind in ("Deployment", "PodDisruptionBudget"):
        assert KINDS[kind]["spec"]["selector"]["matchLabels"] == own
    assert KINDS["HorizontalPodAutoscaler"]["spec"]["scaleTargetRef"]["name"] == KINDS["Deployment"]["metadata"]["name"]


def test_the_drain_is_seen_before_the_stop_and_the_stop_has_its_time() -> None:
    told = BOX["lifecycle"]["preStop"]["exec"]["command"][-1]
    drain_s = int(re.findall(r"time\.sleep\((\d+)\)", told)[0])
    ready = BOX["readinessProbe"]
    assert f"Path('{SET['kubernetes']['APP_DRAIN_FILE']}').touch()" in told
    assert drain_s > ready["periodSeconds"] * ready["failureThreshold"] + 1
    in_flight_s = read_settings(SET["kubernetes"]).request_timeout_s
    assert POD["terminationGracePeriodSeconds"] >= drain_s + graceful_s(read_settings(SET["kubernetes"]))
    alive = BOX["livenessProbe"]
    assert alive["periodSeconds"] * (alive["failureThreshold"] - 1) > in_flight_s


def test_the_counts_are_read_on_a_port_of_their_own_that_nobody_outside_reaches() -> None:
    exposed = re.findall(r"^EXPOSE (.*)$", (DOCKER / "Dockerfile").read_text(encoding="utf-8"), re.M)
    ports = {p["name"]: p["containerPort"] for p in BOX["ports"]}
    assert exposed == [f"{ports['http']} {ports['metrics']}"]
    for settings in SET.values():
        assert settings["APP_METRICS_LISTEN"] == f"0.0.0.0:{ports['metrics']}"
    told = KINDS["Deployment"]["spec"]["template"]["metadata"]["annotations"]
    assert (told["prometheus.io/port"], told["prometheus.io/path"]) == (str(ports["metrics"]), PATH)
    assert {p["port"] for p in KINDS["NetworkPolicy"]["spec"]["ingress"][0]["ports"]} == set(ports)
    assert [p["targetPort"] for p in KINDS["Service"]["spec"]["ports"]] == ["http"]
    published = [port for box in COMPOSED.values() for port in box.get("ports", ())]
    assert published == ["127.0.0.1:8080:8080"] and "ports" not in COMPOSED["service-a"]
    assert "prometheus-client==" in (DOCKER / "requirements.hashes.lock").read_text(encoding="utf-8")


def test_composed_services_have_time_to_stop() -> None:
    for name in ("service-a", "service-b"):
        assert int(COMPOSED[name]["stop_grace_period"].removesuffix("s")) > graceful_s(read_settings(SET["compose"]))
        assert COMPOSED[name]["read_only"] and COMPOSED[name]["cap_drop"] == ["ALL"]
    assert {f"{n}:8080" for n in COMPOSED if n != "proxy"} == set(
        re.findall(r"server (\S+) max_fails", (DOCKER / "nginx.conf").read_text())
    )
