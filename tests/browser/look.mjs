/* What a person would see at a glance and a program has to be told: words that are cut off, a page
 * that is wider than the window; and what axe-core finds. */
import { readFileSync } from "node:fs";

import { axeFile } from "./browser.mjs";

const axe = readFileSync(axeFile, "utf8");

/* One line for each thing that sticks out or is cut off. */
export async function overflowing(page) {
  return page.evaluate(() => {
    const found = [];
    const wide = document.documentElement.clientWidth;
    if (document.scrollingElement.scrollWidth > wide + 1) {
      found.push(`the page is ${document.scrollingElement.scrollWidth} wide in a window of ${wide}`);
    }
    const shown = (element) => element.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true });
    const name = (element) => `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""} "${element.textContent.trim().slice(0, 40)}"`;
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const element = node.parentElement;
      if (element === null || node.textContent.trim() === "" || !shown(element) ||
          element.closest(".only-read, .skip, script, style, option, .scrolls") !== null) {
        continue;
      }
      const range = document.createRange();
      range.selectNodeContents(node);
      const box = range.getBoundingClientRect();
      if (box.width === 0) {
        continue;
      }
      if (box.right > wide + 1 || box.left < -1) {
        found.push(`sticks out of the window: ${name(element)}`);
      }
      for (let around = element; around !== null && around !== document.body; around = around.parentElement) {
        const style = getComputedStyle(around);
        const frame = around.getBoundingClientRect();
        const hides = (value) => value === "hidden" || value === "clip";
        if ((hides(style.overflowX) && (box.right > frame.right + 1 || box.left < frame.left - 1)) ||
            (hides(style.overflowY) && (box.bottom > frame.bottom + 3 || box.top < frame.top - 3))) {
          found.push(`cut off: ${name(element)}`);
          break;
        }
      }
    }
    return [...new Set(found)];
  });
}

/* What axe-core finds, one line a rule and place. */
export async function inaccessible(page) {
  await page.evaluate(axe);
  const results = await page.evaluate(() =>
    globalThis.axe.run(document, {
      runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] },
    }));
  return results.violations.flatMap((rule) => rule.nodes.map((node) => `${rule.id}: ${rule.help}: ${node.target.join(" ")} ${node.failureSummary ?? ""}`.replace(/\s+/g, " ")));
}
