// What any page must keep: valid HTML, no violation that axe-core finds, nothing wider than the window.

import { readFile } from "node:fs/promises";

import { HtmlValidate } from "html-validate";

const AXE = await readFile(new URL("node_modules/axe-core/axe.min.js", import.meta.url), "utf8");

const validator = new HtmlValidate({ extends: ["html-validate:standard", "html-validate:a11y"] });

/** What is wrong with the source of a page. */
export async function faultsOfText(source, name) {
  const report = await validator.validateString(source, name);
  const messages = report.results.flatMap((result) => result.messages);
  return messages.map(({ line, column, ruleId, message }) =>
    `line ${line}, column ${column}: ${message} (${ruleId})`);
}

/** What is wrong with a page as it stands in a window. */
export async function faultsOfWindow(page) {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(() => window.axe.run());
  const faults = violations.map(({ id, help, nodes }) =>
    `axe ${id}: ${help}, ${nodes.length} times, first ${nodes[0].html.slice(0, 200)}`);
  const width = await page.evaluate(() => document.documentElement.scrollWidth);
  const { width: most } = page.viewportSize();
  if (width > most) faults.push(`${width} pixels wide in a window of ${most}`);
  return faults;
}
