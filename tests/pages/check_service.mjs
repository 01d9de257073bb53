// Uses the pages of a running service as people do, in a real browser, and checks each page on the way: valid HTML,
// no violation that axe-core finds at three sizes, light and dark, nothing fetched from elsewhere, nothing against the
// page's own policy.
//
// Usage: node check_service.mjs [--pictures FOLDER] [--readme]
// With --pictures, screenshots of every page at every size, light and dark, are left there to be looked at. With
// --readme, the picture of the README is made anew. INKFATHOM names a program in place of a fresh build.

import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";

import { chromium } from "playwright-core";

import { faultsOfText, faultsOfWindow } from "./faults.mjs";

const REPOSITORY = fileURLToPath(new URL("../..", import.meta.url));
const PHOTOGRAPH = join(REPOSITORY, "testimages/photographs/fig-red-bowl.jpg");
const ANOTHER = join(REPOSITORY, "testimages/photographs/shore.png");
const CUT = join(REPOSITORY, "testimages/bad/cut-50-420.jpg");
const README_PICTURE = join(REPOSITORY, "crates/studio-pages/pictures/result.jpg");
const SIZES = { phone: [390, 844], tablet: [820, 1180], desktop: [1366, 900] };
/** Milliseconds that a busy machine may need to build an ink set's separation; nobody waits longer. */
const PATIENCE = 90_000;

const { values: options } = parseArgs({
  options: { pictures: { type: "string" }, readme: { type: "boolean", default: false } },
});

// ---- the service ------------------------------------------------------------------------------------------------

function program() {
  if (process.env.INKFATHOM) return process.env.INKFATHOM;
  const build = ["build", "--quiet", "--locked", "--package", "inkfathom"];
  execFileSync("cargo", build, { cwd: REPOSITORY, stdio: "inherit" });
  return join(REPOSITORY, "target/debug/inkfathom");
}

async function serve(folder) {
  const command = program();
  const configuration = ["--data-folder", folder, "--set", "studio_name=Farrowsay Print Studio"];
  const key = execFileSync(command, ["keys", "make", "--role", "studio", "--label", "browser test", ...configuration], {
    cwd: REPOSITORY, encoding: "utf8",
  }).match(/inkf_[\w-]+/)[0];
  const child = spawn(command, ["serve", "--listen", "127.0.0.1:0", ...configuration], {
    cwd: REPOSITORY, stdio: ["ignore", "inherit", "pipe"],
  });
  const address = await new Promise((resolve, reject) => {
    let said = "";
    child.stderr.setEncoding("utf8").on("data", (text) => {
      process.stderr.write(text);
      // A line may come in pieces.
      said += text;
      const ready = said.match(/^ready: (http:\S+)\n/m);
      if (ready) resolve(ready[1]);
    });
    child.on("exit", (code) => reject(new Error(`the service ended with ${code}`)));
  });
  return { address, key, stop: () => child.kill("SIGTERM") };
}

// ---- looking at pages -------------------------------------------------------------------------------------------

const faults = [];

/** A window in which nothing foreign is fetched and no policy broken unnoticed. */
async function open(browser, further = {}) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 900 }, ...further });
  context.setDefaultTimeout(PATIENCE);
  const page = await context.newPage();
  page.on("request", (request) => {
    if (!request.url().startsWith(service.address) && !/^(data|blob):/.test(request.url())) {
      faults.push(`fetches ${request.url()}`);
    }
  });
  page.on("pageerror", (error) => faults.push(`script: ${error.message}`));
  page.on("console", (message) => {
    if (/Content.Security.Policy/i.test(message.text())) faults.push(`policy: ${message.text()}`);
  });
  return page;
}

/** Looks at a page, which stays as it is, at every size, light and dark. */
async function look(page, name) {
  const source = await page.evaluate(() => fetch(location.href).then((answer) => answer.text()));
  for (const fault of await faultsOfText(source, name)) faults.push(`${name}: ${fault}`);
  const before = page.viewportSize();
  for (const [size, [width, height]] of Object.entries(SIZES)) {
    await page.setViewportSize({ width, height });
    for (const scheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme: scheme });
      for (const fault of await faultsOfWindow(page)) faults.push(`${name}, ${size}, ${scheme}: ${fault}`);
      if (options.pictures) {
        const path = join(options.pictures, `${name}-${size}-${scheme}.png`);
        await page.screenshot({ path, fullPage: true });
      }
    }
  }
  await page.emulateMedia({ colorScheme: "light" });
  await page.setViewportSize(before);
}

const millilitres = async (page) => parseFloat(await page.locator("[data-ml]").first().innerText());
const price = async (page) => parseFloat((await page.locator("[data-price]").first().innerText()).replace(/[^\d.]/g, ""));

/** Waits until the page's address asks this and the answer stands on it. */
const answered = (page, asked) => page.waitForFunction(
  (wanted) => new URLSearchParams(location.search).get("size") === wanted && !document.querySelector(".working"),
  asked,
);

const pricedSets = (page, count) => page.waitForFunction(
  (wanted) => document.querySelectorAll("[data-price]").length === wanted && !document.querySelector(".working"),
  count,
);

// ---- what people do ---------------------------------------------------------------------------------------------

async function uploadAndPlay(page) {
  await page.goto(service.address);
  await look(page, "upload");
  await page.locator("#file").setInputFiles(PHOTOGRAPH);
  await page.getByRole("button", { name: "Work out the price" }).click();
  await page.waitForURL("**/p/*");
  await page.getByLabel("Length of the side").fill("60");
  await answered(page, "60");
  const [ml, money] = [await millilitres(page), await price(page)];
  assert(ml > 0.5 && ml < 10, `${ml} ml for 60 cm`);
  assert(money > 0);

  await page.getByLabel("Length of the side").fill("30");
  await answered(page, "30");
  const quarter = await millilitres(page);
  assert(Math.abs(quarter / ml - 0.25) < 0.005, `half the side takes ${quarter} of ${ml} ml`);
  await page.getByLabel("Length of the side").fill("60");
  await answered(page, "60");

  await page.locator("input[name=ink_set][value=eleven]").check();
  await pricedSets(page, 2);
  assert.match(await page.locator("#answers").innerText(), /% (less|more) ink than eleven/);
  assert.match(await page.locator("#spoken").textContent(), /five: .*millilitres.*eleven: /);
}

async function moveTheSlider(page) {
  const slide = page.locator(".slide");
  await slide.waitFor({ state: "visible" });
  await page.waitForFunction(() => [...document.querySelectorAll(".slide img")].every((image) => image.naturalWidth > 100));
  const range = page.getByLabel("Where the two meet");
  await range.fill("20");
  const cut = () => slide.evaluate((element) => element.style.getPropertyValue("--cut"));
  assert.equal(await cut(), "20%");
  await range.press("ArrowRight");
  assert.equal(await cut(), "21%");
  const pictures = () => page.locator(".slide img").evaluateAll((images) => images.map((image) => image.src));
  const before = await pictures();
  await page.getByLabel("Left", { exact: true }).selectOption({ label: "the picture" });
  const after = await pictures();
  assert(after.some((address) => address.includes("/intended")) && after.join() !== before.join());
  await page.getByLabel("Left", { exact: true }).selectOption({ index: 1 });
  await range.fill("50");
  // Maps load when they come into view.
  for (const map of await page.locator(".proofs img").all()) await map.scrollIntoViewIfNeeded();
  await page.waitForFunction(() => [...document.images].every((image) => image.complete && image.naturalWidth > 0));
  await page.evaluate(() => window.scrollTo(0, 0));
}

async function printThePage(page) {
  await page.emulateMedia({ media: "print" });
  assert(await page.locator(".ask").isHidden(), "the form is printed");
  assert(await page.locator("[data-price]").first().isVisible(), "the price is not printed");
  if (options.pictures) {
    const path = join(options.pictures, "result-A4.pdf");
    await page.pdf({ path, format: "A4", printBackground: true });
  }
  await page.emulateMedia({ media: null });
}

async function openTheSharedLink(browser, page) {
  const link = await page.getByLabel("Link", { exact: true }).inputValue();
  assert(link.startsWith(`${service.address}/p/`), link);
  const other = await open(browser);
  await other.goto(link);
  await pricedSets(other, 2);
  assert.equal(await price(other), await price(page));
  assert.equal(await other.getByLabel("Length of the side").inputValue(), "60");
  await other.context().close();
}

async function uploadABadFile(page) {
  await page.goto(service.address);
  await page.locator("#file").setInputFiles(CUT);
  await page.getByRole("button", { name: "Work out the price" }).click();
  const state = page.locator(".uploads .state.failed");
  await state.waitFor();
  assert.match(await state.innerText(), /ends|cut|damaged|missing/);
  assert.match(await page.locator("#spoken").textContent(), /cut-50-420\.jpg/);
  const dropped = await page.evaluateHandle(() => {
    const transfer = new DataTransfer();
    transfer.items.add(new File(["no picture at all"], "notes.png"));
    return transfer;
  });
  await page.dispatchEvent(".drop", "drop", { dataTransfer: dropped });
  await page.locator(".uploads .state.failed").nth(1).waitFor();
  await look(page, "refused");
}

async function uploadSeveralAndCancelOne(page) {
  await page.goto(service.address);
  const network = await page.context().newCDPSession(page);
  const pace = (uploadThroughput) => network.send("Network.emulateNetworkConditions", {
    offline: false, latency: 0, downloadThroughput: -1, uploadThroughput,
  });
  await pace(60_000);
  await page.locator("#file").setInputFiles([PHOTOGRAPH, ANOTHER]);
  await page.getByLabel("Width of the print, if you know it").fill("60 cm");
  await page.getByRole("button", { name: "Work out the price" }).click();
  await page.getByRole("button", { name: "Cancel fig-red-bowl.jpg" }).click();
  await page.getByText("cancelled", { exact: true }).waitFor();
  await pace(-1);
  await page.getByRole("link", { name: "See the price of shore.png" }).click();
  await page.waitForURL("**/p/*");
  assert(await price(page) > 0, "a width that is given with the upload is priced at once");
}

/** Tab until something has the focus; no more often than a page has places for it. */
async function tabTo(page, selector) {
  for (let times = 0; times < 60; times += 1) {
    await page.keyboard.press("Tab");
    if (await page.evaluate((wanted) => document.activeElement.matches(wanted), selector)) return;
  }
  assert.fail(`the keyboard never reaches ${selector}`);
}

async function byKeyboardAlone(browser) {
  const page = await open(browser);
  // Long before the key, because a dialog that nobody waits for yet is lost.
  const chooser = page.waitForEvent("filechooser");
  await page.goto(service.address);
  await tabTo(page, "#file");
  await page.keyboard.press("Enter");
  await (await chooser).setFiles(PHOTOGRAPH);
  await tabTo(page, "button[type=submit]");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/p/*");
  await tabTo(page, "#size");
  await page.keyboard.press("Control+A");
  await page.keyboard.type("42");
  await answered(page, "42");
  await tabTo(page, "input[name=ink_set][value=nine]");
  await page.keyboard.press("Space");
  await pricedSets(page, 2);
  await page.locator(".slide").waitFor({ state: "visible" });
  await tabTo(page, ".slide input[type=range]");
  await page.keyboard.press("ArrowLeft");
  assert.equal(await page.getByLabel("Where the two meet").inputValue(), "49");
  await page.context().close();
}

async function withoutScript(browser) {
  const page = await open(browser, { javaScriptEnabled: false });
  await page.goto(service.address);
  await page.locator("#file").setInputFiles(PHOTOGRAPH);
  await page.getByRole("button", { name: "Work out the price" }).click();
  await page.locator("#size").waitFor();
  await page.locator("#size").fill("60");
  await page.locator("input[name=ink_set][value=eleven]").check();
  await page.getByRole("button", { name: "Work it out" }).click();
  await page.locator("[data-price]").nth(1).waitFor();
  assert(await price(page) > 0);
  assert(await page.locator(".proofs img").count() >= 5);
  await page.goto(service.address);
  await page.locator("#file").setInputFiles(CUT);
  await page.getByRole("button", { name: "Work out the price" }).click();
  await page.getByRole("heading", { name: "This picture can't be priced" }).waitFor();
  await page.context().close();
}

async function theStudiosView(browser) {
  const page = await open(browser);
  await page.goto(`${service.address}/studio/uploads`);
  await page.waitForURL("**/studio/sign-in");
  await page.getByLabel("Studio key").fill("inkf_wrong");
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("alert").waitFor();
  await page.goto(`${service.address}/studio/sign-in`);
  await look(page, "sign-in");
  await page.getByLabel("Studio key").fill(service.key);
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.waitForURL("**/studio");
  const cookie = (await page.context().cookies()).find(({ name }) => name === "inkfathom_session");
  assert(cookie.httpOnly && cookie.sameSite === "Strict", "the cookie is open to script or other sites");
  assert.match(await page.locator("main").innerText(), /expected, of 1 with a known size/);
  await look(page, "studio");
  await page.getByRole("link", { name: "Uploads", exact: true }).click();
  await page.getByLabel("Part of the name").fill("fig");
  await page.getByRole("button", { name: "Search" }).click();
  await look(page, "studio-uploads");
  await page.getByRole("link", { name: "fig-red-bowl.jpg" }).first().click();
  await page.getByLabel("Length of the side").fill("60");
  await answered(page, "60");
  await measure(page);
  await page.getByRole("link", { name: "Printer" }).click();
  await page.getByText("in the ledger").first().waitFor();
  await look(page, "studio-printer");
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.goto(`${service.address}/studio`);
  await page.waitForURL("**/studio/sign-in");
  await page.context().close();
}

async function measure(page) {
  await page.locator("#measured").waitFor();
  await page.getByRole("button", { name: "Keep this measurement" }).click();
  await page.getByText("Nothing was measured").waitFor();
  await page.getByLabel("All inks, ml").fill("3.4");
  await page.getByLabel("ink at the start of the job").check();
  await page.getByRole("button", { name: "Keep this measurement" }).click();
  await page.getByText(/Kept as job \d+/).waitFor();
  assert.match(await page.locator("#measured").innerText(), /total 3\.4/);
  await look(page, "studio-upload");
}

async function go(way, ...given) {
  await way(...given);
  console.log(`works: ${way.name}`);
}

// ---- one after the other ----------------------------------------------------------------------------------------

const folder = mkdtempSync(join(tmpdir(), "inkfathom-service-"));
const service = await serve(folder);
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
try {
  const page = await open(browser);
  for (const way of [uploadAndPlay, moveTheSlider, printThePage]) await go(way, page);
  if (options.readme) await page.screenshot({ path: README_PICTURE, type: "jpeg", quality: 80 });
  await look(page, "result");
  await go(openTheSharedLink, browser, page);
  for (const way of [uploadABadFile, uploadSeveralAndCancelOne]) await go(way, page);
  for (const way of [byKeyboardAlone, withoutScript, theStudiosView]) await go(way, browser);
} finally {
  await browser.close();
  service.stop();
  rmSync(folder, { recursive: true, force: true });
}
for (const fault of faults) console.error(fault);
console.log(faults.length === 0 ? "pages of the service: everything works, accessible, fetches nothing" : `${faults.length} faults`);
process.exit(faults.length > 0 ? 1 : 0);
