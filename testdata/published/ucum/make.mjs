// Writes ucum.json: what the UCUM reference library of the National Library of
// Medicine makes of every unit a visit may use. Tests compare units.yaml with
// it; nothing else reads it. Run it again only when a unit is added:
//
//   npm install --no-package-lock && node make.mjs
//
// The library computes in binary floating point, so its answers carry noise in
// the last digits (1 inch is 25.400000000000002 mm); a comparison may ask for
// nine digits, not for equality.
import { createRequire } from "node:module";
import { writeFileSync } from "node:fs";

const require = createRequire(import.meta.url);
const { UcumLhcUtils } = require("@lhncbc/ucum-lhc");
const { version } = require("@lhncbc/ucum-lhc/package.json");
const ucum = UcumLhcUtils.getInstance();

// The unit as visits write it, its UCUM code, and the UCUM code to convert to.
// Where a visit writes the UCUM code itself the two are equal.
const scales = [
  { quantity: "length", to: "[in_i]", units: [["in", "[in_i]"], ["mm"], ["cm"], ["ft", "[ft_i]"], ["m"]], values: [1, 0.125, 0.25, 0.375, 0.5, 7.5, 25, 300] },
  { quantity: "temperature", to: "[degF]", units: [["degF", "[degF]"], ["degC", "Cel"]], values: [-40, 0, 4.4, 10, 25, 26.7, 37.8, 43.3, 52] },
  { quantity: "temperature", to: "Cel", units: [["degF", "[degF]"], ["degC", "Cel"]], values: [-40, 0, 32, 40, 60, 70, 77, 80, 100, 110, 125] },
  { quantity: "torque", to: "[lbf_av].[in_i]", units: [["N.m"], ["in.lbf", "[lbf_av].[in_i]"], ["ft.lbf", "[lbf_av].[ft_i]"]], values: [1, 7.5, 9, 10.17, 90, 100, 110] },
  { quantity: "torque", to: "N.m", units: [["N.m"], ["in.lbf", "[lbf_av].[in_i]"], ["ft.lbf", "[lbf_av].[ft_i]"]], values: [1, 7.5, 9, 10.17, 90, 100, 110] },
  { quantity: "voltage", to: "V", units: [["V"], ["mV"]], values: [1, 2.105, 6.36, 25.3, 2105] },
  { quantity: "current", to: "A", units: [["A"]], values: [1, 4.8, 14.4] },
  { quantity: "charge", to: "C", units: [["A.h"]], values: [1, 240, 3] },
  { quantity: "duration", to: "s", units: [["s"], ["min"], ["h"], ["d"]], values: [1, 0.1, 10, 16, 72, 1234.5] },
  { quantity: "volume", to: "mL", units: [["mL"], ["L"], ["fl-oz", "[foz_us]"], ["gal", "[gal_us]"]], values: [1, 0.25, 2.5, 6, 120] },
  { quantity: "pressure", to: "kPa", units: [["kPa"], ["psi", "[psi]"], ["inH2O", "[in_i'H2O]"], ["mbar"]], values: [1, 15, 45, 60.5, 70, 150] },
  { quantity: "speed", to: "km/h", units: [["km/h"], ["mi/h", "[mi_i]/h"], ["m/s"], ["ft/min", "[ft_i]/min"]], values: [1, 0.5, 2.5, 4, 100, 220] },
  { quantity: "flow", to: "L/min", units: [["L/min"], ["gal/min", "[gal_us]/min"]], values: [1, 0.5, 2.5] },
  { quantity: "airflow", to: "m3/h", units: [["m3/h"], ["ft3/min", "[cft_i]/min"]], values: [1, 0.5, 3.3, 14.256] },
  { quantity: "gravity", to: "1", units: [["sg", "1"], ["ppth", "[ppth]"]], values: [1, 1.265, 1265] },
  { quantity: "count", to: "1", units: [["1"]], values: [1, 4] },
  { quantity: "percentage", to: "%", units: [["%"], ["1"]], values: [1, 0.25, 80] },
  { quantity: "density", to: "kg/L", units: [["kg/L"]], values: [1, 1.265] },
  { quantity: "conductivity", to: "mS/m", units: [["uS/cm"]], values: [1, 5, 10] },
  { quantity: "force", to: "N", units: [["N"], ["lbf", "[lbf_av]"]], values: [1, 20, 45.5] },
  { quantity: "mass", to: "kg", units: [["kg"], ["lb", "[lb_av]"]], values: [1, 0.5, 230] },
  { quantity: "resistance", to: "Ohm", units: [["mOhm"]], values: [1, 0.8, 25] },
];

// Codes that look right and are not, and what the library makes of them. "mph"
// is a valid code, of milliphot. "psi" and "degF" are not codes; the library
// converts them all the same, guessing the bracketed ones, and says so.
const traps = [
  { code: "mph", wanted: "m/s" },
  { code: "mph", wanted: "lx" },
  { code: "Ah", wanted: "C" },
  { code: "psi", wanted: "kPa" },
  { code: "degF", wanted: "Cel" },
  { code: "in-lb", wanted: "N.m" },
];

function convert(from, value, to) {
  const got = ucum.convertUnitTo(from, value, to);
  if (got.status !== "succeeded") throw new Error(`${value} ${from} to ${to}: ${got.msg}`);
  return got.toVal;
}

const conversions = [];
for (const { quantity, to, units, values } of scales) {
  for (const [unit, code = unit] of units) {
    for (const value of values) {
      conversions.push({ quantity, unit, code, value, to, result: convert(code, value, to) });
    }
  }
}

const refused = traps.map(({ code, wanted }) => ({
  code,
  valid: ucum.validateUnitString(code).status === "valid",
  wanted,
  converts: ucum.convertUnitTo(code, 1, wanted).status === "succeeded",
}));

const lines = (list) => list.map((row) => "    " + JSON.stringify(row)).join(",\n");
const made = process.env.MADE ?? new Date().toISOString().slice(0, 10);
writeFileSync(
  new URL("ucum.json", import.meta.url),
  `{
  "about": "Conversions by the UCUM reference library on npm. Written by make.mjs, not by hand.",
  "source": "npm package @lhncbc/ucum-lhc (Lister Hill National Center for Biomedical Communications, U.S. National Library of Medicine)",
  "version": ${JSON.stringify(version)},
  "made": ${JSON.stringify(made)},
  "licence": "The package: terms in its LICENSE.md, based on BSD; UCUM codes: copyright Regenstrief Institute and the UCUM Organization, licence at ucum.org/license. Kept here: codes, values and results only.",
  "status": "calculated",
  "conversions": [
${lines(conversions)}
  ],
  "traps": [
${lines(refused)}
  ]
}
`,
);
