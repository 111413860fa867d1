/* The real server on a copy of the example roster, and a client that keeps its cookie. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";

export class Server {
  /** Starts it on a free port and trades the one-time token for a cookie. */
  static async start(program, args) {
    const child = spawn(program, ["serve", "--port", "0", ...args], { stdio: ["ignore", "pipe", "pipe"] });
    const said = [];
    child.stderr.setEncoding("utf8").on("data", (text) => said.push(text));
    const [line] = await Promise.race([
      once(createInterface(child.stdout), "line"),
      once(child, "exit").then(() => { throw new Error(`the server ended: ${said.join("")}`); }),
    ]);
    const address = new URL(line);
    const answer = await fetch(address, { redirect: "manual" });
    const cookie = answer.headers.getSetCookie().map((one) => one.split(";")[0]).join("; ");
    if (cookie === "") {
      throw new Error(`no cookie for the token: ${answer.status}`);
    }
    return new Server(child, address.origin, cookie, said);
  }

  constructor(child, origin, cookie, said) {
    Object.assign(this, { child, origin, cookie, said });
  }

  /** path: "/riders/1?x=y" */
  async ask(method, path, { body, version, headers = {}, bytes } = {}) {
    const sent = { cookie: this.cookie, prefer: "wait=30", ...headers };
    if (method !== "GET") {
      sent.origin = this.origin;
    }
    if (body !== undefined) {
      sent["content-type"] = "application/json";
    }
    if (version !== undefined) {
      sent["if-match"] = `"${version}"`;
    }
    if (bytes !== undefined) {
      sent["content-type"] = "application/octet-stream";
    }
    const answer = await fetch(`${this.origin}/api/1${path}`, {
      method, headers: sent, body: bytes ?? (body === undefined ? undefined : JSON.stringify(body)), redirect: "manual",
    });
    const type = answer.headers.get("content-type")?.split(";")[0] ?? "";
    const content = await answer.arrayBuffer();
    const is_json = type.endsWith("json") && content.byteLength > 0;
    return {
      status: answer.status,
      type,
      headers: answer.headers,
      value: is_json ? JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(content)) : content,
    };
  }

  async stop() {
    this.child.kill("SIGTERM");
    if (this.child.exitCode === null) {
      await once(this.child, "exit");
    }
    return this.child.exitCode;
  }
}
