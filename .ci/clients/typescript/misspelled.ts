// Must be refused by the compiler: joint_cuont is no field of the question.
import type { components } from "./schema.js";

export const ask: components["schemas"]["RequirementAsk"] = { connection_id: "stud-to-plate-end-nail", joint_cuont: 38 };
