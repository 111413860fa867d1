/* The real server on a copy of the example roster, in a folder of its own. */
import { execFileSync, spawn } from "node:child_process";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";

export const build = process.env.PLUMBLINE_BUILD;
export const example = process.env.PLUMBLINE_EXAMPLE;
if (build === undefined || example === undefined) {
  throw new Error("run by tools/run_browser_tests.sh, which says where program and example are");
}

const START_MS = 20_000;
const STOP_MS = 10_000;

/* {address, origin, roster, stop}; address carries the token and works once.  empty: a new roster
 * instead; of: a copy of that one. */
export async function startServer(options = [], { empty = false, of = example } = {}) {
  const folder = mkdtempSync(join(tmpdir(), "plumbline-browser-"));
  const roster = join(folder, empty ? "own.plumbline" : "example.plumbline");
  if (empty) {
    const plumbline = join(build, "plumbline");
    execFileSync(plumbline, ["rider", "add", "Nobody", "--roster", roster], { stdio: "ignore" });
    execFileSync(plumbline, ["undo", "--roster", roster], { stdio: "ignore" });
  } else {
    copyFileSync(of, roster);
  }
  const child = spawn(join(build, "plumbline"), ["serve", "--port", "0", "--roster", roster, ...options],
                      { stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  child.stderr.on("data", (bytes) => {
    said += bytes;
  });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  const line = await new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error(`serve said nothing: ${said}`)), START_MS);
    createInterface({ input: child.stdout }).once("line", (first) => {
      clearTimeout(timer);
      resolve(first);
    });
    child.once("exit", (code) => reject(new Error(`serve ended with ${code}: ${said}`)));
  });
  const address = /http:\/\/\S+/.exec(line)?.[0];
  if (address === undefined) {
    child.kill("SIGKILL");
    throw new Error(`no address in ${line}`);
  }
  const stop = async () => {
    child.kill("SIGINT");
    const timer = setTimeout(() => child.kill("SIGKILL"), STOP_MS);
    const code = await ended;
    clearTimeout(timer);
    rmSync(folder, { recursive: true, force: true });
    return { code, said };
  };
  return { address, origin: new URL(address).origin, roster, stop };
}
