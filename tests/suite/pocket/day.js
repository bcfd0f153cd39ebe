// Enters a day by presses and keys, and writes down what the page wrote. Controls are found by the words of the page's own
// language, so that the day is the same in each.
"use strict";
const { end, open } = require("./browser.js");

const named = (name) => `document.querySelector('[data-field="${name}"]')`;
const box = (name, at) => `document.querySelectorAll('[data-field="${name}"]')[${at}]`;
const chip = (text) => `[...document.querySelectorAll("label.chip")].find((it) => it.textContent.trim() === "${text}")`;
const button = (text) => `[...document.querySelectorAll("button")].find((it) => it.textContent === "${text}" && it.offsetParent)`;
const byId = (id) => `document.getElementById("${id}")`;

const LOCKED = 'for (const place of ["localStorage", "indexedDB"]) Object.defineProperty(window, place, { get() { throw new DOMException("refused", "SecurityError"); } });';

/** Each control that can be pressed or typed into: its name for a screen reader, and its size. */
const CONTROLS = `[...document.querySelectorAll("button, select, input, textarea")].filter((it) => it.offsetParent).map((it) => {
  const target = it.closest("label.chip") ?? it;
  const { width, height } = target.getBoundingClientRect();
  return { id: it.id, text: it.textContent.slice(0, 30), width, height };
}).filter(({ width, height }) => width < 44 || height < 44)`;

/** The least contrast of text that is shown (WCAG 2.2, 1.4.3 and its definition of relative luminance). */
const CONTRAST = `(() => {
  const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = ([red, green, blue]) => [red, green, blue].map((it) => it / 255).map((it) => (it <= 0.04045 ? it / 12.92 : ((it + 0.055) / 1.055) ** 2.4))
    .reduce((sum, it, at) => sum + it * [0.2126, 0.7152, 0.0722][at], 0);
  const behind = (it) => { for (; it; it = it.parentElement) { const found = parts(getComputedStyle(it).backgroundColor); if (found[3] !== 0) return found; } return [255, 255, 255]; };
  const all = [...document.querySelectorAll("body *")].filter((it) => it.offsetParent && [...it.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim()));
  return Math.min(...all.map((it) => { const [one, other] = [light(parts(getComputedStyle(it).color)), light(behind(it))].sort((a, b) => b - a); return (one + 0.05) / (other + 0.05); }));
})()`;

/** All text on the page, except the notebook's own and the values of fields; options and labels as well. */
const READ = `(() => {
  const shown = [...document.querySelectorAll("body *")].filter((it) => it.closest("noscript, script, pre, textarea, iframe") === null && (it.offsetParent || it.tagName === "OPTION"));
  const texts = shown.flatMap((it) => [...it.childNodes].filter((child) => child.nodeType === 3).map((child) => child.textContent.trim()));
  const labels = shown.flatMap((it) => [it.getAttribute("aria-label"), it.getAttribute("placeholder"), it.getAttribute("title")]);
  return [...new Set([...texts, ...labels].filter((it) => it))];
})()`;

async function names(page) {
  await page.say("Accessibility.enable");
  const { nodes } = await page.say("Accessibility.getFullAXTree");
  const controls = new Set(["button", "combobox", "textbox", "radio", "checkbox", "Date"]);
  return nodes.filter((it) => !it.ignored && controls.has(it.role?.value) && !it.name?.value?.trim()).map((it) => it.role.value);
}

async function main(file, pictures) {
  const told = { small: [], nameless: [], contrast: {}, over: 0, read: [] };
  const page = await open(file);
  const book = await page.run(`JSON.parse(${byId("book")}.textContent)`);
  const ride = book.rides.find((it) => it.rider.name === "senior");
  const { words } = book.speech[ride.language];
  const setting = ride.settings.find((it) => it.id === "fork.compression");
  const look = async (name) => {
    told.read = [...new Set([...told.read, ...(await page.run(READ))])];
    told.small.push(...(await page.run(CONTROLS)));
    told.nameless.push(...(await names(page)));
    told.over = Math.max(told.over, await page.run("document.documentElement.scrollWidth - innerWidth"));
    for (const scheme of ["light", "dark"]) {
      await page.say("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value: scheme }] });
      told.contrast[scheme] = Math.min(told.contrast[scheme] ?? 21, await page.run(CONTRAST));
      if (pictures) await page.picture(`${pictures}/${name}-${scheme}.png`);
    }
    await page.say("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value: "light" }] });
  };
  told.ready = await page.run("document.body.dataset.ready");
  told.first = await page.run('document.querySelector("button, select, input, textarea, a").textContent');
  // By the keyboard: the rider is picked by the first letters.
  await page.run(`${byId("ride")}.focus()`);
  for (const text of ride.rider.title.slice(0, 7)) await page.say("Input.dispatchKeyEvent", { type: "char", text });
  told.rider = await page.run(`${byId("ride")}.selectedOptions[0].textContent`);
  await page.until('document.querySelector("#sheet iframe").contentDocument?.querySelector("main")');
  told.sheet = await page.run('document.querySelector("#sheet iframe").contentDocument.body.textContent');
  told.language = await page.run("document.documentElement.lang");
  told.sheetIn = await page.run('document.querySelector("#sheet iframe").contentDocument.documentElement.lang');
  await look("sheet");

  await page.press(byId("to-write"));
  await page.press(byId("open-sag"));
  for (const [name, reads] of [["hanging", ["612", "612", "611"]], ["alone", ["577"]], ["aboard", ["506", "508,5", "507"]]]) {
    for (const [at, read] of reads.entries()) await page.type(box(name, at), read);
  }
  await look("sag");
  // A dead battery before anything was entered: the draft is all there.
  await page.go();
  await page.press(byId("to-write"));
  await page.press(byId("open-sag"));
  told.draft = await page.run(`${box("aboard", 1)}.value`);
  await page.type(box("alone", 1), "57 7");
  await page.press(byId("enter"));
  told.refused = await page.run(byId("told") + ".textContent");
  await page.run(`${box("alone", 1)}.select()`);
  await page.type(box("alone", 1), "");
  await page.run(`${box("alone", 1)}.value = ""; ${box("alone", 1)}.dispatchEvent(new Event("input"))`);
  await page.press(byId("enter"));
  await look("entered");
  told.figures = await page.run(byId("figures") + ".innerText");

  await page.press(byId("open-pressures"));
  await page.type(named("found chamber.main"), "150.5");
  await page.type(named("left chamber.main"), "152");
  await page.type(named("at"), "−2");
  await look("pressures");
  await page.press(byId("enter"));

  await page.press(byId("open-change"));
  await page.run(`${named("setting")}.focus()`);
  // By the keyboard: the setting is picked by its first letters.
  for (const text of setting.label.slice(0, -1)) await page.say("Input.dispatchKeyEvent", { type: "char", text });
  told.setting = await page.run(`${named("setting")}.value`);
  await page.until(`Boolean(${chip(setting.ways[1].label)})`);
  await page.press(chip(setting.ways[1].label));
  await page.type(named("by"), "2");
  await page.type(named("because"), 'harsh, says "the boy" \\\\ me');
  await look("change");
  await page.press(byId("enter"));

  await page.press(byId("open-stint"));
  await page.press(chip(words.race));
  await page.press(button(words.start_watch));
  await new Promise((done) => setTimeout(done, 1200));
  await page.press(button(words.lap));
  await page.go();
  await page.press(byId("to-write"));
  await page.press(byId("open-stint"));
  await page.press(button(words.stop_no_lap));
  await page.type(named("laps"), "2:04,1 2:02.8");
  await page.press(button(words.add_laps));
  const lap = 'document.querySelector("fieldset ol li button")';
  told.watched = await page.run(`${lap}.getAttribute("aria-label")`);
  await page.press(lap);
  for (const [label, value] of [["complaint", "harsh"], ["place", "braking"], ["strength", "3"]]) {
    await page.run(`(() => { const it = document.querySelector('select[id$="-${label}"]'); it.value = "${value}"; it.dispatchEvent(new Event("change")); })()`);
  }
  await page.press(button(words.add_this));
  await page.press(chip(words.better));
  await look("stint");
  await page.press(byId("enter"));

  await page.press(byId("open-note"));
  await page.type(named("note"), "# Wind got up. `@nothing` and\n```stint\n+++");
  await page.press(byId("enter"));
  await page.press(byId("to-text"));
  await look("text");
  await page.go();
  told.text = await page.run(byId("whole") + ".value");
  told.shares = await page.run('typeof navigator.share');
  await page.press(byId("to-text"));
  await page.press(byId("copy"));
  await page.until(byId("told") + '.textContent !== ""');
  told.copied = await page.run(byId("told") + ".textContent");

  await page.press(byId("hurt-button"));
  await look("hurt");
  told.hurt = await page.run(byId("hurt") + ".innerText");
  await page.press(chip(words.was_sign));
  await page.press(button(words.write_down));
  await page.press(byId("to-write"));
  told.stopped = await page.run(byId("stopped") + ".innerText");
  told.injury = await page.run(byId("whole") + ".value");
  told.asked = page.heard.filter((it) => it.method === "Network.requestWillBeSent").map((it) => it.params.request.url.split(":")[0]);

  // Where the telephone keeps nothing.
  const locked = await open(file, { before: LOCKED });
  await locked.press(byId("to-write"));
  await locked.press(byId("open-note"));
  await locked.type(named("note"), "Kept in the text.");
  await locked.press(byId("enter"));
  told.unkept = await locked.run(byId("unkept") + ".innerText");
  told.locked = await locked.run(byId("whole") + ".value");
  await end();
  console.log(JSON.stringify(told));
}

main(process.argv[2], process.argv[3]).then(() => process.exit(0), (error) => { console.error(error); process.exit(1); });
