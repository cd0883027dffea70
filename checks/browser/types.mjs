// The script of the pages, by the TypeScript compiler: its types, and that it uses nothing a browser lacks.

import { execFile } from "node:child_process";
import { readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const HERE = dirname(fileURLToPath(import.meta.url));
const ASSETS = join(HERE, "../../crates/web/src/assets");
const TSC = createRequire(import.meta.url).resolve("typescript/bin/tsc");
const STRICT = ["--noEmit", "--allowJs", "--checkJs", "--strict", "--noUnusedLocals", "--noUnusedParameters", "--noImplicitReturns"];
const BROWSER = ["--target", "es2022", "--module", "esnext", "--moduleDetection", "force", "--lib", "es2022,dom,dom.iterable"];

/** @param {import("./runner.mjs").Faults} faults */
export async function types(faults) {
  const scripts = readdirSync(ASSETS).filter((name) => name.endsWith(".js")).map((name) => join(ASSETS, name));
  if (scripts.length === 0) faults.add("crates/web/src/assets", "tsc", "there is no script");
  const said = await new Promise((resolve) => {
    execFile(process.execPath, [TSC, ...STRICT, ...BROWSER, ...scripts], (error, out, err) => resolve(error ? out + err || error.message : out));
  });
  for (const line of said.split("\n").filter(Boolean)) faults.add("crates/web/src/assets", "tsc", line);
}
