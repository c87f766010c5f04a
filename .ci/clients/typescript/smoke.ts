// Uses the service through types generated from the contract: a plan, a refusal and a batch.
import type { components, paths } from "./schema.js";

type Schemas = components["schemas"];
type Posts = { [P in keyof paths]: paths[P] extends { post: { requestBody: object } } ? P : never }[keyof paths];
type Body<P extends Posts> = paths[P]["post"]["requestBody"]["content"]["application/json"];
type Answer<P extends Posts> = paths[P]["post"]["responses"][200]["content"]["application/json"];
type Reply<P extends Posts> = { status: 200; body: Answer<P> } | { status: 422; body: Schemas["Problem"] };

async function post<P extends Posts>(path: P, body: Body<P>): Promise<Reply<P>> {
  const headers = { "Content-Type": "application/json" };
  const answer = await fetch(process.env["SERVICE_URL"] + path, { method: "POST", headers, body: JSON.stringify(body) });
  if (answer.status !== 200 && answer.status !== 422) throw new Error(`${path} answered ${answer.status}`);
  return { status: answer.status, body: await answer.json() } as Reply<P>;
}

function expect(holds: boolean, claim: string): asserts holds {
  if (!holds) throw new Error(claim);
}

async function planAWall(): Promise<void> {
  const reply = await post("/v1/wall-plans", {
    framing_nail: { nail_designation: "3 x 0.131" },
    wall: { length_in: 96, height_in: 97.125 },
  });
  expect(reply.status === 200, "a plan");
  const plan = reply.body.result;
  // Hand count: 96 in at 16 in on center has uprights at 0, 16, ..., 96; the first and the last are end studs.
  const studs = plan.members.filter((m) => m.role === "stud").reduce((sum, m) => sum + m.member_count, 0);
  expect(studs === 5, `5 studs between the end studs, not ${studs}`);
  const counted = plan.connections.reduce((sum, line) => sum + (line.nail_count ?? 0), 0);
  expect(counted > 0 && counted === plan.totals.framing_nail_count, "the lines sum to framing_nail_count");
}

async function meetARefusal(): Promise<void> {
  const reply = await post("/v1/requirements", {
    connection_id: "stud-to-plate-end-nail",
    nail_designation: "3 x 0.131",
    joint_count: -1,
  });
  expect(reply.status === 422, "a refusal");
  const faults = (reply.body.errors ?? []).map((fault) => `${fault.code} ${fault.pointer}`);
  expect(faults.join() === "out_of_range #/joint_count", `one fault at joint_count, not ${faults}`);
}

async function sendABatch(): Promise<void> {
  const joint = { connection_id: "stud-to-plate-end-nail", joint_count: 38 } as const;
  const reply = await post("/v1/requirements/batch", {
    items: [
      { id: "good", ...joint, nail_designation: "3 x 0.131" },
      { id: "bad", ...joint, nail_designation: "16d" },
    ],
  });
  expect(reply.status === 200, "a batch");
  const [good, bad] = reply.body.results;
  // IRC 2021 Table R602.3(1) item 17: three 3 x 0.131 in each end; 3 x 38 = 114.
  expect(good?.status === 200 && good.result.nail_count === 114, "114 nails in the good item");
  expect(bad?.status === 422 && bad.problem.errors !== undefined, "errors in the bad item");
}

await planAWall();
await meetARefusal();
await sendABatch();
console.log("typescript client: a plan, a refusal and a batch");
