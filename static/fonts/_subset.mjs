// Makes the fonts of this folder; they are committed, so that this is run only
// to change them:
//
//   npm install subset-font@2 @fontsource-variable/atkinson-hyperlegible-next@5.3.0 @fontsource-variable/atkinson-hyperlegible-mono@5.3.0 @fontsource/atkinson-hyperlegible@5.3.0
//   node _subset.mjs node_modules FOLDER
//
// Then write the new versions and ranges into app.css (a test names those that
// are wrong). A file has the weights from 400 to 700, the only ones that pages
// use, and the characters of one range: "base" is what our own wording and
// numbers need, so that a station loads nothing else; accents come with
// "latin" and "latin-ext" when somebody typed one. Both families lack the micro
// sign; the first Atkinson Hyperlegible, of the same makers, has it: "micro". The
// licences (OFL 1.1) reserve no font name, so that a part may keep the name.
import fs from "node:fs";
import { createRequire } from "node:module";

const [modules, out] = process.argv.slice(2);
const subsetFont = createRequire(fs.realpathSync(modules) + "/")("subset-font");

const base = "U+0020-007E, U+00A0, U+00B0-00B3, U+00B7, U+00D7, U+2009, U+2011, U+2013-2014, U+2018-2019, U+201C-201D, U+2026, U+202F, U+2212";
const latin = "U+00A1-00AF, U+00B4, U+00B6, U+00B8-00D6, U+00D8-00FF, U+0131, U+0152-0153, U+02BB-02BC, U+02C6, U+02DA, U+02DC, U+0304, U+0308, U+0329, " +
  "U+2000-2008, U+200A-2010, U+2012, U+2015-2017, U+201A-201B, U+201E-201F, U+2021-2025, U+2027-202E, U+2030-206F, U+20AC, U+2122, U+2191, U+2193, U+2215, U+FEFF, U+FFFD";
const ext = "U+0100-0130, U+0132-0151, U+0154-02BA, U+02BD-02C5, U+02C7-02CC, U+02CE-02D7, U+02DD-02FF, U+1D00-1DBF, U+1E00-1E9F, U+1EF2-1EFF, U+2020, U+20A0-20AB, U+20AD-20C0, U+2113, U+2C60-2C7F, U+A720-A7FF";

function characters(ranges) {
  return ranges.split(", ").flatMap((r) => {
    const [from, to = from] = r.slice(2).split("-").map((hex) => parseInt(hex, 16));
    return Array.from({ length: to - from + 1 }, (_, i) => String.fromCodePoint(from + i));
  }).join("");
}

for (const family of ["next", "mono"]) {
  for (const [name, source, ranges] of [["base", "latin", base], ["latin", "latin", latin], ["latin-ext", "latin-ext", ext]]) {
    const whole = fs.readFileSync(`${modules}/@fontsource-variable/atkinson-hyperlegible-${family}/files/atkinson-hyperlegible-${family}-${source}-wght-normal.woff2`);
    const part = await subsetFont(whole, characters(ranges), { targetFormat: "woff2", variationAxes: { wght: { min: 400, max: 700 } } });
    fs.writeFileSync(`${out}/atkinson-${family}-${name}.woff2`, part);
  }
}

for (const weight of [400, 700]) {
  const whole = fs.readFileSync(`${modules}/@fontsource/atkinson-hyperlegible/files/atkinson-hyperlegible-latin-${weight}-normal.woff2`);
  fs.writeFileSync(`${out}/atkinson-micro-${weight}.woff2`, await subsetFont(whole, "\u00b5", { targetFormat: "woff2", noHinting: true }));
}
