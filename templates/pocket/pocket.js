// The page for the telephone: entries become notebook text, are kept, shown, copied and shared.
//
// There is no formula here. Sags, turns and pressures come from the library itself, compiled for the browser; where that
// cannot run, the page does without.
"use strict";

// ---- From what was typed to notebook text.

/** A field to look at again: its name, and why, as `say` takes it. */
class Slip extends Error {
  constructor(field, why, parts = {}) {
    super(why);
    Object.assign(this, { field, why, parts });
  }
}

/** Words in one line, without characters that are obeyed rather than shown. */
const said = (text) => [...(text ?? "")].map((letter) => (/[\p{Cc}\p{Cs}\p{Zl}\p{Zp}\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/u.test(letter) ? " " : letter)).join("").replace(/\s+/g, " ").trim();

/** A TOML string (TOML 1.0, *basic strings*). */
const quoted = (text) => JSON.stringify(said(text));

/** A number as notebooks write it: telephones type a decimal comma and the typographic minus. */
function number(typed, field) {
  const text = typed.trim().replace(",", ".").replace("−", "-");
  if (!/^[+-]?\d+(\.\d+)?$/.test(text)) throw new Slip(field, "no_number", { typed: typed.trim() });
  return text;
}

/** Readings of one thing in one string with the unit last; nothing where none was typed. */
function readings(boxes, unit, field) {
  const typed = (Array.isArray(boxes) ? boxes : [boxes ?? ""]).filter((box) => box.trim());
  return typed.length ? `${typed.map((box) => number(box, field)).join(" ")} ${unit}` : null;
}

const line = (key, value) => (value ? [`${key} = ${quoted(value)}`] : []);
const block = (words, lines) => ["```" + words, ...lines, "```"].join("\n");

/** A paragraph that is prose and nothing else, whatever was typed. */
function prose(text) {
  // Behind a backslash a mark is a letter (CommonMark 0.31, *backslash escapes*); an accent grave cannot open a fence.
  const escaped = (it) => said(it).replace(/`/g, "’").replace(/[\\<[\]!&*_]/g, "\\$&").replace(/^[#+=~>|:"'()\-]/, "\\$&");
  return text.split(/\r?\n/).map(escaped).filter((it) => it).join("\n").replace(/^(\d+)([.)])/gm, "$1\\$2");
}

const LAP = /^((\d+:)?[0-5]?\d|\d+)(\.\d+)?$/;

/** A lap as notebooks write it: minutes and seconds, also where seconds alone were typed. */
function lap(typed) {
  const text = typed.trim().replace(",", ".");
  if (!LAP.test(text) || !/[1-9]/.test(text)) throw new Slip("laps", "no_lap", { typed: typed.trim() });
  if (text.includes(":")) return text;
  const [whole, part] = text.split(".");
  const seconds = String(whole % 60).padStart(2, "0");
  return `${Math.floor(whole / 60)}:${seconds}${part ? `.${part}` : ""}`;
}

/** The text that each form writes: a block, or a paragraph. `ride` has the units, and the words for prose. */
const writers = {
  air({ air, bench, pressure, traction, surface }, { units }) {
    return block("conditions", [
      ...line("air", readings(air, units.temperature, "air")),
      ...line("bench", readings(bench, units.temperature, "bench")),
      ...line("pressure", readings(pressure, "hPa", "pressure")),
      ...line("surface", said(surface)),
      ...line("traction", traction),
    ]);
  },

  sag({ end, tape, ...read }, { units }) {
    const keys = ["hanging", "alone", "alone_after_push", "alone_after_lift", "aboard", "aboard_after_push", "aboard_after_lift"];
    return block(`sag ${end}`, [
      ...line("tape", tape),
      ...keys.flatMap((key) => line(key, readings(read[key] ?? [], units.length, key))),
    ]);
  },

  pressures({ gauge, at, ...read }, { units, chambers, tyres }) {
    const names = [...chambers.map(({ name }) => `chamber.${name}`), ...tyres.map(({ name }) => `tyre.${name}`)];
    return block("pressures", [
      ...line("gauge", gauge),
      ...names.flatMap((name) => line(`found.${name}`, readings(read[`found ${name}`], units.pressure, `found ${name}`))),
      ...names.flatMap((name) => line(name, readings(read[`left ${name}`], units.pressure, `left ${name}`))),
      ...line("at", readings(at, units.temperature, "at")),
    ]);
  },

  change({ setting, way, by, because }, { settings }) {
    const because_ = line("because", said(because));
    if (way === "back") return block("change", ["back = true", ...because_]);
    const { id, ways, unit, is_number } = settings.find((it) => it.id === setting);
    if (!by?.trim()) throw new Slip("by", "say_how_far");
    const to = way === "to";
    const { before, behind } = to ? { before: "", behind: unit.name && ` ${unit.name}` } : ways[Number(way)];
    const value = is_number ? number(by, "by") : said(by);
    if (is_number && !to && !(Number(value) > 0)) throw new Slip("by", "no_step");
    const bare = to && is_number && !behind;
    return block("change", [bare ? `${id} = ${value.replace(/^\+/, "")}` : `${id} = ${quoted(before + value + behind)}`, ...because_]);
  },

  stint({ word, start, laps, feels, verdict, front, rear, note }, { units }) {
    const feel = (feels ?? []).map(({ complaint, place, strength }) => [complaint, place, strength].filter((it) => it).join(" "));
    const ridden = (laps ?? []).map(lap);
    const lines = [
      ...line("start", start),
      ...line("laps", ridden.join(" ")),
      ...(feel.length ? [`feel = [${feel.map(quoted).join(", ")}]`] : []),
      ...line("verdict", verdict),
      ...line("travel_used.front", readings(front, units.length, "front")),
      ...line("travel_used.rear", readings(rear, units.length, "rear")),
      ...line("note", said(note)),
    ];
    return block(word ? `stint ${word}` : "stint", lines);
  },

  note: ({ note }) => prose(note ?? ""),

  hurt({ crash, sign, words }, { crashed, injured }) {
    const told = [crash && crashed, sign && injured, words].filter((it) => it);
    return prose(told.join(" "));
  },
};

/** The text of one entry, by itself; a `Slip` where a field is wrong. */
function write(entry, ride) {
  const text = writers[entry.kind](entry.fields, ride);
  const said = text.split("\n").slice(1, -1).filter((it) => !/^(tape|gauge) = /.test(it));
  if (!text || (text.startsWith("```") && !said.length)) throw new Slip(null, "nothing");
  return text;
}

/** An entry as it was written when entered: a page made later has other settings and units. */
const textOf = (entry, ride) => entry.text ?? write(entry, ride);

/** The notebook of a day. */
function notebook(day, ride) {
  const head = [
    "+++",
    'kind = "day"',
    `date = ${day.date}`,
    ...line("machine", ride.machine.name),
    ...line("rider", ride.rider.name),
    ...line("track", day.track),
    "+++",
  ].join("\n");
  return [head, ...day.entries.map((entry) => textOf(entry, ride))].join("\n\n") + "\n";
}

// ---- The page.

/** An element with its attributes and its content; `on…` listens. */
function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value != null) made.setAttribute(key, value);
  }
  made.append(...children.flat().filter((child) => child != null));
  return made;
}

const byId = (id) => document.getElementById(id);
const button = (text, press, attributes = {}) => el("button", { type: "button", onclick: press, ...attributes }, text);

/** What the telephone keeps for this page; where it keeps nothing, the page says so and goes on. */
const shelf = {
  keeps: true,
  safe: null,
  held: new Map(),
  waiting: new Set(),
  at: (key) => `loambook pocket: ${key}`,
  get(key) {
    const held = this.held.get(this.at(key)) ?? null;
    try {
      const kept = JSON.parse(localStorage.getItem(this.at(key)) ?? "null");
      return (held?.kept ?? 0) > (kept?.kept ?? 0) ? structuredClone(held) : kept;
    } catch {
      this.keeps = Boolean(this.safe);
      return structuredClone(held);
    }
  },
  put(key, value) {
    value.kept = Date.now();
    try {
      localStorage.setItem(this.at(key), JSON.stringify(value));
      this.keeps = true;
    } catch {
      this.keeps = Boolean(this.safe);
    }
    byId("unkept").hidden = this.keeps;
    this.held.set(this.at(key), structuredClone(value));
    if (!this.waiting.size) setTimeout(() => this.write(), 200);
    this.waiting.add(this.at(key));
  },
  write() {
    try {
      const store = this.safe?.transaction("kept", "readwrite", { durability: "strict" }).objectStore("kept");
      for (const key of this.waiting) store?.put(this.held.get(key), key);
    } catch {
      this.safe = null;
    }
    this.waiting.clear();
  },
};

/** A second place. Browsers write the first one when they find the time, up to a minute later, and a battery dies before; this one
    is on the medium once it is written. */
async function openSafe() {
  const done = (asked) => new Promise((well, ill) => Object.assign(asked, { onsuccess: () => well(asked.result), onerror: ill, onblocked: ill }));
  try {
    const asked = indexedDB.open("loambook pocket", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("kept");
    const safe = await Promise.race([done(asked), new Promise((_, ill) => setTimeout(ill, 2000))]);
    const store = safe.transaction("kept").objectStore("kept");
    const [keys, values] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
    keys.forEach((key, at) => shelf.held.set(key, values[at]));
    shelf.safe = safe;
  } catch {
    // Refused, or not supported.
  }
}

/** The fields of each form, in their order. A field with `count` has that many boxes. */
function fieldsOf(kind, ride) {
  const { units, chambers, tyres, tapes, gauges, settings } = ride;
  const choice = (name, label, options, more = {}) => ({ name, label: say(label), type: "choice", options, ...more });
  const boxes = (name, count = 3) => ({ name, label: say(count > 1 ? name : `after${name.match(/_[a-z]+$/)[0]}`), type: "number", unit: units.length, count });
  const number = (name, label, unit) => ({ name, label, type: "number", unit });
  const words = (list) => list.map((it) => [it, say(it)]);
  const names = (list) => list.map((it) => [it, it]);
  switch (kind) {
    case "air":
      return [
        number("air", say("air_at_track"), units.temperature),
        number("bench", say("air_at_bench"), units.temperature),
        number("pressure", say("air_pressure"), "hPa"),
        { name: "surface", label: say("ground"), type: "text" },
        choice("traction", "traction", words(["low", "medium", "high"])),
      ];
    case "sag":
      return [
        choice("end", "end", words(["front", "rear"]), { first: "rear" }),
        ...(tapes.length > 1 ? [choice("tape", "tape", names(tapes))] : []),
        boxes("hanging"),
        boxes("alone"),
        boxes("alone_after_push", 1),
        boxes("alone_after_lift", 1),
        boxes("aboard"),
        boxes("aboard_after_push", 1),
        boxes("aboard_after_lift", 1),
      ];
    case "pressures":
      return [
        ...(gauges.length > 1 ? [choice("gauge", "gauge", names(gauges))] : []),
        ...[...chambers.map(({ name, title }) => [`chamber.${name}`, title]), ...tyres.map(({ name, title }) => [`tyre.${name}`, title])].flatMap(([name, label]) => [
          number(`found ${name}`, say("as_found", { label }), units.pressure),
          number(`left ${name}`, say("as_left", { label }), units.pressure),
        ]),
        number("at", say("of_leg"), units.temperature),
      ];
    case "change": {
      const picked = settings.find((it) => it.id === draft("change").setting) ?? settings[0];
      const ways = [...picked.ways.map((way, at) => [String(at), way.label]), ...words(["to", "back"])];
      const way = draft("change").way ?? ways[0][0];
      const by = { name: "by", label: say(way === "to" ? "new_value" : "how_far"), type: picked.is_number ? "number" : "text", unit: picked.is_number && way === "to" ? picked.unit.title : "" };
      if (picked.words.length && way === "to") Object.assign(by, choice("by", "new_value", names(picked.words)));
      return [
        ...(settings.length ? [{ name: "setting", label: say("setting"), type: "select", options: settings.map((it) => [it.id, `${it.label}: ${it.value}`]) }] : []),
        choice("way", "which_way", ways, { first: ways[0][0] }),
        ...(way === "back" ? [] : [by]),
        { name: "because", label: say("because"), type: "text" },
      ];
    }
    case "stint":
      return [
        choice("word", "which", words(["practice", "qualifying", "race"])),
        { name: "laps", type: "laps", label: say("laps") },
        { name: "feels", type: "feels", label: say("felt") },
        choice("verdict", "verdict", words(["better", "same", "worse"])),
        number("front", say("used_front"), units.length),
        number("rear", say("used_rear"), units.length),
        { name: "note", label: say("note_on_stint"), type: "text" },
      ];
    case "note":
      return [{ name: "note", label: say("own_words"), type: "area" }];
    case "hurt":
      return [
        { name: "crash", label: say("was_crash"), type: "tick" },
        { name: "sign", label: say("was_sign"), type: "tick" },
        { name: "words", label: say("what_happened"), type: "area" },
      ];
  }
}

const FORMS = ["air", "sag", "pressures", "change", "stint", "note"];

let book, desk, ride, day, view = "sheet", open = null;

/** The page's words in the rider's language, by their name; `parts` fill the placeholders. */
const say = (name, parts = {}) => book.speech[ride.language].words[name].replace(/\{(\w+)\}/g, (_, part) => parts[part] ?? "");
/** A number as the rider's language writes it. */
const local = (text) => text.replace(".", book.speech[ride.language].decimal);

/** Fills in all fixed words of the page. */
function speak() {
  document.documentElement.lang = ride.language;
  for (const it of document.querySelectorAll("[data-say]")) it.textContent = say(it.dataset.say);
  for (const it of document.querySelectorAll("[data-label]")) it.setAttribute("aria-label", say(it.dataset.label));
}

const draft = (kind) => ((day.drafts ??= {})[kind] ??= {});
const dayKey = () => `${book.title} / ${ride.rider.name} / ${ride.machine.name} / ${day.date}`;
const keep = () => shelf.put(dayKey(), day);
const tell = (text) => (byId("told").textContent = text);

/** Loads the kept entries of a rider's day. */
function take(which, date) {
  ride = which;
  speak();
  day = { date, track: ride.track, entries: [], drafts: {} };
  day = shelf.get(dayKey()) ?? day;
  byId("unkept").hidden = shelf.keeps;
  shelf.put(`${book.title} / last`, { rider: ride.rider.name, machine: ride.machine.name, date });
  refresh();
}

/** How many findings are listed: a rider who hears the page does not see them appear. */
function toLookAt() {
  const count = byId("findings").querySelectorAll("li").length;
  return count ? [`${say("to_look_at")}: ${count}.`] : [];
}

/** Adds an entry behind the others. */
function enter(kind) {
  const entry = { kind, fields: structuredClone(draft(kind)) };
  try {
    entry.text = write(entry, ride);
  } catch (slip) {
    if (!(slip instanceof Slip)) throw slip;
    tell(say("not_entered", { why: say(slip.why, slip.parts) }));
    const field = document.querySelector(`[data-field="${CSS.escape(slip.field ?? "")}"]`);
    field?.setAttribute("aria-invalid", "true");
    field?.focus();
    return;
  }
  day.entries.push(entry);
  delete day.drafts[kind];
  open = null;
  // The page for writing shows what to do about an injury.
  if (kind === "hurt") view = "write";
  keep();
  refresh(kind === "hurt" ? "hurt-button" : `open-${kind}`);
  tell([say("is_entered", { what: say(kind) }), ...toLookAt()].join(" "));
}

// ---- Fields.

let waiting = null;

/** Draws everything anew once no more letters come. */
function wait() {
  clearTimeout(waiting);
  waiting = setTimeout(() => ((waiting = null), refresh()), 1200);
}

/** One field of a form, bound to the form's draft. */
function field(kind, { name, label, type, unit, options, count, first }) {
  const values = draft(kind);
  // The same each time a form is drawn, so that the focus stays on its field.
  const id = `field ${kind} ${name}`.replaceAll(" ", "-");
  // Where the pressed control goes away, the focus moves to `next`.
  const put = (value, next = null) => {
    values[name] = value;
    keep();
    if (next) refresh(next);
  };
  const shown = unit ? `${label} (${unit})` : label;
  const input = (attributes) => el("input", { autocomplete: "off", "data-field": name, ...attributes });
  const labelled = (control) => el("p", {}, el("label", { for: id }, shown), control);
  switch (type) {
    case "number": {
      const several = count > 1;
      const boxes = Array.from({ length: count ?? 1 }, (_, at) =>
        input({
          id: at ? `${id}-${at}` : id,
          inputmode: "decimal",
          "aria-label": several ? say("reading", { label: shown, number: at + 1 }) : null,
          value: (several ? values[name]?.[at] : values[name]) ?? "",
          oninput: (event) => {
            event.target.removeAttribute("aria-invalid");
            if (!several) return put(event.target.value);
            const read = Array.from({ length: count }, (_, at) => values[name]?.[at] ?? "");
            read[at] = event.target.value;
            put(read);
          },
        }));
      return several ? el("fieldset", {}, el("legend", {}, shown), el("div", { class: "boxes" }, boxes)) : labelled(boxes[0]);
    }
    case "text":
      return labelled(input({ id, value: values[name] ?? "", oninput: (event) => put(event.target.value) }));
    case "area":
      return labelled(el("textarea", { id, rows: 4, "data-field": name, oninput: (event) => put(event.target.value) }, values[name] ?? ""));
    case "tick":
      return el("label", { class: "chip", for: id }, input({ id, type: "checkbox", checked: Boolean(values[name]), onchange: (event) => put(event.target.checked) }), ` ${label}`);
    case "select":
      values[name] ??= options[0][0];
      // A rider who picks by letters may type more than one: browsers wait a second for the next.
      return labelled(el("select", { id, "data-field": name, onchange: (event) => (put(event.target.value), wait()), onkeypress: () => waiting && wait() },
        options.map(([value, text]) => el("option", { value, selected: value === values[name] }, text))));
    case "choice":
      if (first) values[name] ??= first;
      if (!options.some(([value]) => value === values[name])) delete values[name];
      if (first) values[name] ??= first;
      return el("fieldset", {}, el("legend", {}, shown), el("div", { class: "chips" }, options.map(([value, text], at) => {
        const own = `${id}-${at}`;
        return el("label", { class: "chip", for: own },
          input({ id: own, type: "radio", name: id, value, checked: values[name] === value, onchange: () => put(value, kind === "change" ? own : null) }), ` ${text}`);
      })));
    case "laps":
      return laps(values, id, put);
    case "feels":
      return feels(values, id, put);
  }
}

const clock = (milliseconds) => {
  const tenths = Math.round(milliseconds / 100);
  const [minutes, rest] = [Math.floor(tenths / 600), tenths % 600];
  return `${minutes}:${String(Math.floor(rest / 10)).padStart(2, "0")}.${rest % 10}`;
};

/** A stopwatch, and its laps or typed ones. It runs on while the page is closed: the start of the lap is kept. */
function laps(values, id, put) {
  values.laps ??= [];
  const face = el("output", { class: "face", "aria-live": "off" }, local("0:00.0"));
  const show = () => {
    if (!face.isConnected || !values.since) return;
    face.textContent = local(clock(Date.now() - values.since));
    requestAnimationFrame(show);
  };
  const press = (since, done) => {
    const lap = clock(Date.now() - values.since);
    // Pressed twice by a shaking finger: nobody rides a lap in no time, and a stint with one would not be entered.
    const counts = done && /[1-9]/.test(lap);
    if (done && !counts && since) return;
    if (counts) values.laps.push(lap);
    values.since = since;
    put(values.laps, `${id}-watch`);
    tell(counts ? local(lap) : "");
  };
  requestAnimationFrame(show);
  const typed = el("input", { id, inputmode: "decimal", autocomplete: "off", placeholder: local("2:04.1"), "data-field": "laps" });
  const add = () => {
    try {
      if (typed.value.trim()) put([...values.laps, ...typed.value.trim().split(/\s+/).map(lap)], `${id}-watch`);
    } catch (slip) {
      if (!(slip instanceof Slip)) throw slip;
      tell(say("not_entered", { why: say(slip.why, slip.parts) }));
    }
  };
  return el("fieldset", {}, el("legend", {}, say("laps")), face,
    el("div", { class: "chips" },
      values.since
        ? [button(say("lap"), () => press(Date.now(), true), { class: "main", id: `${id}-watch` }), button(say("stop"), () => press(null, true)), button(say("stop_no_lap"), () => press(null, false))]
        : button(say("start_watch"), () => press(Date.now(), false), { class: "main", id: `${id}-watch` })),
    el("p", {}, el("label", { for: id }, say("others_laps")), typed, button(say("add_laps"), add, { id: `${id}-add` })),
    el("ol", {}, values.laps.map((it, at) => el("li", {}, local(it), " ",
      button(say("take_out"), () => put(values.laps.filter((_, other) => other !== at), `${id}-watch`), { id: `${id}-out-${at}`, "aria-label": say("take_out_lap", { number: at + 1, time: local(it) }) })))));
}

/** Complaints with their place and strength. */
function feels(values, id, put) {
  values.feels ??= [];
  const { complaints, places } = book.speech[ride.language];
  const called = (list, word) => list.find(({ name }) => name === word)?.title ?? word;
  const pick = (name, label, options) => el("p", {}, el("label", { for: `${id}-${name}` }, label),
    el("select", { id: `${id}-${name}` }, el("option", { value: "" }, "–"), options.map(([value, text]) => el("option", { value }, text))));
  const add = () => {
    const [complaint, place, strength] = ["complaint", "place", "strength"].map((name) => byId(`${id}-${name}`).value);
    if (!complaint) return tell(say("say_what"));
    put([...values.feels, { complaint, place, strength }], `${id}-add`);
  };
  return el("fieldset", {}, el("legend", {}, say("felt")),
    el("ul", {}, values.feels.map((it, at) => {
      const what = [called(complaints, it.complaint), called(places, it.place), it.strength].filter((part) => part).join(", ");
      return el("li", {}, what, " ", button(say("take_out"), () => put(values.feels.filter((_, other) => other !== at), `${id}-add`), { id: `${id}-out-${at}`, "aria-label": say("take_out_what", { what }) }));
    })),
    pick("complaint", say("complaint"), complaints.map(({ name, title }) => [name, title])),
    pick("place", say("place"), places.map(({ name, title }) => [name, title])),
    pick("strength", say("strength"), [["1", say("weakest")], ["2", "2"], ["3", "3"], ["4", "4"], ["5", say("strongest")]]),
    button(say("add_this"), add, { id: `${id}-add` }));
}

// ---- The screen.

/** Draws everything anew. The focus stays on its control, or moves to `next` where that is gone. */
function refresh(next = null) {
  const text = notebook(day, ride);
  const stood = document.activeElement;
  for (const name of ["sheet", "write", "text"]) {
    byId(name).hidden = view !== name || open === "hurt";
    byId(`to-${name}`).setAttribute("aria-current", String(view === name && open !== "hurt"));
  }
  byId("hurt").hidden = open !== "hurt";
  const other = today() !== day.date;
  byId("otherday").hidden = !other;
  if (other) byId("otherday").textContent = say("other_day", { date: day.date, today: today() });
  byId("date").value = day.date;
  byId("track").value = day.track ?? "";
  byId("whole").value = text;
  if (open === "hurt") hurt();
  else if (view === "sheet") sheet();
  else if (view === "write") entries();
  ask(text);
  const is_gone = stood !== document.body && !(stood?.isConnected && stood.offsetParent);
  const again = is_gone ? byId(stood?.id ?? "") ?? byId(next ?? "") : null;
  again?.focus();
  if (again && again.id === stood?.id && stood.selectionStart != null) again.setSelectionRange(stood.selectionStart, stood.selectionEnd);
}

const today = () => {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((it) => String(it).padStart(2, "0")).join("-");
};

function hurt() {
  byId("hurt").replaceChildren(
    el("h2", {}, say("stop_riding")),
    el("p", {}, el("strong", {}, say("help_first"))),
    ...["after_crash", "until_cleared", "then_machine"].map((it) => el("p", {}, say(it))),
    el("form", { onsubmit: (event) => event.preventDefault() }, fieldsOf("hurt", ride).map((it) => field("hurt", it)),
      button(say("write_down"), () => enter("hurt"), { class: "main" }),
      button(say("close"), () => ((open = null), tell(""), refresh("hurt-button")))));
}

function sheet() {
  const frame = byId("sheet").querySelector("iframe") ?? byId("sheet").appendChild(el("iframe", { sandbox: "allow-same-origin", title: say("sheet") }));
  if (frame.dataset.of === ride.notebook) return;
  frame.dataset.of = ride.notebook;
  frame.title = say("sheet_of", { rider: ride.rider.title, machine: ride.machine.title });
  frame.onload = () => (frame.style.height = `${frame.contentDocument.documentElement.scrollHeight + 8}px`);
  frame.srcdoc = ride.sheet;
}

function entries() {
  const cautions = ["sag", "pressures", "change"];
  const forms = FORMS.map((kind) => {
    const isOpen = open === kind;
    return [
      button(say(kind), () => ((open = isOpen ? null : kind), tell(""), refresh()), { class: "form", id: `open-${kind}`, "aria-expanded": String(isOpen) }),
      isOpen ? el("form", { onsubmit: (event) => event.preventDefault() },
        cautions.includes(kind) ? el("p", { class: "small" }, say(`caution_${kind}`)) : null,
        fieldsOf(kind, ride).map((it) => field(kind, it)),
        button(say("enter"), () => enter(kind), { class: "main", id: "enter" })) : null,
    ];
  });
  const entered = day.entries.map((entry, at) => el("li", {}, el("pre", {}, textOf(entry, ride)),
    button(say("take_out"), () => (day.entries.splice(at, 1), keep(), refresh(at ? `out-${at - 1}` : "open-air"), tell(say("is_out"))), { id: `out-${at}`, "aria-label": say("take_out_entry", { number: at + 1, what: say(entry.kind) }) })));
  byId("forms").replaceChildren(...forms.flat().filter((it) => it));
  byId("entered").replaceChildren(...(entered.length ? [el("h2", {}, say("all_entered")), el("ol", {}, entered)] : []));
}

/** A figure as it is shown; for a collar with the way it is turned, in for more preload. */
const toTurn = ({ id, shown }) => (id.endsWith(".collar_turns") ? say(shown.startsWith("−") ? "turned_out" : "turned_in", { turns: shown.replace(/^−/, "") }) : shown);

/** Warns that somebody must not ride, once: a text written again would be read aloud again. */
function stop(text) {
  if (byId("stopped").textContent !== text) byId("stopped").textContent = text;
  byId("stopped").hidden = !text;
}

/** Asks the library for the figures and findings of the text, where it runs here. */
function ask(text) {
  // The page's day has its path in the book, another day a path that is free.
  const path = day.date === book.date ? ride.notebook : `days/${day.date}-${ride.rider.name}-pocket.md`;
  const told = desk && view === "write" && open !== "hurt" ? desk(path, text, day.date) : null;
  const findings = told?.findings ?? [];
  byId("findings").replaceChildren(...(findings.length ? [el("h2", {}, say("to_look_at")), el("ul", {}, findings.map((it) =>
    el("li", {}, el("strong", {}, `${say(`severity_${it.severity}`)}: `), [it.headline, ...it.remedy].join("; "))))] : []));
  const figures = told?.figures ?? [];
  byId("figures").replaceChildren(...(figures.length ? [el("h2", {}, say("makes")), el("dl", {}, figures.map((it) =>
    [el("dt", {}, it.label), el("dd", {}, toTurn(it))]).flat()), el("p", {}, say("caution_figures"))] : []));
  if (told && told.settings.length && JSON.stringify(told.settings) !== JSON.stringify(ride.settings)) {
    ride.settings = told.settings;
    if (open === "change") entries();
  }
  stop((told ?? ride).not_cleared ?? "");
}

async function copy() {
  const whole = byId("whole");
  whole.focus();
  whole.select();
  let copied = false;
  try {
    await navigator.clipboard.writeText(whole.value);
    copied = true;
  } catch {
    copied = document.execCommand?.("copy") ?? false;
  }
  // Marked text waits for a finger; once it is copied, the focus goes back to the button.
  if (copied) byId("copy").focus();
  tell(say(copied ? "copied" : "marked"));
}

async function share() {
  try {
    await navigator.share({ text: byId("whole").value });
    tell(say("shared"));
  } catch {
    tell(say("not_shared"));
  }
}

/** The library in the browser; `null` where it is not in the page or does not run. */
async function openDesk() {
  const held = byId("module")?.textContent.trim();
  if (!held || typeof wasm_bindgen === "undefined") return null;
  try {
    const bytes = Uint8Array.from(atob(held), (letter) => letter.charCodeAt(0));
    await wasm_bindgen({ module_or_path: bytes });
    const library = new wasm_bindgen.Desk();
    for (const [path, text] of book.files) library.put(path, text);
    return (path, text, date) => {
      try {
        return JSON.parse(library.told(path, text, date));
      } catch {
        return null;
      }
    };
  } catch {
    return null;
  }
}

async function start() {
  book = JSON.parse(byId("book").textContent);
  await openSafe();
  document.title = book.title;
  byId("title").textContent = book.title;
  const last = shelf.get(`${book.title} / last`);
  const name = (it) => `${it.rider.name} / ${it.machine.name}`;
  const known = last && book.rides.find((it) => name(it) === `${last.rider} / ${last.machine}`);
  byId("ride").replaceChildren(...book.rides.map((it, at) =>
    el("option", { value: at, selected: it === known }, `${it.rider.title}, ${it.machine.title}`)));
  byId("track").replaceChildren(el("option", { value: "" }, "–"), ...book.tracks.map((it) => el("option", { value: it.name }, it.title)));
  byId("ride").onchange = (event) => take(book.rides[event.target.value], day.date);
  byId("date").onchange = (event) => event.target.value && take(ride, event.target.value);
  byId("track").onchange = (event) => ((day.track = event.target.value || null), keep(), refresh());
  byId("hurt-button").onclick = () => ((open = "hurt"), tell(""), refresh(), byId("hurt").focus());
  for (const name of ["sheet", "write", "text"]) {
    byId(`to-${name}`).onclick = () => ((view = name), (open = open === "hurt" ? null : open), tell(""), refresh(), byId(name).focus());
  }
  byId("copy").onclick = copy;
  byId("share").onclick = share;
  byId("share").hidden = !navigator.share;
  take(known ?? book.rides[0], known ? last.date : book.date);
  desk = await openDesk();
  byId("unchecked").hidden = Boolean(desk);
  refresh();
  document.body.dataset.ready = desk ? "checked" : "unchecked";
}

if (typeof document !== "undefined") start();
if (typeof module !== "undefined") module.exports = { write, notebook, Slip };
