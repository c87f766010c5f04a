// The README's lines for a page of any origin, as they stand, on a page of another origin.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { after, before, it } from "node:test";
import { chromium } from "playwright-core";

const [, block] = readFileSync(process.env.README, "utf8").match(/^```html\n([^]*?)^```$/m);
const QUESTION = `{ framing_nail: { nail_designation: "3 x 0.131" }, wall: { length_in: 288, height_in: 97.125 } }`;
const served = block.replace("http://127.0.0.1:8080", process.env.SERVICE_URL);
let browser, other, html;

before(async () => {
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM, args: ["--no-sandbox", "--no-proxy-server"] });
  other = createServer((_, answer) => answer.setHeader("Content-Type", "text/html; charset=utf-8").end(`<!doctype html><title>other</title>${html}`));
  await new Promise((ready) => other.listen(0, "127.0.0.1", ready));
});
after(async () => { await browser.close(); other.close(); });

/** Opens a page with some lines, and returns what it says when it has its answer. */
async function said(lines) {
  html = lines;
  const page = await browser.newPage(), faults = [];
  page.on("pageerror", (error) => faults.push(error.message));
  await page.goto(`http://127.0.0.1:${other.address().port}/`);
  await page.waitForSelector("br", { state: "attached" });
  const text = await page.innerText("body");
  await page.close();
  assert.deepEqual(faults, []);
  return text.trim().split("\n");
}

// 24 ft at 16 in on center: 18 spaces and one stud to close, 19 studs with two ends each; IRC 2021 Table R602.3(1) item 17, 3 of
// 3 x 0.131 in each: 114
it("counts the nails of a wall and says its cautions", async () => {
  assert.equal(served.includes(process.env.SERVICE_URL), true);
  const lines = await said(served);
  assert.equal(lines.includes("Stud to plate, through the plate into the end of the stud: 114"), true, lines.join("\n"));
  assert.equal(lines.some((line) => line.startsWith("warning: ")), true);
  assert.doesNotMatch(lines.join(), /undefined|\[object|null/);
});

it("says what the service refuses", async () => {
  assert.equal(served.includes(QUESTION), true);
  const lines = await said(served.replace(QUESTION, QUESTION.replace("3 x 0.131", "16d")));
  assert.match(lines.join("\n"), /16d.* names no single diameter/);
});
