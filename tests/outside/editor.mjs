// Talks to a TOML language server as an editor does: no mark in the files of a new folder, a mark for a slip, completion of
// keys and words, the meaning of a key on hover. usage: node editor.mjs MODULES FOLDER
import { createRequire } from "node:module";
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [modules, folder] = process.argv.slice(2).map((p) => path.resolve(p));
process.chdir(folder);
const { TaploLsp } = createRequire(`${modules}/`)("@taplo/lsp");
const settings = {
  schema: { enabled: true, associations: {}, catalogs: [], cache: {}, links: false },
  taplo: { configFile: { enabled: true, path: null } },
  completion: { maxKeys: 5 }, formatter: {}, rules: [], syntax: { semanticTokens: false },
};

const inbox = [];
const waiting = [];
const environment = {
  now: () => new Date(),
  envVar: (name) => process.env[name],
  envVars: () => Object.entries(process.env),
  stdErrAtty: () => false,
  stdin: process.stdin, stdout: process.stdout, stderr: async (b) => b.length,
  glob: (pattern) => files(folder).filter((f) => path.matchesGlob?.(f, pattern) ?? true),
  readFile: (p) => fs.promises.readFile(p),
  writeFile: () => { throw new Error("nothing is written"); },
  // The server also asks of places that are no files.
  urlToFilePath: (url) => decodeURI(url).replace(/^[a-z-]+:\/\//, ""),
  isAbsolute: path.isAbsolute,
  cwd: () => folder,
  findConfigFile: (from) => [".taplo.toml", "taplo.toml"].map((n) => path.join(from, n)).find((p) => fs.existsSync(p)),
  // Everything that is needed stands in the folder.
  fetch: { fetch: async (url) => { throw new Error(`no network: ${url}`); }, Headers, Request, Response },
};
const files = (at) => fs.readdirSync(at, { withFileTypes: true })
  .flatMap((e) => e.isDirectory() ? files(path.join(at, e.name)) : [path.join(at, e.name)]);
const fail = (why) => { console.error(why); process.exit(1); };
const server = await TaploLsp.initialize(environment, { onMessage: take });

function take(message) {
  if (message.method && message.id !== undefined) {
    const items = message.params?.items ?? [null];
    const result = message.method === "workspace/configuration" ? items.map(() => settings) : null;
    server.send({ jsonrpc: "2.0", id: message.id, result });
  }
  inbox.push(message);
  for (const w of [...waiting]) if (w.wanted(message)) { waiting.splice(waiting.indexOf(w), 1); w.done(message); }
}

function wait(wanted, what) {
  return new Promise((done) => {
    const timer = setTimeout(() => fail(`no answer: ${what}\n${JSON.stringify(inbox.slice(-5)).slice(0, 2000)}`), 60000);
    waiting.push({ wanted, done: (m) => { clearTimeout(timer); done(m); } });
  });
}

let number = 0;
async function ask(method, params) {
  const id = ++number;
  const answer = wait((m) => m.id === id && !m.method, method);
  server.send({ jsonrpc: "2.0", id, method, params });
  const { result, error } = await answer;
  if (error) fail(`${method}: ${JSON.stringify(error)}`);
  return result;
}
const tell = (method, params) => server.send({ jsonrpc: "2.0", method, params });

const versions = new Map();
// Opens a file with this text, or changes what is open to it; gives its marks.
async function show(file, text, ready = () => true) {
  const uri = pathToFileURL(file).href;
  const published = wait((m) => m.method === "textDocument/publishDiagnostics" && m.params.uri === uri
    && ready(m.params.diagnostics), `marks of ${file}`);
  const version = (versions.get(uri) ?? 0) + 1;
  versions.set(uri, version);
  if (version === 1) tell("textDocument/didOpen", { textDocument: { uri, languageId: "toml", version, text } });
  else tell("textDocument/didChange", { textDocument: { uri, version }, contentChanges: [{ text }] });
  return (await published).params.diagnostics;
}

// What is offered where `|` stands; the rest of `put` replaces `found` in the text.
async function completions(file, text, found, put) {
  if (text.split(found).length !== 2) fail(`not once: ${found}`);
  const where = text.indexOf(found) + put.indexOf("|");
  const changed = text.replace(found, () => put.replace("|", ""));
  await show(file, changed);
  const before = changed.slice(0, where).split("\n");
  const position = { line: before.length - 1, character: before.at(-1).length };
  const answer = await ask("textDocument/completion", { textDocument: { uri: pathToFileURL(file).href }, position });
  return (answer?.items ?? answer ?? []).map((i) => i.label);
}

await ask("initialize", {
  processId: null, rootUri: pathToFileURL(folder).href,
  capabilities: { workspace: { configuration: true }, textDocument: { hover: { contentFormat: ["markdown"] } } },
  workspaceFolders: [{ uri: pathToFileURL(folder).href, name: "base" }],
});
tell("initialized", {});
const campaign = path.join(folder, "campaign.toml");
// A mark that comes and goes shows that the schema of the file is known; then none is left.
for (const file of files(folder).filter((f) => f.endsWith(".toml") && !f.endsWith(".taplo.toml"))) {
  const text = fs.readFileSync(file, "utf8");
  const marks = await show(file, `${text}\n[nonsense]\nx = 1\n`, (m) => m.length > 0);
  // This server marks the whole table of which a key is wrong.
  const other = marks.find((m) => !m.message.includes("nonsense"));
  if (other) fail(`${file}: ${JSON.stringify(other)}`);
  await show(file, text, (m) => m.length === 0);
}
const text = fs.readFileSync(campaign, "utf8");
const slip = await show(campaign, text.replace("duty_day =", "duty_days ="), (m) => m.length > 0);
if (!slip.some((m) => m.message.includes("duty_days"))) fail(`the slip is not named: ${JSON.stringify(slip)}`);
await show(campaign, text, (m) => m.length === 0);
const keys = await completions(campaign, text, "[campaign]\n", "[campaign]\n|\n");
for (const key of ["inspection_every", "walk_margin"]) if (!keys.some((k) => k.includes(key))) fail(`${key} is not offered: ${keys}`);
const words = await completions(campaign, text, "effect = \"stuck shut\"", "effect = \"|\"");
for (const word of ["stuck open", "pump lost"]) if (!words.some((w) => w.includes(word))) fail(`${word} is not offered: ${words}`);
await show(campaign, text);
const line = text.split("\n").findIndex((l) => l.startsWith("duty_day"));
const hover = await ask("textDocument/hover", { textDocument: { uri: pathToFileURL(campaign).href }, position: { line, character: 3 } });
if (!JSON.stringify(hover ?? "").includes("a time")) fail(`no meaning on hover: ${JSON.stringify(hover)}`);
console.log(`no mark in ${versions.size} new files, a slip is marked, ${keys.length} keys and ${words.length} words offered, meaning on hover`);
process.exit(0);
