"""Uses the service through a generated client: a plan, a refusal and a batch."""

import os
import sys

from wall_client import Client
from wall_client.api.questions import ask_requirement, ask_requirements, plan_wall
from wall_client.models import (
    AnsweredRequirement,
    NailAsk,
    Problem,
    RefusedRequirement,
    RequirementAsk,
    RequirementBatch,
    RequirementBatchAnswer,
    RequirementItemAsk,
    WallAsk,
    WallPlanAnswer,
    WallPlanAsk,
)
from wall_client.types import Unset


def expect(holds: bool, claim: str) -> None:
    """Stop with the claim where it does not hold; `assert` would vanish under -O."""
    if not holds:
        sys.exit(f"smoke: {claim}")


def plan_a_wall(client: Client) -> None:
    """Plan a bare wall of 8 ft and read its counts."""
    ask = WallPlanAsk(framing_nail=NailAsk(nail_designation="3 x 0.131"), wall=WallAsk(length_in=96.0, height_in=97.125))
    answer = plan_wall.sync(client=client, body=ask)
    if not isinstance(answer, WallPlanAnswer):
        sys.exit(f"smoke: no plan but {answer}")
    studs = sum(m.member_count for m in answer.result.members if m.role == "stud")
    # Hand count: 96 in at 16 in on center has uprights at 0, 16, ..., 96; the first and the last are end studs.
    expect(studs == 5, f"5 studs between the end studs, not {studs}")
    counted = sum(line.nail_count or 0 for line in answer.result.connections)
    expect(counted == answer.result.totals.framing_nail_count > 0, "the lines sum to framing_nail_count")


def meet_a_refusal(client: Client) -> None:
    """Send a negative count and read which field is wrong, and how."""
    ask = RequirementAsk(connection_id="stud-to-plate-end-nail", nail_designation="3 x 0.131", joint_count=-1)
    answer = ask_requirement.sync(client=client, body=ask)
    if not isinstance(answer, Problem) or isinstance(answer.errors, Unset):
        sys.exit(f"smoke: no refusal with errors but {answer}")
    expect(answer.status == 422, f"422, not {answer.status}")
    faults = [(fault.code, fault.pointer) for fault in answer.errors]
    expect(faults == [("out_of_range", "#/joint_count")], f"one fault at joint_count, not {faults}")


def send_a_batch(client: Client) -> None:
    """Send a good and a bad item; tell them apart by status."""
    good = RequirementItemAsk(id="good", connection_id="stud-to-plate-end-nail", nail_designation="3 x 0.131", joint_count=38)
    bad = RequirementItemAsk(id="bad", connection_id="stud-to-plate-end-nail", nail_designation="16d", joint_count=38)
    answer = ask_requirements.sync(client=client, body=RequirementBatch(items=[good, bad]))
    if not isinstance(answer, RequirementBatchAnswer):
        sys.exit(f"smoke: no batch but {answer}")
    first, second = answer.results
    if not isinstance(first, AnsweredRequirement) or not isinstance(second, RefusedRequirement):
        sys.exit(f"smoke: not answered and refused but {first.status} and {second.status}")
    # IRC 2021 Table R602.3(1) item 17: three 3 x 0.131 in each end; 3 x 38 = 114.
    expect(first.status == 200 and first.result.nail_count == 114, "114 nails in the good item")
    expect(second.status == 422 and not isinstance(second.problem.errors, Unset), "errors in the bad item")


def main() -> None:
    """Play the three scenes."""
    with Client(base_url=os.environ["SERVICE_URL"]) as client:
        plan_a_wall(client)
        meet_a_refusal(client)
        send_a_batch(client)
    print("python client: a plan, a refusal and a batch")


if __name__ == "__main__":
    main()
