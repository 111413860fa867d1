/* What is made from the rest of the project, never committed: src/generated/tokens.css from the
 * colours of src/drawing/tokens.def, src/generated/api_schema.ts from api/openapi.yaml.
 *
 *   node tools/generate.mjs [tokens]     tokens alone, or both
 */
import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const web = dirname(dirname(fileURLToPath(import.meta.url)));
const project = dirname(web);
const out = join(web, "src", "generated");
mkdirSync(out, { recursive: true });

execFileSync("python3", [join(project, "tools", "tokens_css.py"),
                         join(project, "src", "drawing", "tokens.def"), join(out, "tokens.css")]);

const source = join(project, "api", "openapi.yaml");
if (process.argv[2] !== "tokens" && existsSync(source)) {
  const { default: openapi, astToString } = await import("openapi-typescript");
  const tree = await openapi(new URL(`file://${source}`), { alphabetize: true });
  const text = "/* Made from api/openapi.yaml by tools/generate.mjs: edit there. */\n" + astToString(tree);
  const file = join(out, "api_schema.ts");
  if (!existsSync(file) || readFileSync(file, "utf8") !== text) {
    writeFileSync(`${file}.part`, text);
    renameSync(`${file}.part`, file);
  }
}
