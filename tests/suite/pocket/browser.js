// A browser driven over its pipe (Chrome DevTools Protocol), with a finger's and a keyboard's input.
"use strict";
const { spawn } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");

exports.open = async (page, { width = 390, height = 844, before = "", profile = fs.mkdtempSync(path.join(os.tmpdir(), "pocket-")) } = {}) => {
  const flags = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--remote-debugging-pipe"];
  const browser = spawn("chromium", [...flags, `--user-data-dir=${profile}`], { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] });
  const [to, from] = [browser.stdio[3], browser.stdio[4]];
  const waiting = new Map();
  const heard = [];
  let count = 0;
  let session;
  let rest = "";
  from.setEncoding("utf8");
  from.on("data", (data) => {
    const parts = (rest + data).split("\0");
    rest = parts.pop();
    for (const message of parts.map((part) => JSON.parse(part))) {
      if (!waiting.has(message.id)) {
        heard.push(message);
        continue;
      }
      const { done, failed } = waiting.get(message.id);
      waiting.delete(message.id);
      message.error ? failed(new Error(JSON.stringify(message.error))) : done(message.result);
    }
  });
  const say = (method, params = {}) =>
    new Promise((done, failed) => {
      const id = ++count;
      waiting.set(id, { done, failed });
      to.write(JSON.stringify({ id, method, params, sessionId: session }) + "\0");
    });
  const { targetId } = await say("Target.createTarget", { url: "about:blank" });
  session = (await say("Target.attachToTarget", { targetId, flatten: true })).sessionId;
  for (const domain of ["Page", "Runtime", "Network"]) await say(`${domain}.enable`);
  await say("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 2, mobile: true });
  if (before) await say("Page.addScriptToEvaluateOnNewDocument", { source: before });

  const run = async (expression) => {
    const { result, exceptionDetails } = await say("Runtime.evaluate", { expression, returnByValue: true, awaitPromise: true });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  };
  const until = async (expression) => {
    for (let tries = 0; tries < 600; tries += 1) {
      if (await run(expression)) return;
      await new Promise((done) => setTimeout(done, 100));
    }
    throw new Error(`never so: ${expression}`);
  };
  const go = async () => {
    await say("Page.navigate", { url: `file://${page}` });
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
  const close = async () => {
    const gone = new Promise((done) => browser.once("exit", done));
    await say("Browser.close").catch(() => {});
    await gone;
    fs.rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  };
  // As when a battery dies: nothing is asked and nothing is saved. What was kept is in the profile.
  const kill = async () => {
    const gone = new Promise((done) => browser.once("exit", done));
    browser.kill("SIGKILL");
    await gone;
    return profile;
  };
  await go();
  return { say, run, until, go, press, type, picture, close, kill, heard };
};
