// Shows the contract of this service, and beside each request that was tried the lines that send it from elsewhere.
import { linesFor } from "./lines.js";

const place = document.getElementById("docs");
/** Where the service stands, behind a path prefix too: the page is one word below it. */
const root = new URL(".", location.href).href.replace(/\/$/, "");

/** Whether a GET of this address can be answered by a sheet. */
function offersCsv(contract, url) {
  const path = url.slice(root.length).split("?")[0];
  const found = Object.entries(contract.paths).find(([of]) => new RegExp(`^${of.replace(/\{[^}]+\}/g, "[^/]+")}$`).test(path));
  return "text/csv" in (found?.[1].get?.responses[200].content ?? {});
}

async function copy(line, button) {
  try {
    await navigator.clipboard.writeText(line.textContent);
    button.textContent = "Copied";
  } catch { // a page without https may not write there
    getSelection().selectAllChildren(line);
    button.textContent = "Selected: copy it with your keyboard";
  }
}

/** The filled fields stand first: what a question needs is not looked for among forty that it may have. */
function inOrder(contract) {
  const late = (field) => !(field.required || "example" in field);
  for (const { parameters } of Object.values(contract.paths).flatMap(Object.values)) parameters?.sort((a, b) => late(a) - late(b));
}

const NAMES = {
  "tr[data-param-name] :is(select, input, textarea)": (field) => field.closest("tr").dataset.paramName,
  "textarea.body-param__text": () => "Body",
  "select.examples-select-element": () => "Example",
  "#servers": () => "Where the service stands",
  ".close-modal": () => "Close",
};

/** Names the fields and opens the boxes to the keyboard, which the viewer leaves out. */
function name() {
  for (const [which, called] of Object.entries(NAMES)) {
    for (const field of place.querySelectorAll(`:is(${which}):not([aria-label])`)) field.ariaLabel = called(field);
  }
  for (const button of place.querySelectorAll(".modal-btn[aria-label]")) button.removeAttribute("aria-label"); // its own words name it
  for (const box of place.querySelectorAll("pre:not([tabindex])")) box.tabIndex = 0;
}

/** Puts the lines where the viewer has its own, and plain words where it has a link inside a button. */
const ours = (contract) => ({ React: { createElement: h } }) => ({
  components: {
    DeepLink: ({ text }) => h("span", null, text),
    RequestSnippets: ({ request }) => {
      const asked = {
        method: request.get("method").toUpperCase(),
        url: request.get("url"),
        headers: [...(request.get("headers")?.entries() ?? [])],
        body: request.get("body"),
      };
      return h("div", { className: "lines" }, h("h4", null, "The same from elsewhere"), linesFor(asked, offersCsv(contract, asked.url)).map(
        ({ name, title, text }) => h("div", { key: name },
          h("h5", null, title),
          h("pre", { tabIndex: 0, "aria-label": title }, h("code", { "data-line": name }, text)),
          h("button", { type: "button", className: "btn", onClick: (e) => copy(e.target.parentNode.querySelector("code"), e.target) }, "Copy"))));
    },
  },
});

try {
  const answer = await fetch("v1/openapi.json");
  if (!answer.ok) throw new Error(`the service answers ${answer.status}`);
  const contract = await answer.json();
  contract.servers = [{ url: root }];
  inOrder(contract);
  new MutationObserver(name).observe(place, { childList: true, subtree: true });
  SwaggerUIBundle({
    domNode: place,
    spec: contract,
    layout: "BaseLayout",
    plugins: [ours(contract)],
    requestSnippetsEnabled: true,
    validatorUrl: null,
    deepLinking: true,
    docExpansion: "list",
    defaultModelsExpandDepth: -1, // hundreds, each shown with the address that uses it
    syntaxHighlight: { activated: false }, // slow on the sticks of a house, and too pale to read
  });
} catch (error) {
  place.textContent = `The contract cannot be read: ${error.message}. Reload the page to try again.`;
}
