// Checks pages that inkfathom has written: valid HTML, no violation that axe-core finds, nothing
// fetched, nothing wider than a phone, readable and whole without script.
//
// Usage: node check_pages.mjs [--pictures FOLDER] [PAGE …]
// Without a page, the demonstration of the README is made and checked, and a page on which no file
// gave an answer.
// With --pictures, screenshots at phone and desktop size and PDFs for A4 and Letter are left there,
// to be looked at.

import { spawnSync } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

import { chromium } from "playwright-core";

import { faultsOfText, faultsOfWindow } from "./faults.mjs";

const SIZES = { phone: { width: 390, height: 844 }, desktop: { width: 1366, height: 900 } };
const MOST_BYTES = 10_000_000;

async function faultsOfSource(path) {
  const source = await readFile(path, "utf8");
  const faults = await faultsOfText(source, path);
  if (source.length > MOST_BYTES) faults.push(`${source.length} bytes, more than ${MOST_BYTES}`);
  return faults;
}

async function faultsAtSize(browser, path, [name, viewport], script, pictures) {
  // The page's own policy forbids foreign script, so the checker steps around it.
  const context = await browser.newContext({ viewport, javaScriptEnabled: script, bypassCSP: true });
  const page = await context.newPage();
  const faults = [];
  page.on("request", (request) => {
    if (!/^(file|data|blob):/.test(request.url())) faults.push(`fetches ${request.url()}`);
  });
  page.on("pageerror", (error) => faults.push(`script: ${error.message}`));
  await page.goto(pathToFileURL(resolve(path)).href);
  if (script) {
    faults.push(...await faultsOfWindow(page));
    if (pictures) await leavePictures(page, join(pictures, basename(path)), name);
  }
  await context.close();
  return faults.map((fault) => `${name}: ${fault}`);
}

async function leavePictures(page, stem, name) {
  await page.screenshot({ path: `${stem}-${name}.png`, fullPage: true });
  if (name !== "desktop") return;
  for (const format of ["A4", "Letter"]) {
    await page.pdf({ path: `${stem}-${format}.pdf`, format, printBackground: true });
  }
}

async function textOf(browser, path, script) {
  const context = await browser.newContext({ javaScriptEnabled: script });
  const page = await context.newPage();
  await page.goto(pathToFileURL(resolve(path)).href);
  const text = await page.locator("main").innerText();
  const figures = await page.locator("main figure").count();
  await context.close();
  return { text, figures };
}

async function faultsWithoutScript(browser, path) {
  const [plain, scripted] = [await textOf(browser, path, false), await textOf(browser, path, true)];
  const lines = new Set(scripted.text.split("\n").map((line) => line.trim()));
  // The slider is the one thing that script adds.
  const missing = plain.text.split("\n").filter((line) => !lines.has(line.trim()));
  const faults = missing.map((line) => `script hides "${line}"`);
  if (plain.figures !== scripted.figures) faults.push("script changes the number of figures");
  if (plain.text.length < 500) faults.push("hardly any text without script");
  return faults;
}

function compare(files, page) {
  const program = ["run", "--quiet", "--locked", "--package", "inkfathom", "--"];
  const sets = ["five", "nine", "eleven"].flatMap((set) => ["--ink-set", set]);
  const form = ["--width", "60cm", "--format", "html", "--output", page];
  const letter = ["--sender", "Farrowsay Print Studio", "--note", "The studio and its ink sets are invented."];
  const repository = fileURLToPath(new URL("../..", import.meta.url));
  const run = spawnSync("cargo", [...program, "compare", ...files, ...sets, ...form, ...letter], { cwd: repository });
  if (![0, 3, 4].includes(run.status)) throw new Error(run.stderr.toString());
  return page;
}

function demonstration() {
  const folder = mkdtempSync(join(tmpdir(), "inkfathom-pages-"));
  const photographs = ["fig-red-bowl.jpg", "blossom-high-key.jpg", "shore.png", "shore-gray.png"];
  const files = photographs.map((name) => `testimages/photographs/${name}`);
  return [
    compare([...files, "testimages/bad/empty.png"], join(folder, "demonstration.html")),
    compare(["testimages/bad/empty.png"], join(folder, "nothing.html")),
  ];
}

const words = process.argv.slice(2);
const pictures = words[0] === "--pictures" ? words.splice(0, 2)[1] : null;
if (words.length === 0) words.push(...demonstration());
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
let failed = false;
for (const path of words) {
  const faults = await faultsOfSource(path);
  for (const size of Object.entries(SIZES)) {
    faults.push(...await faultsAtSize(browser, path, size, true, pictures));
  }
  faults.push(...await faultsWithoutScript(browser, path));
  for (const fault of faults) console.error(`${path}: ${fault}`);
  console.log(`${path}: ${faults.length === 0 ? "valid, accessible, fetches nothing" : `${faults.length} faults`}`);
  failed ||= faults.length > 0;
}
await browser.close();
process.exit(failed ? 1 : 0);
