// A sitting through the protocol library that many editors are built on: a day is opened, typed in, asked about, formatted; a
// request is cancelled. Each step says what the result must be.
const assert = require("node:assert");
const { spawn } = require("node:child_process");
const fs = require("node:fs");
const { pathToFileURL } = require("node:url");
const rpc = require("vscode-jsonrpc/node");
const lsp = require("vscode-languageserver-protocol");

const book = process.cwd();
const uri = (path) => pathToFileURL(`${book}/${path}`).href;
const day = uri("days/2026-04-11.md");
const text = fs.readFileSync("days/2026-04-11.md", "utf8");

// Places as the protocol has them: lines and UTF-16 code units, which JavaScript counts in itself.
const place = (of, words, plus = 0) => {
  const at = of.indexOf(words) + plus;
  assert(of.includes(words), words);
  const before = of.slice(0, at).split("\n");
  return { line: before.length - 1, character: before.at(-1).length };
};
const offset = (of, at) => of.split("\n").slice(0, at.line).reduce((sum, line) => sum + line.length + 1, 0) + at.character;
const applied = (of, edits) =>
  [...edits]
    .sort((a, b) => offset(of, b.range.start) - offset(of, a.range.start))
    .reduce((out, it) => out.slice(0, offset(of, it.range.start)) + it.newText + out.slice(offset(of, it.range.end)), of);

async function sitting() {
  const server = spawn("loambook", ["language-server", "--stdio"], { stdio: ["pipe", "pipe", "inherit"] });
  const connection = rpc.createMessageConnection(
    new rpc.StreamMessageReader(server.stdout),
    new rpc.StreamMessageWriter(server.stdin),
  );
  const published = new Map();
  let told = () => {};
  connection.onNotification(lsp.PublishDiagnosticsNotification.type, (params) => {
    published.set(params.uri, params.diagnostics);
    told();
  });
  connection.onRequest(lsp.RegistrationRequest.type, () => {});
  connection.listen();
  const found = (check) =>
    new Promise((done, fail) => {
      const late = setTimeout(() => fail(new Error(`never found: ${check}`)), 30000);
      told = () => {
        const own = published.get(day);
        if (!own || !check(own)) return;
        clearTimeout(late);
        done(own);
      };
      told();
    });
  const ask = (type, params) => connection.sendRequest(type, { textDocument: { uri: day }, ...params });

  const introduced = await connection.sendRequest(lsp.InitializeRequest.type, {
    processId: process.pid,
    rootUri: uri(""),
    capabilities: {
      textDocument: { completion: { completionItem: { snippetSupport: true } } },
      workspace: {
        didChangeWatchedFiles: { dynamicRegistration: true },
        workspaceEdit: { documentChanges: true, resourceOperations: ["create", "rename", "delete"] },
      },
    },
  });
  assert.strictEqual(introduced.serverInfo.name, "loambook");
  await connection.sendNotification(lsp.InitializedNotification.type, {});
  await connection.sendNotification(lsp.DidOpenTextDocumentNotification.type, {
    textDocument: { uri: day, languageId: "markdown", version: 1, text },
  });
  await found((all) => all.length === 0);

  let version = 1;
  const change = (contentChanges) =>
    connection.sendNotification(lsp.DidChangeTextDocumentNotification.type, {
      textDocument: { uri: day, version: ++version },
      contentChanges,
    });
  // Behind letters of one, two and four bytes: `é` and `°` are one unit, the motorcycle is two.
  const line = "It came out at 9 °C ± é 🏍 `@sag.rear.ridre`.";
  const typed = text.replace("It came out at `@sag.rear.rider`.", line);
  const whole = place(text, "It came out at");
  await change([
    { range: { start: whole, end: { ...whole, character: "It came out at `@sag.rear.rider`.".length } }, text: line },
  ]);
  const [slip] = await found((all) => all.length === 1);
  assert.strictEqual(typed.slice(offset(typed, slip.range.start), offset(typed, slip.range.end)), "sag.rear.ridre");
  const wrong = place(typed, "ridre");
  await change([{ range: { start: wrong, end: { ...wrong, character: wrong.character + 5 } }, text: "rider" }]);
  await found((all) => all.length === 0);
  const mended = typed.replace("ridre", "rider");

  const hover = await ask(lsp.HoverRequest.type, { position: place(mended, "sag.rear.rider", 3) });
  assert(hover.contents.value.includes("105"), JSON.stringify(hover));
  const defined = await ask(lsp.DefinitionRequest.type, { position: place(mended, '"whin"', 2) });
  assert(defined[0].uri.endsWith("machines/whin.md"));
  const found_at = await ask(lsp.ReferencesRequest.type, {
    position: place(mended, '"whin"', 2),
    context: { includeDeclaration: true },
  });
  assert(found_at.length >= 3, JSON.stringify(found_at));

  const end = { line: mended.split("\n").length - 1, character: 0 };
  const block = "\n```change\nfork.re\n```\n";
  await change([{ range: { start: end, end }, text: block }]);
  const writing = mended + block;
  const offered = await ask(lsp.CompletionRequest.type, { position: place(writing, "fork.re\n", 7) });
  const rebound = offered.find((item) => item.label === "fork.rebound");
  assert(rebound && rebound.insertTextFormat === 2, JSON.stringify(offered.map((item) => item.label)));
  const written = applied(writing, [{ ...rebound.textEdit, newText: 'fork.rebound = "2 clicks in"' }]);
  await change([{ text: written }]);

  const hints = await ask(lsp.InlayHintRequest.type, {
    range: { start: { line: 0, character: 0 }, end: { line: 99, character: 0 } },
  });
  assert(hints.some((hint) => String(hint.label).includes("105")), JSON.stringify(hints));
  const options = { tabSize: 4, insertSpaces: true };
  const aligned = applied(written, await ask(lsp.DocumentFormattingRequest.type, { options }));
  assert(aligned.includes('alone   = "577 mm"'), aligned);
  const tape = place(written, "tape =");
  const one = await ask(lsp.DocumentRangeFormattingRequest.type, {
    options,
    range: { start: tape, end: { line: tape.line + 1, character: 0 } },
  });
  assert.strictEqual(applied(written, one), written.replace("tape =", "tape    ="));
  const colours = await ask(lsp.SemanticTokensRequest.type, {});
  assert(colours.data.length > 0 && colours.data.length % 5 === 0);
  const renamed = await ask(lsp.RenameRequest.type, { position: place(written, '"whin"', 2), newName: "gorse" });
  assert(renamed.documentChanges.some((it) => it.kind === "rename" && it.newUri.endsWith("gorse.md")));

  await connection.sendRequest(lsp.ShutdownRequest.type);
  await connection.sendNotification(lsp.ExitNotification.type);
  await new Promise((done) => server.on("exit", done));
}

sitting().then(
  () => process.exit(0),
  (error) => {
    console.error(error);
    process.exit(1);
  },
);
