// The program itself: stores in a folder that goes at the end, and servers on them.

import { execFile, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { promisify } from "node:util";

const run = promisify(execFile);

/** Longest wait for the program to listen. */
const PATIENCE_MS = 30_000;

export class Desk {
  /** @type {import("node:child_process").ChildProcess[]} */
  #servers = [];
  #folder = mkdtempSync(join(tmpdir(), "ouncewise-browser."));
  #stores = 0;

  /** @param {string} program @param {string[]} before what the program is started by, such as a clock of its own */
  constructor(program, before = []) {
    this.command = [...before, program];
  }

  /** A folder for a store. */
  folder() {
    this.#stores += 1;
    return join(this.#folder, `store-${this.#stores}`);
  }

  /** A file in the desk's folder. @param {string} name */
  file(name) {
    return join(this.#folder, name);
  }

  /** The demo, without pages. Gives its folder. */
  async demo() {
    const dir = this.folder();
    const [first, ...rest] = this.command;
    await run(first, [...rest, "demo", "--no-serve", "--quiet", "--keep", dir], { maxBuffer: 1 << 26 });
    return dir;
  }

  /** Serves a store on a port that is free. Gives its address. @param {string} dir */
  async serve(dir) {
    const [first, ...rest] = this.command;
    const server = spawn(first, [...rest, "serve", "--data", dir, "--listen", "127.0.0.1:0"], {
      stdio: ["ignore", "ignore", "pipe"],
      // A group of its own: what stands before the program, such as a false clock, does not hand on that it is to end.
      detached: true,
    });
    this.#servers.push(server);
    /** @type {string[]} */
    const said = [];
    return await new Promise((resolve, reject) => {
      const late = setTimeout(() => reject(new Error(`not serving after a while: ${said.join(" ")}`)), PATIENCE_MS);
      server.on("exit", (code) => reject(new Error(`serve ended with ${code}: ${said.join(" ")}`)));
      server.on("error", reject);
      createInterface({ input: /** @type {import("node:stream").Readable} */ (server.stderr) }).on("line", (line) => {
        said.push(line);
        const at = /http:\/\/\S+/.exec(line);
        if (at) {
          clearTimeout(late);
          resolve(at[0].replace(/[/.]$/, ""));
        }
      });
    });
  }

  /** Ends the servers, and takes the folder away. */
  async close() {
    for (const server of this.#servers) {
      if (server.exitCode !== null || server.pid === undefined) continue;
      const ended = new Promise((resolve) => server.once("exit", resolve));
      process.kill(-server.pid, "SIGTERM");
      await ended;
    }
    rmSync(this.#folder, { recursive: true, force: true });
  }
}
