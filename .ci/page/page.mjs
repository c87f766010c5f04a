// What a customer does with the quote page, in a real browser: typed, clicked, tabbed, shared, printed.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { createRequire } from "node:module";
import { after, before, beforeEach, describe, it } from "node:test";
import { chromium } from "playwright-core";

const URL_ = `${process.env.SERVICE_URL}/`;
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
let browser, page, faults, elsewhere;

before(async () => {
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM, args: ["--no-sandbox", "--no-proxy-server"] });
});
after(() => browser.close());

async function open(width = 1200, fragment = "", options = {}) {
  await page?.context().close();
  page = await (await browser.newContext({ viewport: { width, height: 800 }, ...options })).newPage();
  [faults, elsewhere] = [[], []];
  page.on("pageerror", (error) => faults.push(error.message));
  page.on("console", (said) => { if (/Content Security Policy|Refused/.test(said.text())) faults.push(said.text()); });
  page.on("request", (asked) => { if (!asked.url().startsWith(URL_) && !/^(data|blob):/.test(asked.url())) elsewhere.push(asked.url()); });
  await page.goto(URL_ + fragment);
  await answered();
}

const answered = () => page.waitForFunction(() => /^Counted/.test(document.getElementById("status").textContent) && !document.querySelector(".waiting"));
const said = (pattern) => page.waitForFunction((p) => new RegExp(p).test(document.getElementById("status").textContent), pattern);
const field = (label) => page.getByLabel(label, { exact: true });
const row = (joint) => page.locator("#joints tbody tr", { hasText: joint }).first();

/** Types into a field and waits for the answer to it. */
async function type(label, text) {
  const answer = page.waitForResponse((r) => r.url().endsWith("/v1/wall-plans") && r.request().headers().accept === "application/json");
  await field(label).fill(text);
  await answer;
  await page.waitForFunction(() => !document.querySelector(".waiting"));
}

async function axe() {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(() => axe.run());
  const bad = violations.filter((v) => ["serious", "critical"].includes(v.impact));
  assert.deepEqual(bad.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(" | ")}`), []);
}

const overflow = () => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
const RICH = "#wall/length=24'&framing_nail=3 x 0.120&wall/sheathing/thickness=0.4375&wall/bottom_plate_on=concrete&wall/openings/0/kind=window&wall/openings/1/kind=door&wall/openings/1/at=120";

describe("lengths as people type them", () => {
  before(() => open());
  // a foot is 12 in, an inch 25.4 mm; the inches by hand
  for (const [typed, unit, value] of [
    ["12' 7-7/16\"", "in", 151.4375], ["12 ft 7 7/16", "in", 151.4375], ["12'-7 7/16\"", "in", 151.4375], ["12′ 7⁷⁄₁₆″", null],
    ["12'7\"", "in", 151], ["12' 7.5", "in", 151.5], ["12 feet", "in", 144], ["12.5'", "in", 150], ["151.5", "in", 151.5], ["151.5 in.", "in", 151.5],
    ["97-1/8", "in", 97.125], ["97 1/8 inches", "in", 97.125], ["97⅛", "in", 97.125], ["½\"", "in", 0.5], ["7/16", "in", 0.4375], ["17/16", "in", 1.0625],
    ["1/64", "in", 0.015625], [".5", "in", 0.5], ["8’ 1 1/8”", "in", 97.125], ["8' 1 1/8''", "in", 97.125], [" 8 FT  1 ", "in", 97],
    ["3.85 m", "mm", 3850], ["3850 mm", "mm", 3850], ["3850mm", "mm", 3850], ["385 cm", "mm", 3850], ["3.85 meters", "mm", 3850], ["3.85 metres", "mm", 3850],
    ["0.1 m", "mm", 100], ["2.4384 m", "mm", 2438.4],
    ["", null], ["twelve", null], ["-5", null], ["12' 7' 3\"", null], ["7/0", null], ["1e3", null], ["1,200 mm", null], ["3 m 20", null], ["12 x 7", null], ["12''", "in", 12],
  ]) it(`${typed || "nothing"} is ${unit ? `${value} ${unit}` : "no length"}`, async () => {
    const got = await page.evaluate(async (text) => (await import("/page.js")).readLength(text), typed);
    assert.deepEqual(got, unit && { unit, value });
  });
});

describe("a wall is quoted", () => {
  before(() => open());

  it("takes feet, inches and fractions and a nail that no table lists", async () => {
    await type("Length", "12' 7-7/16\"");
    await type("Nail for framing", "3 x 0.120");
    const joint = row("through the plate into the end of the stud");
    assert.match(await joint.innerText(), /4 nails each end/);
    assert.match(await joint.innerText(), /if the building official accepts it/);
    assert.equal(await joint.locator("svg.warning").count(), 1);
    assert.match(await page.innerText("#cautions"), /WARNING\s*The number comes from a strength comparison/i);
    assert.match(await page.innerText("#cut"), /2x4 x 151-7\/16 in/);
    assert.match(await page.innerText("#buy"), /Nails 3 x 0.120 smooth/);
  });

  it("says with a window that its header was not checked", async () => {
    await page.getByRole("button", { name: "Add a window" }).click();
    await page.waitForFunction(() => /header was not checked/.test(document.getElementById("cautions").textContent));
    assert.equal(await page.evaluate(() => document.activeElement.name), "wall/openings/0/kind");
  });

  it("puts a fault beside the field that it names", async () => {
    await type("Left edge from the start of the wall", "200");
    const at = field("Left edge from the start of the wall");
    assert.equal(await at.getAttribute("aria-invalid"), "true");
    const about = (await at.getAttribute("aria-describedby")).split(" ").at(-1);
    assert.match(await page.locator(`[id="${about}"]`).innerText(), /at_in may be/);
    assert.match(await page.innerText("#status"), /1 field needs attention: Window 1, Left edge from the start of the wall\./);
    assert.equal(await page.locator("#answer.old #joints tr").count() > 3, true, "the last answer stays");
    await axe();
    await type("Left edge from the start of the wall", "4 ft");
    assert.equal(await at.getAttribute("aria-invalid"), null);
  });

  // a window from 48 to 86 in, 12 in for the studs between: 98 to 136, and 6 in of 151-7/16 are left; a third has no place
  it("puts a further opening where no other one is", async () => {
    for (const place of ["98", ""]) {
      await page.getByRole("button", { name: "Add a window" }).click();
      assert.equal(await field("Left edge from the start of the wall").last().inputValue(), place);
      await (place ? answered() : said("A length is missing: Window 3, Left edge from the start of the wall\\."));
    }
    assert.match(await page.locator(".opening").last().innerText(), /no free place/);
    for (const name of ["Remove window 3", "Remove window 2"]) await page.getByRole("button", { name }).click();
    await answered();
  });

  it("offers what 16d could mean", async () => {
    await type("Nail for framing", "16d");
    const pick = page.getByRole("button", { name: "16d box (3-1/2 x 0.135)" });
    await pick.waitFor();
    assert.equal(await page.locator(".pick button").count(), 3);
    assert.match(await page.locator("#nail-error").innerText(), /names no single diameter/);
    await pick.click();
    await answered();
    assert.match(await row("through the plate into the end of the stud").innerText(), /3 nails each end/);
    assert.equal(await field("Nail for framing").evaluate((c) => c === document.activeElement), true);
  });

  it("is the same after a reload, from the address alone", async () => {
    const before_ = await page.innerText("#result"), address = page.url();
    await open(1200, address.slice(URL_.length));
    assert.equal(await page.innerText("#result"), before_);
    assert.equal(await field("Length").inputValue(), "12' 7-7/16\"");
    assert.equal(await page.locator("#opening-list > fieldset").count(), 1);
  });

  it("asks by curl what it shows", async () => {
    await type("Nail for framing", "3-1/4\" x 0.120\"");
    const answer = JSON.parse(execFileSync("bash", ["-c", await page.innerText("#curl-plan")], { encoding: "utf8" }));
    assert.match(await page.innerText("#status"), new RegExp(`Counted: ${answer.result.totals.framing_nail_count} framing nails`));
    const list = JSON.parse(execFileSync("bash", ["-c", await page.innerText("#curl-takeoff")], { encoding: "utf8" }));
    assert.equal(list.result.purchase.packages[0].package_count > 0, true);
  });

  it("takes the window away again, and starts over", async () => {
    await page.getByRole("button", { name: "Remove window 1" }).click();
    await page.waitForFunction(() => !/header was not checked/.test(document.getElementById("cautions").textContent));
    await page.getByRole("button", { name: "Start over" }).click();
    await answered();
    assert.equal(page.url(), URL_);
    assert.equal(await field("Length").inputValue(), "12'");
  });

  it("marks the site as assumed until it is set", async () => {
    assert.match(await page.innerText("#wind-assumed"), /Assumed: 115/);
    await type("Wind, mph", "120");
    await field("Wind exposure").selectOption("B");
    await page.waitForFunction(() => !document.getElementById("exposure-assumed").textContent);
    assert.equal(await page.textContent("#wind-assumed"), "");
    assert.match(await page.textContent("#seismic-assumed"), /Assumed: B/);
  });

  it("breaks no rule of its policy and fetches nothing from elsewhere", () => assert.deepEqual([faults, elsewhere], [[], []]));
});

describe("a wall on concrete in metric", () => {
  it("shows bolts, treated wood and millimeters", async () => {
    await open(1200, `${RICH}&units=metric&wall/height=2.44 m`);
    assert.match(await page.innerText("#anchors"), /anchor bolts/);
    assert.match(await page.innerText("#anchors"), /from the start of the piece/i);
    assert.match(await page.innerText("#cut"), /treated/);
    assert.doesNotMatch(await page.innerText("#joints"), /every .* in\b|undefined|null/);
    assert.doesNotMatch(await page.innerText("#result"), /undefined|NaN|\[object/);
  });
});

describe("several nails on hand, boxes and walls", () => {
  const asked = () => JSON.parse(/-d '(.*)' 'http/s.exec(document.getElementById("curl-takeoff").textContent)[1]);
  const answer = async () => JSON.parse(execFileSync("bash", ["-c", await page.innerText("#curl-takeoff")], { encoding: "utf8" })).result;
  before(() => open(1200, "#wall/sheathing/thickness=0.4375"));

  it("shows no choice with one nail, and keeps its fields folded", async () => {
    assert.equal(await page.isVisible("#choice"), false);
    assert.equal(await page.isVisible("#second"), false);
    assert.deepEqual(Object.keys(await page.evaluate(asked)).sort(), ["framing_nail", "sheathing_nail", "walls"].sort());
  });

  it("says which nail goes where, in the words of the service", async () => {
    await page.locator("#boxes summary").click();
    await type("Nail for framing", "3 x 0.120");
    await type("Second nail on hand", "16d common");
    const { nail_choice: choice } = await answer(), shown = await page.innerText("#choice");
    for (const text of [choice.reason, ...choice.assignments.flatMap((a) => [a.description, a.nail_label, a.outcome_label]), ...choice.alone.map((a) => a.label)])
      assert.equal(shown.includes(text), true, text);
    assert.equal(choice.alone.length, 3, "the second nail, and those for framing and panels");
    assert.match(shown, /if the building official accepts/);
    assert.match(shown, /too short/);
    await axe();
  });

  it("offers what a second 16d could mean", async () => {
    await type("Second nail on hand", "16d");
    await page.getByRole("button", { name: "16d sinker (3-1/4 x 0.148)" }).click();
    await answered();
    assert.match(await page.innerText("#choice"), /16d sinker/);
  });

  it("says what the boxes cost", async () => {
    await field("Price of the framing box").fill("9.50");
    await page.waitForSelector("#box-count-error");
    assert.equal(await page.locator("[id='box-count-error']").count(), 1, "of the box, and of the nail on hand: said once");
    assert.match(await page.innerText("#status"), /field/);
    await type("Nails in the framing box", "100");
    await answered();
    const { purchase } = await answer(), bought = purchase.packages.find((p) => p.price === 9.5);
    assert.equal(bought.cost, 9.5 * bought.package_count);
    assert.match(await page.innerText("#buy"), new RegExp(`${bought.package_count} packages of 100 nails`));
    assert.equal((await page.innerText("#buy")).includes(purchase.cost_label), true);
  });

  it("puts a fault of the currency, or of the panel box, beside its own field", async () => {
    await field("Currency of the prices").fill("US");
    await page.waitForSelector("#currency-error");
    assert.equal(await page.isVisible("#faults"), false);
    await field("Currency of the prices").fill("eur");
    await page.waitForSelector("#currency-error", { state: "detached" });
    await answered();
    assert.match(await page.innerText("#buy"), /EUR/);
    await field("Nails in the framing box").fill("");
    await field("Price of the framing box").fill("");
    await field("Price of the panel box").fill("12");
    await page.waitForSelector("#panel-box-count-error");
    assert.equal(await page.locator("#box-count-error").count(), 0);
    await type("Nails in the panel box", "1000");
    await answered();
  });

  it("multiplies the list by equal walls, and says so", async () => {
    const one = (await answer()).nails[0].nail_count;
    await type("Walls like this", "3");
    await page.waitForFunction(() => /for 3 walls/.test(document.getElementById("buy").textContent));
    const all = await answer();
    assert.equal(all.walls[0].count, 3);
    assert.equal(all.nails[0].nail_count, 3 * one);
    assert.match(await page.innerText("#joints"), /One of these walls/);
    await field("Walls like this").fill("0");
    await page.waitForSelector("#count-error");
    await type("Walls like this", "3");
    await answered();
  });

  it("is the same after a reload, with the boxes unfolded", async () => {
    const shown = await page.innerText("#choice");
    await open(1200, page.url().slice(URL_.length));
    assert.equal(await page.innerText("#choice"), shown);
    assert.equal(await page.isVisible("#second"), true);
    assert.deepEqual([faults, elsewhere], [[], []]);
  });

  it("is read and used on a phone", async () => {
    await open(390, page.url().slice(URL_.length), { hasTouch: true, isMobile: true });
    await axe();
    assert.equal(await overflow(), 0);
    const low = await page.locator("main :is(input, select, button, summary)").evaluateAll((some) =>
      some.map((e) => [e.id || e.textContent, e.getBoundingClientRect().height]).filter(([, height]) => height && height < 40));
    assert.deepEqual(low, [], "a finger finds each");
    assert.equal(await page.getByRole("table", { name: "Joint by joint" }).count(), 1, "still a table for who hears it");
    await page.locator("#boxes summary").tap();
    assert.equal(await page.isVisible("#second"), false);
    await page.getByRole("link", { name: "To the answer" }).tap();
    await page.waitForFunction(() => Math.abs(document.getElementById("answer-title").getBoundingClientRect().top) < 200);
  });
});

describe("the words of the service", () => {
  it("say what may serve past a limit, and who decides", async () => {
    await open(1200, "#wind_speed_mph=180&exposure=C&seismic_design_category=B");
    const { cautions } = JSON.parse(execFileSync("bash", ["-c", await page.innerText("#curl-plan")], { encoding: "utf8" }));
    const steps = cautions.flatMap((c) => c.next_steps ?? []);
    assert.equal(steps.length > 0, true);
    const shown = await page.innerText("#cautions");
    for (const step of steps) assert.equal(shown.includes(step.label), true, step.label);
    assert.match(await page.innerText("#joints"), /no number/);
  });

  it("describe the drawing to who cannot see it", async () => {
    await open();
    await page.waitForFunction(() => document.querySelector("#drawing img").naturalWidth > 0);
    assert.match(await page.getAttribute("#drawing img", "alt"), /^Wall, 144 in long.*Seen from its outside face.*Nails: /s);
  });

  it("stand with what to read first where a length looks like feet", async () => {
    await open(1200, "#wall/length=12");
    assert.match((await page.locator("#cautions > li:not(.rest)").allInnerTexts()).join("\n"), /if 12 ft was meant, that is 144 in/);
  });

  for (const [label, typed, name, value] of [
    ["Wind, mph", "120 mph", "wind_speed_mph", 120], ["Waste, percent", "5%", "waste_percent", 5], ["Pitch, in 12", "6/12", "roof_pitch_in_12", 6],
    ["Roof span, ft", "28'", "roof_span_ft", 28], ["Ground snow load, psf", "30 psf", "ground_snow_load_psf", 30],
  ]) it(`are not needed for ${typed}: the unit is that of the field`, async () => {
    await open();
    await type(label, typed);
    assert.equal(await page.locator(".field > .error").count(), 0);
    assert.match(await page.innerText("#curl-takeoff"), new RegExp(`"${name}":${value}[,}]`));
  });

  it("refuse a number in another unit, beside its field", async () => {
    await open();
    await type("Wind, mph", "50 m/s");
    assert.match(await page.innerText("#wind-error"), /plain number/);
  });

  it("are offered where 12-6 may be feet and inches", async () => {
    await open();
    await field("Length").fill("12-6");
    await page.getByRole("button", { name: "12' 6\"" }).click();
    await page.waitForFunction(() => /150 in/.test(document.getElementById("cut").textContent));
  });
});

describe("the service is in trouble", () => {
  const last = async () => assert.match(await page.innerText("#joints"), /3 nails each end/);
  beforeEach(() => open());

  it("says that it cannot be reached, keeps the last answer, and tries again", async () => {
    await page.route("**/v1/**", (route) => route.abort());
    await field("Length").fill("13'");
    await said("cannot be reached.*earlier values");
    await last();
    await page.unroute("**/v1/**");
    await page.getByRole("button", { name: "Try again" }).click();
    await answered();
    assert.match(await page.innerText("#cut"), /156 in/);
  });

  for (const [name, body, type_] of [
    ["of its own", '{"status": 503, "detail": "Try again as Retry-After says.", "code": "overloaded"}', "application/problem+json"],
    ["of a proxy in between", "<h1>busy</h1>", "text/html"],
  ]) it(`says a 503 ${name}, and keeps the last answer`, async () => {
    await page.route("**/v1/**", (route) => route.fulfill({ status: 503, body, contentType: type_ }));
    await field("Length").fill("13'");
    await said("503.*earlier values");
    await last();
  });

  it("shows the last question's answer where an earlier one comes late", async () => {
    let first = true;
    await page.route("**/v1/wall-plans", async (route) => {
      const late = first;
      first = false;
      if (late) await new Promise((done) => setTimeout(done, 1500));
      await route.continue().catch(() => {});
    });
    await field("Length").fill("13'");
    await page.waitForSelector(".waiting");
    assert.equal(await page.getAttribute("#answer", "aria-busy"), "true");
    await field("Length").fill("14'");
    await page.waitForFunction(() => /168 in/.test(document.getElementById("cut").textContent));
    await page.waitForTimeout(1800);
    assert.match(await page.innerText("#cut"), /168 in/);
    assert.deepEqual(faults, []);
  });

  it("asks nothing without a nail, and says so beside its field", async () => {
    await field("Nail for framing").fill("");
    await said("A nail is missing.*earlier values");
    assert.match(await page.innerText("#nail-error"), /as on its box/);
    await last();
  });

  it("asks nothing with a length that cannot be read", async () => {
    await field("Length").fill("twelve");
    await said("A length cannot be read");
    assert.match(await page.innerText("#length-error"), /Write it like/);
    await last();
  });
});

describe("a drawing", () => {
  const drawing = async (route) => {
    const svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40" height="20"><style>rect{fill:#234}</style><rect width="40" height="20"/></svg>';
    if (route.request().headers().accept === "image/svg+xml") await route.fulfill({ status: 200, contentType: "image/svg+xml", body: svg });
    else await route.continue();
  };

  it("appears where the service has that form, and else leaves no gap", async () => {
    await open();
    const offered = (await (await fetch(`${URL_}v1/wall-plans`, { method: "POST", headers: { "Content-Type": "application/json", Accept: "image/svg+xml" }, body: '{"framing_nail":{"nail_designation":"3 x 0.131"},"wall":{"length_in":144,"height_in":97.125}}' })).status) === 200;
    await page.waitForTimeout(500);
    assert.equal(await page.isVisible("#drawing"), offered);
    await page.route("**/v1/wall-plans", drawing);
    await page.reload();
    await page.waitForFunction(() => document.querySelector("#drawing img").naturalWidth === 40);
    assert.equal(await page.isVisible("#drawing"), true);
    assert.deepEqual(faults, []);
  });
});

describe("everybody can use it", () => {
  for (const width of [360, 1200]) it(`has no serious fault and no sideways scrolling at ${width} px`, async () => {
    await open(width, RICH);
    await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
    await axe();
    assert.equal(await overflow(), 0);
    await page.evaluate(() => { document.documentElement.style.fontSize = "200%"; });
    assert.equal(await overflow(), 0, "with text at 200 percent");
  });

  it("is walked through by keyboard, in order, with the focus seen", async () => {
    await open(1200, RICH);
    const seen = [];
    for (let i = 0; i < 120; i++) {
      await page.keyboard.press("Tab");
      const at = await page.evaluate(() => {
        const e = document.activeElement, style = getComputedStyle(e), box = e.getBoundingClientRect();
        return e === document.body ? null : { name: e.name || e.id || e.textContent.trim(), ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2, seen: box.width > 0 && box.bottom > 0 && box.top < innerHeight };
      });
      if (!at) break;
      seen.push(at);
    }
    assert.deepEqual(seen.filter((s) => !s.ring || !s.seen), []);
    const names = seen.map((s) => s.name);
    assert.equal(names[0], "To the answer");
    assert.equal(names.at(-1), "Its contract");
    const order = ["wall/length", "wall/openings/0/at", "add-window", "framing_nail", "wind_speed_mph", "again", "Copy the line for the wall"];
    assert.deepEqual(order.map((n) => names.indexOf(n)), order.map((n) => names.indexOf(n)).toSorted((a, b) => a - b));
    assert.equal(order.every((n) => names.includes(n)), true);
  });

  it("goes to the answer by the first link, and Enter asks at once", async () => {
    await open(360);
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    assert.equal(await page.evaluate(() => document.activeElement.id), "answer");
    const top = await page.locator("#answer-title").evaluate((e) => e.getBoundingClientRect().top);
    assert.equal(top > 0 && top < 200, true, `its title stands at ${top}`);
    await field("Length").fill("15'");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => /180 in/.test(document.getElementById("cut").textContent));
  });

  it("tells the result politely, and jumps nowhere while it waits", async () => {
    await open();
    assert.equal(await page.getAttribute("#status", "role"), "status");
    const place = () => page.locator("#result").evaluate((e) => e.getBoundingClientRect().top);
    const still = await place();
    await page.evaluate(() => document.getElementById("answer").classList.add("waiting"));
    assert.equal(await place(), still);
    assert.equal(await page.evaluate(() => getComputedStyle(document.getElementById("spinner")).animationName), "turn");
    await axe();
  });

  it("turns nothing for those who asked for less motion", async () => {
    await open(1200, "", { reducedMotion: "reduce" });
    await page.evaluate(() => document.getElementById("answer").classList.add("waiting"));
    assert.equal(await page.evaluate(() => getComputedStyle(document.getElementById("spinner")).animationName), "none");
  });

  it("prints the wall, the notice and the answer without its buttons", async () => {
    await open(1200, RICH);
    await page.emulateMedia({ media: "print" });
    assert.equal(await page.locator("button:visible").count(), 0);
    for (const id of ["question", "joints", "buy", "cautions"]) assert.equal(await page.isVisible(`#${id}`), true);
    assert.equal(await page.locator(".notice").first().isVisible(), true);
    assert.equal(await page.isVisible("#boxes"), false, "nothing typed, nothing printed");
    assert.match(await page.innerText("footer"), /Service version \d+\.\d+\.\d+.*No design and no approval/s);
  });
});

describe("a page of another origin", () => {
  it("may ask the same addresses", async () => {
    const other = createServer((_, answer) => answer.setHeader("Content-Type", "text/html").end("<!doctype html><title>other</title>"));
    await new Promise((ready) => other.listen(0, "127.0.0.1", ready));
    await page.context().close();
    page = await browser.newPage();
    await page.goto(`http://127.0.0.1:${other.address().port}/`);
    const got = await page.evaluate(async (root) => {
      const body = JSON.stringify({ framing_nail: { nail_designation: "3 x 0.131" }, wall: { length_in: 144, height_in: 97.125 } });
      const plan = await fetch(`${root}v1/wall-plans`, { method: "POST", headers: { "Content-Type": "application/json" }, body });
      const refused = await fetch(`${root}v1/nails?designation=zz`);
      return [plan.status, (await plan.json()).result.totals.framing_nail_count > 0, refused.status, (await refused.json()).errors[0].parameter];
    }, URL_);
    other.close();
    assert.deepEqual(got, [200, true, 422, "designation"]);
  });
});
