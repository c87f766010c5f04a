"""Must be refused by the type checker: joint_cuont is no field of the question."""

from wall_client.models import RequirementAsk

ask = RequirementAsk(connection_id="stud-to-plate-end-nail", nail_designation="3 x 0.131", joint_cuont=38)
