// The documentation page in a real browser: every address tried, and every line that it shows run for real.
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtempSync, readFileSync } from "node:fs";
import { createServer, request as ask } from "node:http";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, it } from "node:test";
import { promisify } from "node:util";
import { chromium } from "playwright-core";

const ROOT = process.env.SERVICE_URL;
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const contract = await (await fetch(`${ROOT}/v1/openapi.json`)).json();
const OPERATIONS = Object.entries(contract.paths).flatMap(([path, ways]) => Object.entries(ways).map(([method, o]) => ({ ...o, path, method })));
const cwd = mkdtempSync(join(tmpdir(), "docs-"));
const run = async (command, ...words) => (await promisify(execFile)(command, words, { cwd, encoding: "buffer", maxBuffer: 1e8 })).stdout;
const listening = (server) => new Promise((ready) => server.listen(0, "127.0.0.1", () => ready(`http://127.0.0.1:${server.address().port}`)));
let browser, page, faults, elsewhere;

before(async () => {
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM, args: ["--no-sandbox", "--no-proxy-server"] });
});
after(() => browser.close());

/** Opens the page with every other host out of reach. */
async function open({ width = 1200, root = ROOT, at = "" } = {}) {
  await page?.context().close();
  const context = await browser.newContext({ viewport: { width, height: 800 } });
  [faults, elsewhere] = [[], []];
  await context.route("**", (route) => {
    if (route.request().url().startsWith(`${root}/`)) return route.continue();
    elsewhere.push(route.request().url());
    return route.abort();
  });
  page = await context.newPage();
  page.setDefaultTimeout(90_000); // an address has a thousand fields to show, and a shared machine is slow
  page.on("pageerror", (error) => faults.push(error.message));
  page.on("console", (said) => { if (said.type() === "error") faults.push(said.text()); });
  await page.goto(`${root}/docs${at}`);
  await page.locator(".opblock").first().waitFor();
}

const block = (id) => page.locator(`.opblock[id$="-${id}"]`);
async function unfold(id) {
  await block(id).locator(".opblock-summary-control").click();
  await block(id).locator(".try-out__btn").click();
}

/** Presses Execute; returns the response and the lines by name. */
async function execute(id) {
  const coming = page.waitForResponse((r) => r.request().resourceType() === "fetch");
  await block(id).locator(".execute").click();
  const response = await coming;
  await block(id).locator(".lines").waitFor();
  const lines = await block(id).locator("[data-line]").evaluateAll((found) => found.map((line) => [line.dataset.line, line.textContent]));
  return { response, lines: Object.fromEntries(lines) };
}

/** What a line of fetch says, run in a page. */
const fetched = (line, on = page) => on.evaluate(`(async () => { let said; const console = { log: (...words) => { said = words; } }; ${line}; return said; })()`);
const python = async (line) => (await run(process.env.PYTHON, "-c", line)).toString();
const curled = async (line) => (await run("bash", "-c", line)).toString();
const close = (id) => block(id).locator(".opblock-summary-control").click();

async function axe() {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(() => axe.run());
  const bad = violations.filter((v) => ["serious", "critical"].includes(v.impact));
  assert.deepEqual(bad.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(" | ")}`), []);
}

describe("each address, tried as the page fills it in", () => {
  before(() => open());

  for (const { operationId: id, method, responses } of OPERATIONS) it(`${id} is answered, and its lines give the same`, async () => {
    await unfold(id);
    const { response, lines } = await execute(id);
    const text = await response.text();
    assert.equal(response.status(), 200, text.slice(0, 300));
    const shown = await block(id).locator(".live-responses-table .highlight-code pre").first().textContent();
    assert.deepEqual(JSON.parse(shown), JSON.parse(text));
    const offersCsv = method === "get" && "text/csv" in responses[200].content;
    assert.deepEqual(Object.keys(lines), ["curl", "python", "fetch", ...(offersCsv ? ["sheet"] : [])]);
    assert.equal(await curled(lines.curl), text);
    assert.equal(await python(lines.python), `200\n${text}\n`);
    assert.deepEqual(await fetched(lines.fetch), [200, text]);
    if (offersCsv) {
      const sheet = await fetch(lines.sheet);
      assert.equal(sheet.headers.get("content-type"), "text/csv; charset=utf-8; header=present");
      assert.equal(await sheet.text(), await (await fetch(response.url(), { headers: { Accept: "text/csv" } })).text());
    }
    await close(id);
  });

  it("breaks no rule of its policy, says no error and fetches nothing from elsewhere", () => assert.deepEqual([faults, elsewhere], [[], []]));
});

describe("what is typed", () => {
  const ODD = [
    `{"nail": "it's \\"16d\\" \\\\ 3-1/2 x 0.135"}`,
    "{\n  \"straße\": \"grün 木 🔨\",\n\n\t\"x\": \"`a` ${1 + 1} $(echo no) $HOME !! %41 \\n\"\n}",
    "@/etc/hostname", "'", "\"", "\\", "\"\"\"", "a\"\"\"\"", "''' '\\''", "`", "${", "ends with \\\"", "no json",
  ];

  it("reaches the service byte for byte from each line", async () => {
    let body;
    const echo = createServer((asked, answer) => {
      const parts = [];
      asked.on("data", (part) => parts.push(part)).on("end", () => { body = Buffer.concat(parts).toString(); answer.end("ok"); });
    });
    const there = await listening(echo);
    const plain = await browser.newPage();
    await plain.goto(there);
    await open();
    await unfold("askRequirement");
    for (const text of ODD) {
      await block("askRequirement").locator("textarea").fill(text);
      const { response, lines } = await execute("askRequirement");
      assert.equal(response.request().postData(), text);
      const moved = (line) => line.replace(ROOT, there);
      for (const send of [() => curled(moved(lines.curl)), () => python(moved(lines.python)), () => fetched(moved(lines.fetch), plain)]) {
        body = undefined;
        await send();
        assert.equal(body, text);
      }
    }
    await plain.close();
    echo.close();
  });

  it("is refused in the same words", async () => {
    await open();
    await unfold("askRequirement");
    await block("askRequirement").locator("textarea").fill('{"nail_designation": "it\'s ü\\n16d"}');
    const { response, lines } = await execute("askRequirement");
    const without = (text) => ({ ...JSON.parse(text), request_id: "" });
    const refusal = without(await response.text());
    assert.equal(refusal.code, "validation_error");
    assert.deepEqual(without(await curled(lines.curl)), refusal);
    assert.deepEqual(without((await python(lines.python)).replace(/^422\n/, "")), refusal);
    assert.deepEqual(without((await fetched(lines.fetch))[1]), refusal);
  });

  it("in a field of a query survives too", async () => {
    await open();
    await unfold("listNails");
    const typed = "3\" x 0.131\" 'ü' & #1 + 5%";
    await block("listNails").locator('tr[data-param-name="designation"] input').fill(typed);
    const { response, lines } = await execute("listNails");
    assert.equal(new URL(response.url()).searchParams.get("designation"), typed);
    const without = (text) => ({ ...JSON.parse(text), request_id: "" });
    assert.deepEqual(without(await curled(lines.curl)), without(await response.text()));
    assert.deepEqual(without((await python(lines.python)).replace(/^\d+\n/, "")), without(await response.text()));
  });
});

describe("other forms", () => {
  before(() => open());

  it("a sheet by its media type", async () => {
    await unfold("getRequirement");
    await block("getRequirement").locator(".responses-wrapper select.content-type").first().selectOption("text/csv");
    const { response, lines } = await execute("getRequirement");
    assert.match(response.headers()["content-type"], /^text\/csv/);
    assert.equal(await curled(lines.curl), await response.text());
  });

  it("a printed sheet goes to a file", async () => {
    await unfold("planWall");
    await block("planWall").locator('tr[data-param-name="format"] select').selectOption("pdf");
    const { lines } = await execute("planWall");
    for (const send of [curled, python]) {
      await send(`${send === python ? "import os; os.path.exists('answer.pdf') and os.remove('answer.pdf')" : "rm -f answer.pdf"}\n${lines[send === python ? "python" : "curl"]}`);
      assert.equal(readFileSync(join(cwd, "answer.pdf")).subarray(0, 5).toString(), "%PDF-");
    }
  });
});

describe("where it stands", () => {
  it("behind a path prefix it asks and shows the addresses behind it", async () => {
    const proxy = createServer((asked, answer) => {
      if (!asked.url.startsWith("/nails/")) return answer.writeHead(404).end();
      const on = ask(`${ROOT}${asked.url.slice("/nails".length)}`, { method: asked.method, headers: asked.headers }, (r) => r.pipe(answer.writeHead(r.statusCode, r.headers)));
      return asked.pipe(on);
    });
    const root = `${await listening(proxy)}/nails`;
    await open({ root });
    await unfold("getRequirement");
    const { response, lines } = await execute("getRequirement");
    assert.equal(response.url().startsWith(`${root}/v1/requirements?`), true);
    assert.equal(await curled(lines.curl), await response.text());
    assert.equal((await fetch(lines.sheet)).headers.get("content-type").startsWith("text/csv"), true);
    assert.deepEqual([faults, elsewhere], [[], []]);
    await page.context().close();
    page = undefined;
    proxy.closeAllConnections();
    proxy.close();
  });

  it("a link names one address", async () => {
    await open({ at: "#/questions/planWall" });
    await block("planWall").locator(".try-out__btn").waitFor();
  });

  it("says so where the contract cannot be read", async () => {
    await open();
    await page.route("**/v1/openapi.json", (route) => route.fulfill({ status: 503, body: "busy" }));
    await page.reload();
    await page.getByText(/contract cannot be read: the service answers 503/).waitFor();
  });
});

describe("everybody can use it", () => {
  for (const width of [360, 1200]) it(`has no serious fault and no sideways scrolling at ${width} px`, async () => {
    await open({ width });
    await axe();
    for (const id of ["getRequirement", "planWall", "listNails"]) {
      await unfold(id);
      await execute(id);
    }
    await axe();
    await page.locator(".btn.authorize").first().click();
    await page.locator(".dialog-ux").waitFor();
    await axe();
    await page.locator(".dialog-ux .btn-done").click();
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth), 0);
  });

  it("by keyboard: an address is opened, tried, and its line copied", async () => {
    await open();
    const press = async (button) => { await button.focus(); await page.keyboard.press("Enter"); };
    await press(block("getVersion").locator(".opblock-summary-control"));
    await press(block("getVersion").locator(".try-out__btn"));
    await press(block("getVersion").locator(".execute"));
    const button = block("getVersion").locator(".lines button").first();
    await button.waitFor();
    await press(button);
    await page.waitForFunction(() => /Copied|Selected/.test(document.querySelector(".lines button").textContent));
  });
});
