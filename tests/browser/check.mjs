// Opens HTML pages in Chromium, on a telephone's width and on a desktop's, light and dark, and checks them with axe-core
// (WCAG 2.2 A and AA, and best practice) and html-validate. Prints each fault on a line and exits with 1 if there is one.
//
//     node check.mjs PAGE.html …
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import puppeteer from "puppeteer-core";

const pages = process.argv.slice(2);
if (pages.length === 0) {
  console.error("no pages were named");
  process.exit(2);
}
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const WIDTHS = [390, 1280];
const faults = [];

const validator = new HtmlValidate({
  root: true,
  extends: ["html-validate:standard"],
  rules: {
    // Lengths of a drawing and the widths of columns belong to one page, and are written in it.
    "no-inline-style": "off",
    // The program writes for readers, not for people who edit its output.
    "no-trailing-whitespace": "off",
    "long-title": "off",
    "doctype-style": "off",
  },
});
for (const page of pages) {
  const report = await validator.validateFile(page);
  for (const { messages } of report.results) {
    for (const it of messages) faults.push(`${basename(page)}:${it.line}: html: ${it.message} (${it.ruleId})`);
  }
}

// Faults of a page on a screen of a width: parts that stick out of it, and text cut off by its own box.
const narrow = () => {
  const root = document.documentElement;
  const out = [];
  if (root.scrollWidth > root.clientWidth) out.push(`scrolls sideways, ${root.scrollWidth} of ${root.clientWidth}`);
  for (const box of document.querySelectorAll(".scroll")) {
    if (box.scrollWidth > box.clientWidth + 1) {
      const name = box.querySelector("th")?.textContent ?? "";
      out.push(`a table has columns out of sight (${name}…), ${box.scrollWidth} of ${box.clientWidth}`);
    }
  }
  for (const it of document.querySelectorAll("td, th, dd, p, li, h1, h2, h3")) {
    const seen = it.getBoundingClientRect();
    if (seen.width > 0 && seen.right > root.clientWidth + 1 && !it.closest(".scroll")) {
      out.push(`${it.tagName.toLowerCase()} ends at ${Math.round(seen.right)}: ${it.textContent.trim().slice(0, 40)}`);
    }
  }
  return out;
};

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});
try {
  const tab = await browser.newPage();
  // The page's own policy forbids every script but ours.
  await tab.setBypassCSP(true);
  for (const page of pages) {
    for (const width of WIDTHS) {
      for (const scheme of ["light", "dark"]) {
        await tab.setViewport({ width, height: 900 });
        await tab.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
        await tab.goto(pathToFileURL(resolve(page)).href);
        await tab.evaluate(axe);
        const where = `${basename(page)} at ${width}, ${scheme}`;
        const { violations } = await tab.evaluate((tags) => axe.run({ runOnly: tags }), TAGS);
        for (const { id, help, nodes } of violations) {
          faults.push(`${where}: axe: ${help} (${id}), ${nodes.length} times: ${nodes[0].html.slice(0, 120)}`);
        }
        if (scheme === "light") for (const told of await tab.evaluate(narrow)) faults.push(`${where}: ${told}`);
      }
    }
  }
} finally {
  await browser.close();
}
for (const fault of faults) console.log(fault);
console.log(`${pages.length} pages, ${faults.length} faults`);
process.exit(faults.length > 0 ? 1 : 0);
