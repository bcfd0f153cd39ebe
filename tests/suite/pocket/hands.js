// A day entered by hand, through a battery that dies, a text that is shared, letters twice as large, and a rider who hears the
// page and has no pointer. Writes down what the page wrote.
"use strict";
const { end, launch, open } = require("./browser.js");

const byId = (id) => `document.getElementById("${id}")`;
const named = (name) => `document.querySelector('[data-field="${name}"]')`;

/** A telephone's ways of sharing, by their outcome. */
const SHARES = {
  taken: "async (data) => { window.handed = data; }",
  refused: 'async () => { throw new DOMException("nobody was picked", "AbortError"); }',
  absent: "undefined",
};
const sharing = (how) => `Object.defineProperty(Navigator.prototype, "share", { configurable: true, value: ${SHARES[how]} });`;

async function note(page, text) {
  await page.press(byId("to-write"));
  await page.press(byId("open-note"));
  await page.type(named("note"), text);
  await page.press(byId("enter"));
}

async function shared(file) {
  const told = {};
  for (const how of Object.keys(SHARES)) {
    const page = await open(file, { before: sharing(how) });
    await note(page, `It was ${how}.`);
    await page.press(byId("to-text"));
    const is_offered = await page.run(`Boolean(${byId("share")}.offsetParent)`);
    if (is_offered) {
      await page.press(byId("share"));
      await page.until(`${byId("told")}.textContent !== ""`);
    }
    told[how] = {
      is_offered,
      handed: await page.run("window.handed ?? null"),
      text: await page.run(`${byId("whole")}.value`),
      is_copied: await page.run(`Boolean(${byId("copy")}.offsetParent)`),
    };
  }
  return told;
}

async function killed(file) {
  const browser = launch();
  const page = await open(file, { browser });
  // Letter by letter: a browser that writes every change to its medium soon puts off the next.
  await page.press(byId("to-write"));
  await page.press(byId("open-note"));
  for (const letter of "Before the battery died.") await page.type(named("note"), letter);
  await page.press(byId("enter"));
  await page.press(byId("open-sag"));
  for (const letter of "612") await page.type(named("hanging"), letter);
  await new Promise((done) => setTimeout(done, 1000));
  const charged = launch(await browser.kill());
  const again = await open(file, { browser: charged });
  const text = await again.run(`${byId("whole")}.value`);
  await again.press(byId("to-write"));
  await again.press(byId("open-sag"));
  const draft = await again.run(`${named("hanging")}.value`);
  await end(charged);
  return { text, draft };
}

/** Where the focus is after each step. A press is of the keyboard: the pressed control has the focus. */
async function heard(file) {
  const page = await open(file);
  const stands = {};
  const step = async (name, find) => {
    await page.run(`${find}.focus()`);
    for (const type of ["rawKeyDown", "char", "keyUp"]) await page.say("Input.dispatchKeyEvent", { type, key: "Enter", code: "Enter", windowsVirtualKeyCode: 13, text: type === "char" ? "\r" : "" });
    stands[name] = await page.run("document.activeElement.id");
  };
  await step("write", byId("to-write"));
  await step("open", byId("open-stint"));
  // A lap takes a tenth of a second at least, or it is none.
  const lapped = () => new Promise((done) => setTimeout(done, 300));
  await step("start", byId("field-stint-laps-watch"));
  await lapped();
  await step("lap", byId("field-stint-laps-watch"));
  await lapped();
  const lap = await page.run(`${byId("told")}.textContent`);
  await step("stop", 'document.querySelector("#forms .chips button.main + button")');
  await step("a lap out", byId("field-stint-laps-out-1"));
  await step("enter", byId("enter"));
  const entered = await page.run(`${byId("told")}.textContent`);
  await step("out", byId("out-0"));
  await step("another", byId("open-air"));
  // By the arrows, through all the ways of a change.
  await step("change", byId("open-change"));
  await page.run(`${named("way")}.focus()`);
  for (let at = 0; at < 3; at += 1) {
    for (const type of ["rawKeyDown", "keyUp"]) await page.say("Input.dispatchKeyEvent", { type, key: "ArrowDown", code: "ArrowDown", windowsVirtualKeyCode: 40 });
  }
  stands.way = await page.run("document.activeElement.id");
  await step("hurt", byId("hurt-button"));
  await step("back", 'document.querySelector("#hurt .main + button")');
  await step("hurt again", byId("hurt-button"));
  await page.run('document.querySelectorAll("#hurt input")[1].click()');
  await step("hurt written", 'document.querySelector("#hurt .main")');
  const stopped = await page.run(`${byId("stopped")}.offsetParent ? ${byId("stopped")}.textContent : ""`);
  await step("text", byId("to-text"));
  const order = await page.run('[...document.querySelectorAll("body > button, h1, nav, main")].map((it) => it.localName)');
  // Letters of twice the size (WCAG 2.2, 1.4.4).
  await page.run('document.documentElement.style.fontSize = "32px"');
  const over = {};
  for (const part of ["sheet", "write", "text"]) {
    await page.run(`${byId(`to-${part}`)}.click()`);
    over[part] = await page.run("document.documentElement.scrollWidth - document.documentElement.clientWidth");
  }
  return { stands, lap, entered, stopped, order, over };
}

async function main(file) {
  const told = { shared: await shared(file), killed: await killed(file), heard: await heard(file) };
  await end();
  console.log(JSON.stringify(told));
}

main(process.argv[2]).then(() => process.exit(0), (error) => { console.error(error); process.exit(1); });
