// The files of a published site.

import { readdirSync } from "node:fs";
import { join } from "node:path";

function walk(folder, prefix) {
  const names = [];
  const entries = readdirSync(join(folder), { withFileTypes: true });
  entries.sort((a, b) => (a.name < b.name ? -1 : 1));
  for (const entry of entries) {
    const name = prefix + entry.name;
    if (entry.isDirectory()) names.push(...walk(join(folder, entry.name), `${name}/`));
    else names.push(name);
  }
  return names;
}

// All files, relative to the site, with "/" between parts.
export function filesOf(site) {
  return walk(site, "");
}

export function pagesOf(site) {
  return filesOf(site).filter((name) => name.endsWith(".html"));
}
