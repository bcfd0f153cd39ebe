// A browser driven over its pipe (Chrome DevTools Protocol), with a finger's and a keyboard's input. One for all pages of a
// script, which know nothing of each other: its start costs more than a page does.
"use strict";
const { spawn } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");

const FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--remote-debugging-pipe"];

const launch = (profile = fs.mkdtempSync(path.join(os.tmpdir(), "pocket-"))) => {
  const browser = spawn("chromium", [...FLAGS, `--user-data-dir=${profile}`], { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] });
  const [to, from] = [browser.stdio[3], browser.stdio[4]];
  const waiting = new Map();
  const hearers = new Map();
  let count = 0;
  let rest = "";
  from.setEncoding("utf8");
  from.on("data", (data) => {
    const parts = (rest + data).split("\0");
    rest = parts.pop();
    for (const message of parts.map((part) => JSON.parse(part))) {
      if (!waiting.has(message.id)) {
        hearers.get(message.sessionId)?.push(message);
        continue;
      }
      const { done, failed } = waiting.get(message.id);
      waiting.delete(message.id);
      message.error ? failed(new Error(JSON.stringify(message.error))) : done(message.result);
    }
  });
  const say = (method, params = {}, sessionId = undefined) =>
    new Promise((done, failed) => {
      const id = ++count;
      waiting.set(id, { done, failed });
      to.write(JSON.stringify({ id, method, params, sessionId }) + "\0");
    });
  // As when a battery dies: nothing is asked and nothing is saved. What was kept is in the profile.
  const kill = async () => {
    const gone = new Promise((done) => browser.once("exit", done));
    browser.kill("SIGKILL");
    await gone;
    return profile;
  };
  return { say, hearers, kill };
};

let shared;

/** Opens a page: in the one browser, apart from its other pages, or in a browser that keeps what it keeps in a profile. */
exports.open = async (file, { width = 390, height = 844, before = "", browser = (shared ??= launch()) } = {}) => {
  const { browserContextId } = browser === shared ? await browser.say("Target.createBrowserContext") : {};
  const { targetId } = await browser.say("Target.createTarget", { url: "about:blank", browserContextId });
  const { sessionId } = await browser.say("Target.attachToTarget", { targetId, flatten: true });
  const heard = [];
  browser.hearers.set(sessionId, heard);
  const say = (method, params) => browser.say(method, params, sessionId);
  for (const domain of ["Page", "Runtime", "Network"]) await say(`${domain}.enable`);
  await say("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 2, mobile: true });
  if (before) await say("Page.addScriptToEvaluateOnNewDocument", { source: before });

  const run = async (expression) => {
    const { result, exceptionDetails } = await say("Runtime.evaluate", { expression, returnByValue: true, awaitPromise: true });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  };
  const until = async (expression) => {
    for (let tries = 0; tries < 3000; tries += 1) {
      if (await run(expression)) return;
      await new Promise((done) => setTimeout(done, 20));
    }
    throw new Error(`never so: ${expression}`);
  };
  const go = async () => {
    await say("Page.navigate", { url: `file://${file}` });
    await until("document.readyState === 'complete' && Boolean(document.body.dataset.ready)");
  };
  // The middle of what `find` finds, scrolled into sight.
  const press = async (find) => {
    const at = await run(`(() => { const it = ${find}; it.scrollIntoView({ block: "center" }); const { x, y, width, height } = it.getBoundingClientRect(); return { x: x + width / 2, y: y + height / 2 }; })()`);
    for (const type of ["mousePressed", "mouseReleased"]) {
      await say("Input.dispatchMouseEvent", { type, ...at, button: "left", clickCount: 1 });
    }
  };
  const type = async (find, text) => {
    await press(find);
    await say("Input.insertText", { text });
  };
  const picture = async (file) => fs.writeFileSync(file, (await say("Page.captureScreenshot", { format: "png" })).data, "base64");
  await go();
  return { say, run, until, go, press, type, picture, heard };
};

exports.launch = launch;

/** The end of a browser, and of all that it kept. */
exports.end = async (browser = shared) => fs.rmSync(await browser.kill(), { recursive: true, force: true, maxRetries: 20 });
