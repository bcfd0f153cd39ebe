// Holds a log of findings against the published schema of SARIF with a validator that is not ours (ajv). Prints each fault on
// a line and exits with 1 if there is one.
//
//     node sarif.mjs LOG.sarif
import { readFileSync } from "node:fs";
import Ajv from "ajv";

const read = (path) => JSON.parse(readFileSync(path, "utf8"));
const schema = read(new URL("../schemas/sarif-2.1.0.json", import.meta.url));
// As published, the pattern of two keys that we do not write has a bracket too many and is no regular expression.
for (const of of ["run", "toolComponent"]) delete schema.definitions[of].properties.language.pattern;
// The formats are looked at by the suite.
const holds = new Ajv({ strict: false, allErrors: true, validateFormats: false }).compile(schema);
if (holds({ version: "2.1.0", runs: [{ results: [] }] })) throw new Error("a run without a tool is let through");
const log = read(process.argv[2]);
const faults = holds(log) ? [] : holds.errors;
for (const { instancePath, message } of faults) console.log(`${process.argv[2]}: ${instancePath}: ${message}`);
console.log(`${log.runs[0].results.length} findings, ${faults.length} faults of their log`);
process.exit(faults.length ? 1 : 0);
