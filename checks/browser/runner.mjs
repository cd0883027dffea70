// Runs checks, some side by side, and says of each failure which page, which rule and which element.

import { availableParallelism } from "node:os";

/** As many elements are named for one rule on one page. */
const FEW = 6;

/** All faults of one check, so that one run shows them all. */
export class Faults {
  /** @type {string[]} */
  list = [];

  /** @param {string} page @param {string} rule @param {string} element */
  add(page, rule, element) {
    this.list.push(`${page} · ${rule} · ${element}`);
  }

  /** Each once, and of each rule on a page not more than a few. */
  few() {
    /** @type {Map<string, string[]>} */
    const rules = new Map();
    for (const fault of new Set(this.list)) {
      const rule = fault.split(" · ").slice(0, 2).join(" · ");
      rules.set(rule, [...(rules.get(rule) ?? []), fault]);
    }
    return [...rules].flatMap(([rule, all]) => (all.length > FEW ? [...all.slice(0, FEW), `${rule} · and ${all.length - FEW} more`] : all));
  }
}

/** @type {{ name: string, check: (faults: Faults) => Promise<void> }[]} */
const checks = [];

/**
 * Adds a check. It fails by faults that it adds, or by throwing.
 * @param {string} name
 * @param {(faults: Faults) => Promise<void>} check
 */
export function check(name, check) {
  checks.push({ name, check });
}

/** Runs all that were added, and empties the list. Says whether all passed. */
export async function runAll() {
  let passed = 0;
  let failed = 0;
  let next = 0;
  const worker = async () => {
    while (next < checks.length) {
      const { name, check } = checks[next++];
      const faults = new Faults();
      const from = performance.now();
      try {
        await check(faults);
      } catch (error) {
        faults.add(name, "stopped", error instanceof Error ? `${error.message}\n${error.stack ?? ""}` : String(error));
      }
      const seconds = ((performance.now() - from) / 1000).toFixed(1);
      if (faults.list.length === 0) {
        passed += 1;
        console.log(`ok    ${name} (${seconds} s)`);
      } else {
        failed += 1;
        console.log(`FAIL  ${name} (${seconds} s)`);
        for (const fault of faults.few()) console.log(`      ${fault}`);
      }
    }
  };
  await Promise.all(Array.from({ length: Math.min(2, availableParallelism()) }, worker));
  checks.length = 0;
  return { passed, failed };
}
