// Draws random days of entries, as somebody in a hurry would fill in the forms, and prints the page's notebook text.
"use strict";
const fs = require("node:fs");
const { notebook, write, Slip } = require("../../../templates/pocket/pocket.js");

const book = JSON.parse(fs.readFileSync(process.argv[2], "utf8"));
const days = Number(process.argv[3]);
const entriesADay = Number(process.argv[4]);

// Knuth's MMIX constants, The Art of Computer Programming, vol. 2, 3.3.4.
let seed = 7n;
const below = (sides) => {
  seed = (seed * 6364136223846793005n + 1442695040888963407n) & 0xffffffffffffffffn;
  return Number(seed >> 33n) % sides;
};
const one = (list) => list[below(list.length)];
const maybe = (value) => (below(3) ? value : "");
/** A number near another, as a telephone types it. */
const near = (middle, spread, places = 0) => {
  const value = middle + ((below(2001) - 1000) / 1000) * spread;
  return one([" ", ""]) + value.toFixed(places).replace(".", one([",", "."])).replace("-", one(["-", "−"]));
};
const WORDS = ["", "it went", 'he said "no"', "back\\slash", "ünïcode ± 🏍", "`@sag.rear.rider`", "```stint", "+++", "a\nb", "- a\n1. b", "<!-- x", "\u0007bell", "# a\n## b", "| a |\n| - |", "[x](y.png) ![z](q.png)", "\ud800", "    deep", "<<<<<<< ours\n=======\n>>>>>>> theirs", "~~~\n~~~", "\u007f", "”curly“", "***", "---\n---", "kind = \"day\""];
const words = () => `${one(WORDS)} ${one(WORDS)}`;

const drawn = {
  air: () => ({ air: near(14, 12, below(2)), bench: maybe(near(9, 9)), pressure: maybe(near(980, 40)), surface: maybe(words()), traction: maybe(one(["low", "medium", "high"])) }),
  sag: (ride) => {
    const end = one(["front", "rear"]);
    const unit = ride.units.length === "in" ? 25.4 : 1;
    const box = (middle) => Array.from({ length: 3 }, (_, at) => (at && below(2) ? "" : near(middle / unit, 0.6 / unit, unit > 1 ? 2 : 0)));
    return { end, tape: one([...ride.tapes, ""]), hanging: box(620), alone: box(585), aboard: maybe(box(516)) || [], alone_after_push: maybe(near(583 / unit, 0)), alone_after_lift: maybe(near(588 / unit, 0)) };
  },
  pressures: (ride) => {
    const fields = { gauge: one([...ride.gauges, ""]), at: near(9, 8) };
    for (const { id, value } of ride.settings) {
      if (!/^(chamber|tyre)\./.test(id) || !/\d/.test(value)) continue;
      const number = Number.parseFloat(value);
      fields[`left ${id}`] = maybe(near(number, number * 0.01, 1));
      fields[`found ${id}`] = maybe(near(number * 0.98, number * 0.02, 1));
    }
    return fields;
  },
  change: (ride) => {
    const setting = one(ride.settings);
    const way = one([...setting.ways.map((_, at) => String(at)), "to", "back"]);
    const number = Number.parseFloat(setting.value.replace("−", "-"));
    const to = setting.words.length ? one(setting.words) : setting.is_number ? String(number) : setting.value;
    return { setting: setting.id, way, by: way === "to" ? to : "1", because: words() };
  },
  stint: (ride, { complaints, places } = book.speech[ride.language]) => ({
    word: maybe(one(["practice", "qualifying", "race"])),
    start: maybe("09:1" + below(10)),
    laps: Array.from({ length: below(6) }, () => one([`2:0${below(10)}.${below(10)}`, `1:5${below(10)},${below(10)}`, `12${below(10)}`])),
    feels: Array.from({ length: below(3) }, () => ({ complaint: one(complaints).name, place: maybe(one(places).name), strength: maybe(String(1 + below(5))) })),
    verdict: maybe(one(["better", "worse", "same"])),
    front: maybe(near(200, 50)),
    note: maybe(words()),
  }),
  note: () => ({ note: words() }),
  hurt: () => ({ crash: true, words: words() }),
};

const made = {};
for (let day = 0; day < days; day += 1) {
  const ride = one(book.rides);
  const entries = [];
  while (entries.length < entriesADay) {
    const kind = one(Object.keys(drawn));
    const entry = { kind, fields: drawn[kind](ride) };
    try {
      write(entry, ride);
    } catch (slip) {
      if (!(slip instanceof Slip)) throw slip;
      continue;
    }
    made[kind] = (made[kind] ?? 0) + 1;
    entries.push(entry);
  }
  const date = `2027-0${1 + (day % 9)}-${String(1 + (day % 28)).padStart(2, "0")}`;
  const text = notebook({ date, track: one([null, ...book.tracks.map((it) => it.name)]), entries }, ride);
  console.log(JSON.stringify({ text, kinds: entries.map((entry) => entry.kind) }));
}
console.error(JSON.stringify(made));
