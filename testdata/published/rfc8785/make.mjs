// Writes more.json: documents of the shapes that verdicts have, made canonical
// (RFC 8785) by the npm package canonicalize, which shares no code with the one
// that the program uses. It first does the published vectors and stops if one
// differs. Run it again only when a document is added:
//
//   npm install --no-package-lock && node make.mjs
import { readFileSync, writeFileSync } from "node:fs";
import canonicalize from "canonicalize";

const read = (name) => JSON.parse(readFileSync(new URL(name, import.meta.url), "utf8"));
const { version } = read("node_modules/canonicalize/package.json");
const vectors = read("vectors.json");
for (const { name, input, output } of vectors.documents) {
  const got = canonicalize(JSON.parse(input));
  if (got !== output) throw new Error(`${name}: ${got}, published ${output}`);
}

const inputs = {
  "empty object": "{}",
  "empty array": " [ ] ",
  "names in no order": '{"subject":"cell B1.2","rule":"condition.battery.full_charge_gravity","outcome":"nonconforming","facts":[{"value":1.250,"unit":"1","name":"reading"}]}',
  "names that share a beginning": '{"cells":1,"cell":2,"cellar":3,"":4,"Cell":5}',
  "numbers as visits write them": "[1.260, 0.5, 0.05, 100, 100.0, -40, -0.0, 0.000001, 0.0000001, 123456789012345, 999999999999999.5]",
  "text of a post and a temperature": '{"says":"post B1+ at 77 \\u00b0F: 9\\u00bd in.lbf\\tlow\\u2028next","quote":"\\"\\\\/"}',
  "controls": '"\\u0000\\u0001\\b\\t\\n\\f\\r\\u001f \\u007f"',
  "markup stays as it is": '{"a":"<b>&amp;</b>","\\u003c":">"}',
  "names past the first plane": '{"\\ud83d\\udd0b":"battery","\\uffee":"halfwidth","\\u00e9":"acute","e\\u0301":"combining"}',
  "nested": '{"b":[{"z":null,"a":[true,false,[]]}],"a":{"d":{},"c":{"2":"two","10":"ten","1":"one"}}}',
};

const documents = Object.entries(inputs).map(([name, input]) => ({ name, input, output: canonicalize(JSON.parse(input)) }));
const ascii = (row) => JSON.stringify(row).replace(/[\u007f-\uffff]/g, (c) => "\\u" + c.charCodeAt(0).toString(16).padStart(4, "0"));
const made = process.env.MADE ?? new Date().toISOString().slice(0, 10);
writeFileSync(
  new URL("more.json", import.meta.url),
  `{
  "about": "Canonical JSON of documents shaped like ours, by an independent implementation. Written by make.mjs, not by hand.",
  "source": "npm package canonicalize",
  "version": ${JSON.stringify(version)},
  "made": ${JSON.stringify(made)},
  "licence": "Apache-2.0 (the package); kept here: its answers only",
  "status": "calculated",
  "documents": [
${documents.map((row) => "    " + ascii(row)).join(",\n")}
  ]
}
`,
);
