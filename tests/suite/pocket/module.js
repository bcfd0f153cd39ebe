// Asks the library compiled for the browser about a whole book, and prints its answers.
"use strict";
const fs = require("node:fs");
const vm = require("node:vm");

const [, , folder, told] = process.argv;
const { files, days, on } = JSON.parse(fs.readFileSync(told, "utf8"));
globalThis.wasm_bindgen = vm.runInThisContext(`${fs.readFileSync(`${folder}/module.js`, "utf8")}\n;wasm_bindgen`);
wasm_bindgen.initSync({ module: fs.readFileSync(`${folder}/module.wasm`) });
const desk = new wasm_bindgen.Desk();
for (const [path, text] of files) desk.put(path, text);
console.log(JSON.stringify({ findings: desk.findings(on), figures: days.map((day) => desk.figures(day)) }));
