// Writes a folio of many invented engines, to see how the pages that list all of them grow.
//
//   node many.mjs FOLDER [COUNT]
//
// Every engine is the reference cutaway of a pulse valve under another name, with ten figures of its
// own; ten make a family, in which each comes from the one before it. The same each time.

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const [folder, asked] = process.argv.slice(2);
const count = Number(asked ?? 100);
if (!folder || !(count > 0)) {
  console.error("usage: node many.mjs FOLDER [COUNT]");
  process.exit(2);
}

const SHRUBS = ["alder", "birch", "cedar", "elder", "fir", "hawthorn", "juniper", "lime", "maple", "poplar"];
const nameOf = (at) => `${SHRUBS[Math.floor(at / 10) % SHRUBS.length]}_${at + 1}`;

const cutaway = (name) => `# ${name}: a pulse valve that shuts itself.
cutaway ${name}
supply bottle
regulator regulator  from bottle to line
chamber head    role pilot
chamber dose    role sense
chamber breech  role breech

valve start  3/2  mechanical
  rest     joins head to open_air
  shifted  joins line to head
  shifts   while trigger

moving bolt  as bolt
  positions back, front
  rests back
  face tail      in head  pushes forward
  spring return           pushes back

moving pulse  as spool
  positions shut, open
  rests shut
  face head      in head  pushes forward
  face dose      in dose  pushes back
  spring closer           pushes back

way pulse_way  from line to breech               while pulse at open
way dose_hole  from line to dose        narrow   while pulse at open
way drain      from dose to head        one way
way feed_neck  from breech to open_air           while bolt at back
ball pellet  in breech  fed while bolt at back
barrel  from breech

seal pulse_seal  on pulse  between head and dose
seal bolt_seal   on bolt   between breech and open_air  while bolt at front

fact bolt.tail larger than bolt.return    (by hand)
fact pulse.head larger than pulse.closer  (by hand)
fact pulse.dose larger than pulse.head    (seen)
fact dose_hole narrower than pulse_way    (seen)

order bolt reaches front before pulse reaches open  (assumed)
order pellet leaves before dose fills               (assumed)

axis main: head, bolt, breech, barrel
axis side: dose, pulse
`;

const page = (at) => {
  const name = nameOf(at);
  const words = name.replace("_", " ");
  const heading = words[0].toUpperCase() + words.slice(1);
  const from = at % 10 > 0 ? `descends_from: ${nameOf(at - 1)}\n` : "";
  const pressure = 60 + ((at * 37) % 90);
  const hole = (0.8 + ((at * 7) % 20) / 20).toFixed(2);
  const dose = (2 + ((at * 13) % 40) / 10).toFixed(1);
  return `---
title: "${heading}"
summary: "One of many invented engines: a pulse valve that shuts itself."
kind: engine
engine: ${name}
family: ${SHRUBS[Math.floor(at / 10) % SHRUBS.length]}
${from}specimens: 1
sources:
  bench: {kind: measured, with: caliper, on: 2026-05-23}
readings_from: bench
readings:
  operating_pressure: {is: ${pressure} psi ± 3 psi, called: [operating pressure]}
  dose_hole_bore: {is: ${hole} mm ± 0.02 mm, called: [dose hole]}
  dose_volume: {is: ${dose} cm³ ± 0.1 cm³, called: [dose volume]}
  barrel_bore: ${(17 + (at % 7) / 10).toFixed(1)} mm ± 0.05 mm
  muzzle_speed: ${60 + ((at * 11) % 30)} m/s ± 2 m/s
  pellet_mass: ${(3 + (at % 5) / 10).toFixed(1)} g ± 0.1 g
  dwell: ${20 + ((at * 3) % 17)} ms ± 1 ms
  bolt_travel: ${(18 + (at % 9) / 2).toFixed(1)} mm ± 0.2 mm
  spring_rate: ${(0.8 + (at % 13) / 20).toFixed(2)} N/mm ± 0.05 N/mm
  lowest_pressure: ${40 + ((at * 5) % 15)} psi ± 3 psi
---

Its operating pressure is ${pressure} psi, and its dose hole measures ${hole} mm.
`;
};

for (const part of ["content/engines", "diagrams"]) mkdirSync(join(folder, part), { recursive: true });
writeFileSync(
  join(folder, "content/imprint.yaml"),
  `title: Many engines
notice: "All engines here are invented, to see how pages grow."
author: nobody
version: "1.0"
language: en
pressure: gauge
ambient: "101.325 kPa"
units_first: as written
instruments:
  caliper: {what: "digital caliper", plus_minus: 0.02 mm}
`,
);
writeFileSync(join(folder, "content/index.md"), `---\ntitle: Many engines\nsummary: Many invented engines.\n---\n\nThese engines are invented.\n`);
for (let at = 0; at < count; at++) {
  writeFileSync(join(folder, `diagrams/${nameOf(at)}.cut`), cutaway(nameOf(at)));
  writeFileSync(join(folder, `content/engines/${nameOf(at)}.md`), page(at));
}
