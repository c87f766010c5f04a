// The lines that send one request again from elsewhere: each can be run as it stands.

/** For a shell: nothing but a single quote means anything inside single quotes. */
const shell = (text) => `'${text.replaceAll("'", "'\\''")}'`;
const hex = (sign) => `\\x${sign.charCodeAt(0).toString(16).padStart(2, "0")}`;
// Bodies keep their lines, so that a person can read them and change a number.
const python = (text) => {
  const safe = text.replaceAll("\\", "\\\\").replace(/"{3,}|"+$/g, (quotes) => quotes.replaceAll('"', '\\"'));
  return `"""${safe.replace(/[\0-\x09\x0b-\x1f\x7f]/g, hex)}"""`;
};
const script = (text) => `\`${text.replace(/[\\`]|\$\{/g, "\\$&").replaceAll("\r", "\\r")}\``;
const object = (headers) => `{ ${headers.map(([name, value]) => `${JSON.stringify(name)}: ${JSON.stringify(value)}`).join(", ")} }`;

/** Whether the answer is no text, and so goes to a file. */
const isFile = ({ url, headers }) => (new URL(url).searchParams.get("format") ?? headers.map(([, value]) => value).join()).endsWith("pdf");

function curl(request) {
  const { method, url, headers, body } = request;
  const parts = [`curl -s ${method === "GET" || body !== undefined ? "" : `-X ${method} `}${shell(url)}`];
  parts.push(...headers.map(([name, value]) => `-H ${shell(`${name}: ${value}`)}`));
  if (body !== undefined) parts.push(`--data-raw ${shell(body)}`);
  if (isFile(request)) parts.push("-o answer.pdf");
  return parts.join(" \\\n  ");
}

function requests(request) {
  const { method, url, headers, body } = request;
  return [
    "import requests", "",
    `answer = requests.${method.toLowerCase()}(`, `    ${JSON.stringify(url)},`, `    headers=${object(headers)},`,
    ...(body === undefined ? [] : [`    data=${python(body)}.encode(),`]),
    "    timeout=30,", ")", "print(answer.status_code)",
    isFile(request) ? 'open("answer.pdf", "wb").write(answer.content)' : "print(answer.text)",
  ].join("\n");
}

function fetching(request) {
  const { method, url, headers, body } = request;
  return [
    `const answer = await fetch(${JSON.stringify(url)}, {`, `  method: ${JSON.stringify(method)},`, `  headers: ${object(headers)},`,
    ...(body === undefined ? [] : [`  body: ${script(body)},`]),
    "});", `console.log(answer.status, await answer.${isFile(request) ? "blob" : "text"}());`,
  ].join("\n");
}

/** The address whose answer is a sheet; nothing where a spreadsheet cannot ask. */
function sheet({ method, url }, offersCsv) {
  if (method !== "GET" || !offersCsv) return undefined;
  const address = new URL(url);
  address.searchParams.set("format", "csv");
  return address.href;
}

/** Returns name, title and text of each line; a request has method, url, headers as pairs, and a body where it has one. */
export function linesFor(request, offersCsv) {
  return [
    { name: "curl", title: "curl", text: curl(request) },
    { name: "python", title: "Python, with requests", text: requests(request) },
    { name: "fetch", title: "A browser page, by fetch", text: fetching(request) },
    { name: "sheet", title: "A spreadsheet: data from this address", text: sheet(request, offersCsv) },
  ].filter(({ text }) => text !== undefined);
}
