// The quote page: reads the form, asks the service, shows what it says. Every number and sentence of an answer is the service's.

const VULGAR = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const METRIC = { mm: 1, millimeter: 1, cm: 10, centimeter: 10, m: 1000, meter: 1000 };
const NUMBER = String.raw`\d+(?:\.\d*)?|\.\d+`;
const MILLIMETERS = new RegExp(`^(${NUMBER}) ?(mm|cm|m|(?:milli|centi)?met(?:er|re)s?)$`);
const FEET_INCHES = new RegExp(
  `^(?:(${NUMBER}) ?(?:'|ft\\.?|foot|feet)[ -]*)?(?:(?:(${NUMBER})(?:[ -]+(\\d+)/(\\d+))?|(\\d+)/(\\d+)) ?(?:"|in\\.?|inch|inches)?)?$`,
);

/** Reads a length as people type it: {unit: "in" | "mm", value}, or null where it is none. A bare number is inches. */
export function readLength(typed) {
  const text = typed.toLowerCase().replace(/[′’‘´]/g, "'").replace(/''|[″”“]/g, '"').replace(/⁄/g, "/")
    .replace(/[½¼¾⅛⅜⅝⅞]/g, (c) => ` ${VULGAR[c]}`).replace(/\s+/g, " ").trim();
  const metric = MILLIMETERS.exec(text);
  if (metric) {
    const unit = metric[2].replace(/tres?$/, "ter").replace(/s$/, "");
    return { unit: "mm", value: Number((metric[1] * METRIC[unit]).toFixed(2)) };
  }
  const [whole, feet, inches, top, bottom, part, of] = FEET_INCHES.exec(text) ?? [];
  if (!whole || bottom === "0" || of === "0") return null;
  const value = (feet ?? 0) * 12 + Number(inches ?? 0) + (top ?? part ?? 0) / (bottom ?? of ?? 1);
  return { unit: "in", value: Number(value.toFixed(6)) };
}

/** Returns the first place from 48 in on where an opening has room for its own studs and those of the others, half at the end of the wall; inches, null where none has. */
export function freePlace(others, width, wallLength, room = 12) {
  const places = [48, ...others.map(({ at, width: wide }) => Math.ceil(at + wide + room))].sort((a, b) => a - b);
  const clear = (place) => others.every(({ at, width: wide }) => place >= at + wide + room || place + width + room <= at);
  return places.find((place) => place >= 48 && place + width + room / 2 <= wallLength && clear(place)) ?? null;
}

const WAIT_MS = 350;
const WORST_FIRST = ["stop", "warning", "caution", "info"];
const GROUND = { prescriptive: "ok", exceeds_listed: "ok", calculated: "warning", not_applicable: "info" };
const LINK = { ok: "ok", connector_needed: "warning", not_checked: "caution" };
const $ = (id) => document.getElementById(id);
const form = $("question");
let turn = 0, timer, calling, shown;
let sentFor = new Map(); // places in what is sent that are not those of the controls

// ---- the form: the name of each control is the place of its value in the question ----

const controls = () => [...form.elements].filter((c) => c.name);
const usual = (c) => (c.options ? ([...c.options].find((o) => o.defaultSelected) ?? c.options[0]).value : c.defaultValue);

/** Writes a value into the question, making lists and objects on the way. */
function put(body, path, value) {
  path.slice(0, -1).reduce((at, key, i) => (at[key] ??= /^\d+$/.test(path[i + 1]) ? [] : {}), body)[path.at(-1)] = value;
}

/** Reads a number, with or without the unit of its field; what is none goes to the service as it is, which says so. */
function plainNumber(text, unit) {
  const number = unit ? text.replace(new RegExp(` ?(${unit})$`, "i"), "") : text;
  return Number.isFinite(Number(number)) ? Number(number) : text;
}

/** Returns the question in the form, and the controls that cannot be read. What is left empty is not sent, but where it has to be there. */
function question() {
  const body = {}, unread = [];
  for (const c of controls()) {
    const path = c.name.split("/"), text = c.value.trim();
    if (c.name.endsWith("header/nominal") && !text) put(body, path.slice(0, -1), null);
    if (c.closest("[hidden]")) continue;
    if (!text && c.dataset.missing) unread.push(c);
    if (!text) continue;
    if (c.dataset.kind === "length") {
      const length = readLength(text);
      if (length) put(body, [...path.slice(0, -1), `${path.at(-1)}_${length.unit}`], length.value);
      else unread.push(c);
    } else if (c.dataset.kind === "nail") put(body, path, { nail_designation: text });
    else if (c.dataset.kind === "flag") put(body, path, text === "true");
    else put(body, path, c.dataset.kind === "number" ? plainNumber(text, c.dataset.unit) : text);
  }
  if (body.units === "us") delete body.units;
  if (body.wall.supports === "none") body.wall.bearing = false;
  body.wall.openings?.forEach((o, i) => { o.id = `${o.kind}-${i + 1}`; });
  return { body, unread };
}

/**
 * Returns what is asked of the two addresses. The boxes take the nails of the wall; with more nails on hand these two are on hand too,
 * after the others, so that places in that list are those of the controls.
 */
function bodies({ purchase, nails_on_hand: more, count, currency, ...plan }) {
  const { wall, ...shared } = plan, nails = [plan.framing_nail, plan.sheathing_nail], typed = purchase?.packages ?? [];
  const priced = (nail) => (nail.price === undefined ? nail : { ...nail, currency: currency?.toUpperCase() });
  const boxes = nails.map((nail, i) => priced({ ...nail, ...typed[i] })), used = [0, 1].filter((i) => typed[i]);
  const hand = more && [...more.map(priced), ...boxes.filter((_, i) => nails[i])];
  sentFor = new Map([
    ...used.map((i, k) => [`purchase/packages/${k}/`, `purchase/packages/${i}/`]),
    ...nails.map((_, i) => [`nails_on_hand/${(more?.length ?? 0) + i}/`, `purchase/packages/${i}/`]),
  ]);
  const buying = purchase && { ...purchase, ...(used.length && { packages: used.map((i) => boxes[i]) }) };
  return { plan, takeoff: { ...shared, walls: [{ id: "wall", ...(count !== undefined && count !== 1 && { count }), wall }],
    ...(hand && { nails_on_hand: hand }), ...(buying && { purchase: buying }) } };
}

/** Shows only the fields that mean something now. */
function tidy() {
  const openings = [...document.querySelectorAll("#opening-list > fieldset")];
  openings.forEach((box, i) => {
    for (const c of box.querySelectorAll("[data-name]")) {
      c.name = `wall/openings/${i}/${c.dataset.name}`;
      c.id = c.name.replaceAll("/", "-");
      c.previousElementSibling.htmlFor = c.id;
    }
    const kind = box.querySelector("[data-name=kind]").value, header = box.querySelector("[data-name='header/nominal']").value;
    box.querySelector("legend").textContent = `${kind === "door" ? "Door" : "Window"} ${i + 1}`;
    box.querySelector(".remove").setAttribute("aria-label", `Remove ${kind} ${i + 1}`);
    box.querySelector("[data-window]").hidden = kind === "door";
    for (const plies of box.querySelectorAll("[data-plies]")) plies.hidden = !header.startsWith("2");
  });
  for (const field of form.querySelectorAll("[data-only]")) field.hidden = !form.elements[field.dataset.only].value.trim();
  $("ply-nail").closest(".field").hidden = !openings.length;
}

function addOpening(kind) {
  const box = $("opening").content.cloneNode(true).firstElementChild;
  for (const c of box.querySelectorAll("[name]")) {
    c.dataset.name = c.name;
    if (kind && c.name === "kind") c.value = kind;
  }
  box.querySelector(".remove").addEventListener("click", () => {
    box.remove();
    changed();
    $("add-window").focus();
  });
  $("opening-list").append(box);
  tidy();
  return box;
}

/** Puts a new opening where no other one is; the place is left empty, with its message, where there is no room. */
function addClear(kind) {
  const inches = (c) => { const read = readLength(c.value); return read && (read.unit === "mm" ? read.value / 25.4 : read.value); };
  const of = (box, name) => box.querySelector(`[data-name=${name}]`);
  const places = [...document.querySelectorAll("#opening-list > fieldset")].map((b) => ({ at: inches(of(b, "at")), width: inches(of(b, "width")) }));
  const box = addOpening(kind), length = inches(form.elements["wall/length"]);
  const others = places.filter((p) => p.at !== null && p.width !== null);
  if (others.length) of(box, "at").value = freePlace(others, inches(of(box, "width")), length ?? 0) ?? "";
  return box;
}

// ---- the values stand in the fragment of the address, so that a quote can be shared ----

function keep() {
  const kept = controls().filter((c) => c.value !== usual(c) || c.name.endsWith("/kind")).map((c) => [c.name, c.value]);
  const text = new URLSearchParams(kept).toString().replaceAll("%2F", "/");
  history.replaceState(null, "", text ? `#${text}` : location.pathname + location.search);
}

function restore() {
  const kept = [...new URLSearchParams(location.hash.slice(1))];
  form.reset();
  $("opening-list").replaceChildren();
  for (const [name] of kept) if (/^wall\/openings\/\d+\/kind$/.test(name)) addOpening();
  for (const [name, value] of kept) if (form.elements[name]) form.elements[name].value = value;
  $("boxes").open = [...$("boxes").querySelectorAll("input")].some((c) => c.value !== usual(c));
  changed(0);
}

// ---- faults, each beside the field it names ----

const fieldOf = (c) => c.closest(".field");

function clearFaults() {
  form.querySelectorAll(".field > .error").forEach((e) => e.remove());
  for (const c of controls()) {
    c.removeAttribute("aria-invalid");
    c.setAttribute("aria-describedby", (c.getAttribute("aria-describedby") ?? "").replace(/\S+-error/, "").trim());
    if (!c.getAttribute("aria-describedby")) c.removeAttribute("aria-describedby");
  }
  $("faults").replaceChildren();
  $("faults").hidden = true;
}

function fault(control, text, ...more) {
  if (!control) {
    $("faults").append(el("li", {}, text));
    $("faults").hidden = false;
    return;
  }
  const id = `${control.id}-error`, open = control.closest("details");
  if (open) open.open = true;
  if ($(id)) return; // the first fault of a field, which a box and the same nail on hand share
  control.setAttribute("aria-invalid", "true");
  control.setAttribute("aria-describedby", `${control.getAttribute("aria-describedby") ?? ""} ${id}`.trim());
  fieldOf(control).append(el("div", { id, class: "error" }, el("p", {}, text), ...more));
}

/** Returns the control that a pointer such as #/wall/openings/0/at_in names, or the nearest one around it. */
function controlAt(pointer) {
  const sent = decodeURIComponent(pointer).replace(/^#\//, "").replace(/^walls\/0\//, "").replace(/.*\/currency$/, "currency");
  const [there, here] = [...sentFor].find(([from]) => sent.startsWith(from)) ?? ["", ""], path = here + sent.slice(there.length);
  const fits = (name) => path === name || new RegExp(`^${name}(_in|_mm|_m|_cm|_ft)?(/|$)`).test(path) || name.startsWith(`${path}/`);
  return controls().filter((c) => !c.closest("[hidden]") && fits(c.name)).sort((a, b) => b.name.length - a.name.length)[0];
}

async function showFaults(problem, signal) {
  for (const error of problem.errors ?? []) {
    const control = controlAt(error.pointer ?? ""), pick = el("div", { class: "pick" });
    const meant = error.did_you_mean ? ` Did you mean ${error.did_you_mean}?` : "";
    fault(control, error.detail + meant, pick);
    if (control && error.candidates) await offer(control, pick, signal);
  }
  if (!problem.errors?.length) fault(null, problem.detail);
}

/** Says in words which controls are at fault: the answer may stand far from them. */
function named(said, faulty) {
  const words = (c) => [c.closest(".opening")?.querySelector("legend").textContent, c.labels[0]?.textContent].filter(Boolean).join(", ");
  const names = [...new Set(faulty.filter(Boolean).map(words))];
  return names.length ? `${said.replace(/\.$/, "")}: ${names.join("; ")}.` : said;
}

/** Says what is missing, or how to write a length; 12-6 may be feet and inches, but nobody guesses that. */
function unreadable(control) {
  if (!control.value.trim()) return fault(control, control.dataset.missing);
  const [, feet, inches] = /^(\d+) ?- ?(\d+(?:-\d+\/\d+)?)$/.exec(control.value.trim()) ?? [], pick = el("div", { class: "pick" });
  if (feet) choose(control, pick, `${feet}' ${inches}"`);
  return fault(control, "This length cannot be read. Write it like 12' 7-7/16\", 151.5, 3.85 m or 3850 mm.", pick);
}

/** Puts a button among the picks that types its text into the field. */
function choose(control, pick, text) {
  const button = el("button", { type: "button" }, text);
  button.addEventListener("click", () => {
    control.value = text;
    control.focus();
    changed(0);
  });
  pick.append(button);
}

/** Offers the nails that a name could mean. */
async function offer(control, pick, signal) {
  const answer = await fetch(`v1/nails?${new URLSearchParams({ designation: control.value })}`, { signal });
  if (!answer.ok) return;
  for (const nail of (await answer.json()).items) choose(control, pick, nail.label);
}

// ---- asking: the last question wins, the last answer stays until the next one is here ----

function changed(wait = WAIT_MS) {
  tidy();
  keep();
  clearTimeout(timer);
  timer = setTimeout(ask, wait);
}

const post = (path, body, accept, signal) =>
  fetch(path, { method: "POST", headers: { "Content-Type": "application/json", Accept: accept }, body: JSON.stringify(body), signal });

/** Returns what an answer says; a proxy in between may refuse in its own words. */
const read = (answer) => answer.json().catch(() => ({ status: answer.status, detail: answer.statusText }));

async function ask() {
  const mine = ++turn, { body, unread } = question(), asked = bodies(body);
  calling?.abort();
  calling = new AbortController();
  const { signal } = calling;
  clearFaults();
  $("retry").hidden = true;
  for (const c of unread) unreadable(c);
  const wrong = unread.some((c) => c.value.trim()) ? "A length cannot be read." : `A ${unread[0]?.dataset.kind} is missing.`;
  if (unread.length) return stale(named(wrong, unread));
  $("answer").classList.add("waiting");
  $("answer").setAttribute("aria-busy", "true");
  try {
    const answers = await Promise.all([
      post("v1/wall-plans", asked.plan, "application/json", signal), post("v1/takeoffs", asked.takeoff, "application/json", signal),
    ]);
    const [plan, takeoff] = await Promise.all(answers.map(read));
    if (mine !== turn) return;
    const refused = answers[0].ok ? (answers[1].ok ? refusedWall(takeoff) : takeoff) : plan;
    if (!refused) show(plan, takeoff, asked);
    else if (refused.status === 422) {
      stale(named(refused.detail, (refused.errors ?? []).map((e) => controlAt(e.pointer ?? ""))));
      await showFaults(refused, signal);
    } else troubled(`The service says: ${refused.detail} (${refused.status})`);
    if (!refused) await draw(asked.plan, mine, signal);
  } catch (error) {
    if (mine === turn && error.name !== "AbortError") {
      console.error(error);
      troubled("The service cannot be reached.");
    }
  } finally {
    if (mine === turn) {
      $("answer").classList.remove("waiting");
      $("answer").removeAttribute("aria-busy");
    }
  }
}

const refusedWall = (takeoff) => takeoff.result.walls[0].problem;

function stale(why) {
  $("answer").classList.remove("waiting");
  $("answer").removeAttribute("aria-busy");
  $("answer").classList.toggle("old", Boolean(shown));
  say(shown ? `${why} Below stands the answer to the earlier values.` : why);
}

function troubled(why) {
  stale(why);
  $("retry").hidden = false;
}

const say = (text) => { $("status").textContent = text; };

// ---- showing ----

function el(name, attributes, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children.filter((c) => c !== null && c !== undefined && c !== ""));
  return made;
}

function icon(kind) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg"), use = document.createElementNS(svg.namespaceURI, "use");
  svg.setAttribute("class", `icon ${kind}`);
  svg.setAttribute("aria-hidden", "true");
  use.setAttribute("href", `#i-${kind}`);
  svg.append(use);
  return svg;
}

/** Returns a table; each cell is text, a node or a list of them, columns with numbers to the right. */
function table(title, heads, rows) {
  const numeric = heads.map((_, i) => rows.some((r) => typeof r[i] === "number"));
  const cell = (value, i) => el(i ? "td" : "th", {
    ...(i ? {} : { scope: "row" }), "data-head": heads[i], ...(numeric[i] ? { class: "n" } : {}),
  }, ...[value].flat().map((v) => (typeof v === "number" ? String(v) : v)));
  return el("table", { class: "cards" }, el("caption", {}, title),
    el("thead", {}, el("tr", {}, ...heads.map((h, i) => el("th", { scope: "col", ...(numeric[i] ? { class: "n" } : {}) }, h)))),
    el("tbody", {}, ...rows.map((r) => el("tr", {}, ...r.map(cell)))));
}

const why = (text) => (text ? el("p", { class: "why" }, text) : "");

function show(plan, takeoff, asked) {
  const { result } = plan, bought = takeoff.result, [{ count }] = bought.walls;
  shown = plan;
  $("answer").classList.remove("old");
  $("result").hidden = false;
  const known = new Set(plan.cautions.map((c) => c.code));
  const cautions = showCautions([
    ...bought.walls[0].notes.map((text) => ({ severity: "caution", text })), // a length that looks like feet: who typed it has to see that
    ...plan.cautions, ...takeoff.cautions.filter((c) => !known.has(c.code)),
  ]);
  showJoints(result, count);
  showChoice(bought);
  showPurchase(bought);
  showCuts(result, bought, count);
  showAnchors(result.anchors);
  $("path").replaceChildren(...result.load_path.map((l) => el("li", {}, icon(LINK[l.status] ?? "stop"),
    el("span", { class: `word ${LINK[l.status] ?? "stop"}` }, l.status_label), " ", l.label, why(l.reason))));
  $("notes").replaceChildren(...[...new Set([...result.notes, ...bought.notes])].filter((n) => !bought.walls[0].notes.includes(n)).map((n) => el("li", {}, n)));
  showAssumptions(plan.meta.assumptions);
  for (const [name, path] of [["plan", "v1/wall-plans"], ["takeoff", "v1/takeoffs"]]) $(`curl-${name}`).textContent = curl(path, asked[name]);
  $("data-version").textContent = `, data ${plan.meta.data_version}`;
  say(`Counted: ${result.totals.label}. To read first: ${cautions}.`);
}

const rank = (severity) => WORST_FIRST.indexOf(severity);

function showCautions(all) {
  const sorted = all.map((c) => ({ ...c, kind: rank(c.severity) < 0 ? "stop" : c.severity })).sort((a, b) => rank(a.kind) - rank(b.kind));
  const item = (c) => el("li", {}, icon(c.kind), el("span", { class: `word ${c.kind}` }, c.severity), " ", c.text,
    c.action && el("p", {}, el("strong", {}, "Do: "), c.action), why(c.applies_because && `Here: ${c.applies_because}`), ...(c.next_steps ?? []).map((s) => why(s.label)));
  const first = sorted.filter((c) => c.kind !== "info"), info = sorted.filter((c) => c.kind === "info");
  const rest = el("details", {}, el("summary", {}, `${info.length} more to know`), el("ul", { class: "plain" }, ...info.map(item)));
  $("cautions").replaceChildren(...first.map(item), el("li", { class: "rest" }, rest));
  const count = (kind) => sorted.filter((c) => c.kind === kind).length;
  return WORST_FIRST.slice(0, 3).filter(count).map((kind) => `${count(kind)} ${kind}${count(kind) > 1 ? "s" : ""}`).join(", ") || "nothing";
}

const ground = (judged, ...more) => [icon(GROUND[judged.outcome] ?? "stop"), judged.outcome_label, ...more];

function showJoints({ connections, totals }, count) {
  const rows = connections.map((c) => [[c.description, why(c.reason)], c.nail.label, c.number_label, c.nail_count ?? c.number_label,
    ground(c, why(c.provenance.label))]);
  const title = `${count > 1 ? "One of these walls: " : ""}${totals.label}. To lift it: ${totals.lifting_label}.`;
  $("joints").replaceChildren(table(title, ["Joint", "Nail", "Number", "In all", "Ground"], rows));
}

/** Returns the joints that a nail does not serve, each reason once. */
function refusals(refused) {
  const reasons = Map.groupBy(refused, (r) => r.reason);
  return [...reasons].flatMap(([reason, joints]) => [el("p", {}, joints.map((r) => r.description).join("; ")), why(reason)]);
}

function showChoice({ nail_choice: choice, purchase }) {
  $("choice").hidden = !choice;
  if (!choice) return;
  const goes = choice.assignments.map((a) => [a.description, a.nail_label, a.nail_count, ground(a)]);
  const none = choice.unserved.map((c) => [c.description, "none of these", "", [icon("stop")]]);
  const alone = choice.alone.map((a) => [[a.nail.label, why(a.label)], a.nail_count, a.refused.length ? refusals(a.refused) : "all are served"]);
  const cost = choice.cost === null ? "" : el("p", {}, `Price of the nails that are driven: ${choice.cost} ${purchase.currency ?? ""}`);
  $("choice").lastElementChild.replaceChildren(el("p", {}, el("strong", {}, choice.reason)), cost,
    el("p", { class: "help" }, "All other lists here are for the nails typed for framing and panels."),
    table("Joint by joint", ["Joint", "Nail", "Nails", "Ground"], [...goes, ...none]),
    table("Each nail alone", ["Nail", "Nails", "Not for"], alone));
}

function showPurchase({ label, purchase, nails, lumber, panels, totals_complete: complete }) {
  const need = (p) => nails.find((n) => n.nail.id === p.nail_id && n.nail.coating === p.coating)?.nail_count;
  const rows = [
    ...purchase.packages.map((p) => [`Nails ${p.nail_label}`, need(p), p.package_label, p]),
    ...lumber.stock.map((s) => [`Sticks ${s.label}`, s.stick_count, `${s.stick_count_with_waste}`, s]),
    ...panels.map((p) => [`Panels ${p.label}`, p.sheet_count, `${p.sheet_count_with_waste}`, p]),
  ].map(([what, needed, buy, bought]) => [what, needed, buy, ...(purchase.currency ? [bought.cost ?? "no price"] : [])]);
  const heads = ["What", "Needed", "To buy", ...(purchase.currency ? [`Cost, ${purchase.currency}`] : [])];
  const cost = purchase.cost_label ? el("p", {}, el("strong", {}, "Cost: "), purchase.cost_label) : "";
  $("buy").replaceChildren(table(label, heads, rows), cost);
  $("buy").querySelector("caption").classList.toggle("error", !complete);
}

function showCuts({ panels }, { lumber }, count) {
  const sticks = lumber.cut_list.map((s) => [s.label, s.member_count]);
  const cuts = (p) => p.cut_outs.map((c) => el("p", {}, `${c.label} at ${c.place_label}`));
  const rows = panels.map((p) => [p.label, p.place_label, p.cut_outs.length ? cuts(p) : "none", p.nail_count_label]);
  $("cut").replaceChildren(table(count > 1 ? `Sticks of ${count} walls` : "Sticks", ["Stick", "How many"], sticks),
    rows.length ? table(`Panels as they stand${count > 1 ? " in each wall" : ""}`, ["Panel", "Left lower corner", "Cut-outs", "Nails"], rows) : "");
}

function showAnchors(anchors) {
  $("anchors").hidden = !anchors;
  if (!anchors) return;
  const rows = anchors.plates.map((p) => [p.label, p.positions_label, p.reason]);
  $("anchors").lastElementChild.replaceChildren(el("p", {}, anchors.reason), why(anchors.provenance.label),
    table("Pieces of bottom plate", ["Piece", "Bolts", "Why"], rows), el("ul", {}, ...anchors.placement.map((p) => el("li", {}, p))));
}

function showAssumptions(assumptions) {
  const assumed = new Map(assumptions.map((a) => [a.field, a]));
  for (const help of form.querySelectorAll("[data-assumed]")) {
    const found = assumed.get(help.dataset.assumed.replaceAll("/", "."));
    const choice = [...(form.elements[help.dataset.assumed].options ?? [])].find((o) => o.value === String(found?.value));
    help.textContent = found ? `Assumed: ${choice?.label ?? found.value_label}, until you set it` : "";
    help.classList.toggle("assumed", Boolean(found));
  }
  $("assumed").replaceChildren(...assumptions.map((a) => el("li", {}, `${a.label}: ${a.value_label}`)));
}

/** Shows the drawing, which says itself what it is of. */
async function draw(body, mine, signal) {
  const answer = await post("v1/wall-plans", body, "image/svg+xml", signal), image = $("drawing").querySelector("img");
  const drawn = answer.ok && answer.headers.get("Content-Type").startsWith("image/svg+xml"), svg = drawn ? await answer.text() : "";
  if (mine !== turn) return;
  if (image.src) URL.revokeObjectURL(image.src);
  if (drawn) {
    const about = /<title[^>]*>[^<]*<\/title>\s*<desc[^>]*>[^<]*<\/desc>/.exec(svg)?.[0] ?? "<title/>";
    const parts = new DOMParser().parseFromString(`<svg>${about}</svg>`, "text/xml").documentElement.children;
    image.alt = [...parts].map((part) => part.textContent).join(". ");
    image.src = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  }
  $("drawing").hidden = !drawn;
}

function curl(path, body) {
  const json = JSON.stringify(body).replaceAll("'", "'\\''");
  return `curl -s -H 'Content-Type: application/json' -d '${json}' '${new URL(path, document.baseURI.split("#")[0])}'`;
}

async function copy(button) {
  const line = $(button.dataset.copy);
  try {
    await navigator.clipboard.writeText(line.textContent);
    say("Copied.");
  } catch { // a page without https may not write there
    getSelection().selectAllChildren(line);
    say("The line is selected: copy it with your keyboard.");
  }
}

function start() {
  form.addEventListener("input", () => changed());
  form.addEventListener("submit", (event) => { event.preventDefault(); changed(0); });
  $("again").addEventListener("click", () => { history.replaceState(null, "", location.pathname + location.search); restore(); });
  for (const kind of ["window", "door"]) $(`add-${kind}`).addEventListener("click", () => {
    addClear(kind).querySelector("select").focus();
    changed();
  });
  $("retry").addEventListener("click", ask);
  for (const button of document.querySelectorAll("[data-copy]")) button.addEventListener("click", () => copy(button));
  document.querySelector("[data-skip]").addEventListener("click", (event) => { event.preventDefault(); $("answer").focus({ preventScroll: true }); $("answer").scrollIntoView(); });
  addEventListener("hashchange", restore);
  addEventListener("beforeprint", () => document.querySelectorAll("#result details").forEach((d) => { d.open = true; }));
  restore();
}

start();
