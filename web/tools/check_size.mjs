/* Fails when the page's script, all of it together, is larger than 90 kB after gzip.
 *
 *   node tools/check_size.mjs DIST
 */
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

const MOST_BYTES = 90_000;

const assets = join(process.argv[2], "assets");
let sum = 0;
for (const name of readdirSync(assets).filter((file) => file.endsWith(".js"))) {
  sum += gzipSync(readFileSync(join(assets, name)), { level: 9 }).length;
}
console.log(`script: ${(sum / 1000).toFixed(1)} kB after gzip, of ${MOST_BYTES / 1000}`);
if (sum > MOST_BYTES) {
  console.error("check_size: the page's script is too large; load less, or load it later");
  process.exit(1);
}
