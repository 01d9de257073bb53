// Makes the pages quicker to use. Nothing is out of reach without it: forms send themselves, links lead, proofs
// stand side by side.

const say = (text) => { document.getElementById("spoken").textContent = text; };
const pause = (milliseconds) => new Promise((resolve) => { setTimeout(resolve, milliseconds); });

function element(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text !== undefined) made.textContent = text;
  return made;
}

// ---- uploads: progress, cancelling, several at once --------------------------------------------------------------

class Cancelled extends Error {}

/** The service's faults begin small and have no full stop. */
const sentence = (text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.?!]$/.test(text) ? "" : "."}`;

/** What the service said of a failure, in its own words; they are written for people. */
function reason(request) {
  try {
    return JSON.parse(request.responseText).detail;
  } catch {
    return request.status ? `the service answered ${request.status}` : "the service can't be reached; try again";
  }
}

function send(address, file, entry) {
  const request = new XMLHttpRequest();
  entry.cancel = () => request.abort();
  return new Promise((resolve, reject) => {
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) entry.sent(event.loaded / event.total);
    });
    request.addEventListener("abort", () => reject(new Cancelled()));
    request.addEventListener("error", () => reject(new Error(reason(request))));
    request.addEventListener("load", () => {
      if (request.status < 300) resolve(JSON.parse(request.responseText));
      else reject(new Error(reason(request)));
    });
    request.open("POST", address);
    request.setRequestHeader("Accept", "application/json, application/problem+json");
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("Idempotency-Key", crypto.randomUUID?.() ?? String(Math.random()));
    request.send(file);
  });
}

/** Asks until the picture is counted or refused: soon at first, then less often. */
async function counted(address, entry) {
  let cancelled = false;
  entry.cancel = () => { cancelled = true; };
  for (let wait = 150; ; wait = Math.min(wait * 1.3, 3000)) {
    const answer = await fetch(address, { headers: { Accept: "application/json" } });
    const upload = await answer.json();
    if (!answer.ok) throw new Error(upload.detail);
    if (upload.state === "counted") return upload;
    if (upload.problem) throw new Error(upload.problem.detail);
    await pause(wait);
    if (cancelled) throw new Cancelled();
  }
}

/** A line for one picture. */
class Entry {
  constructor(file) {
    this.name = file.name;
    this.line = element("li");
    this.state = element("span", "state", "waiting");
    this.bar = element("progress");
    this.bar.max = 1;
    this.bar.value = 0;
    this.bar.setAttribute("aria-label", `Upload of ${file.name}`);
    this.stop = element("button", "quiet", "Cancel");
    this.stop.type = "button";
    this.stop.setAttribute("aria-label", `Cancel ${file.name}`);
    this.stop.addEventListener("click", () => { this.wanted = false; this.cancel?.(); });
    this.wanted = true;
    this.line.append(element("span", "name", file.name), this.stop, this.bar, this.state);
  }
  sent(share) {
    this.bar.value = share;
    this.state.textContent = share < 1 ? `${Math.round(100 * share)} % sent` : "counting its colours";
    if (share === 1) this.bar.removeAttribute("value");
  }
  ended(text, className = "") {
    this.bar.remove();
    this.stop.remove();
    this.state.textContent = text;
    this.state.className = `state ${className}`;
    say(`${this.name}: ${text}`);
  }
  done(address, text) {
    this.ended(text);
    const link = element("a", "button quiet", "See the price");
    link.href = address;
    link.setAttribute("aria-label", `See the price of ${this.name}`);
    this.state.before(link);
  }
}

async function upload(file, entry, form) {
  if (!entry.wanted) throw new Cancelled();
  const most = Number(form.dataset.mostBytes);
  if (file.size > most) {
    throw new Error(`${(file.size / 1e6).toFixed(1)} MB is more than ${(most / 1e6).toFixed(0)} MB; choose a smaller file`);
  }
  const query = new URLSearchParams({ name: file.name });
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string" && value.trim()) query.append(name, value);
  }
  entry.sent(0);
  const received = await send(`${form.dataset.uploads}?${query}`, file, entry);
  entry.sent(1);
  // A visitor knows the picture by the token of its link, the studio by its name in the interface.
  const known = received[form.dataset.knownBy];
  await counted(`${form.dataset.asks}/${known}`, entry);
  return `${form.dataset.leadsTo}/${known}`;
}

async function uploadAll(files, form, list) {
  const entries = [...files].map((file) => new Entry(file));
  list.append(...entries.map((entry) => entry.line));
  list.hidden = false;
  say(files.length === 1 ? `Sending ${files[0].name}` : `Sending ${files.length} pictures`);
  let last = null;
  for (const [place, file] of [...files].entries()) {
    const entry = entries[place];
    try {
      last = await upload(file, entry, form);
      entry.done(last, "counted");
    } catch (fault) {
      last = null;
      if (fault instanceof Cancelled) entry.ended("cancelled");
      else entry.ended(sentence(fault.message), "failed");
    }
  }
  if (files.length === 1 && last) location.assign(last);
}

function uploads(form) {
  const input = form.querySelector("input[type=file]");
  const drop = form.querySelector(".drop");
  const list = form.querySelector(".uploads");
  // A plain form sends one file; script sends each by itself.
  input.multiple = true;
  const begin = (files) => uploadAll(files, form, list);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (input.files.length === 0) return;
    begin([...input.files]).then(() => { input.value = ""; });
  });
  for (const kind of ["dragenter", "dragover"]) {
    drop.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add("over"); });
  }
  for (const kind of ["dragleave", "drop"]) {
    drop.addEventListener(kind, () => drop.classList.remove("over"));
  }
  drop.addEventListener("drop", (event) => {
    event.preventDefault();
    if (event.dataTransfer.files.length > 0) begin([...event.dataTransfer.files]);
  });
}

// ---- what if: the page's own answers, fetched as the form changes ------------------------------------------------

/** Says above the answers why there are no new ones. */
function complain(text) {
  const notice = element("div", "advice complaint");
  notice.append(element("p", "", text));
  document.querySelector(".complaint")?.remove();
  document.getElementById("answers").prepend(notice);
  say(text);
}

const REPLACED = ["answers", "details", "studio-part"];

function live(form) {
  let running = null;
  let timer = null;
  const ask = async () => {
    running?.abort();
    running = new AbortController();
    const query = new URLSearchParams([...new FormData(form)].filter(([, value]) => value !== ""));
    const address = `${form.getAttribute("action")}?${query}`;
    const places = REPLACED.map((id) => document.getElementById(id)).filter(Boolean);
    for (const place of places) place.classList.add("working");
    try {
      const answer = await fetch(address, { headers: { Accept: "text/html" }, signal: running.signal });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!page.getElementById("answers")) throw new Error(page.querySelector("main")?.textContent ?? "no answer");
      const before = chosenProofs();
      for (const place of places) place.replaceWith(page.getElementById(place.id));
      history.replaceState(null, "", address);
      enhanceResult(before);
      say(document.getElementById("answers").dataset.spoken);
    } catch (fault) {
      if (fault.name === "AbortError") return;
      for (const place of places) place.classList.remove("working");
      complain(sentence(`that could not be worked out: ${fault.message}`));
    }
  };
  form.addEventListener("submit", (event) => { event.preventDefault(); ask(); });
  form.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(ask, 350); });
  form.querySelector(".by-hand").hidden = true;
}

// ---- proofs: a slider over two of them ---------------------------------------------------------------------------

/** What the slider shows now, to be shown again after an answer. */
function chosenProofs() {
  const slide = document.querySelector(".slide");
  return slide && {
    cut: slide.querySelector("input").value,
    proofs: [...slide.querySelectorAll("select")].map((select) => select.value),
    options: slide.querySelector("select").options.length,
  };
}

function slider(slide, before) {
  const [left, right] = slide.querySelectorAll("select");
  const input = slide.querySelector("input");
  const pair = slide.querySelector(".pair");
  const over = element("div", "over");
  const [upper, lower] = [new Image(), new Image()];
  over.append(upper);
  pair.replaceChildren(lower, over);
  const show = () => {
    for (const [image, select] of [[upper, left], [lower, right]]) {
      const proof = document.getElementById(select.value);
      if (image.src !== proof.src) image.src = proof.src;
      image.alt = select === left ? `Left: ${left.selectedOptions[0].text}` : `Right: ${right.selectedOptions[0].text}`;
      [image.width, image.height] = [proof.width, proof.height];
    }
  };
  const move = () => {
    slide.style.setProperty("--cut", `${input.value}%`);
    input.setAttribute("aria-valuetext", `${input.value} % ${left.selectedOptions[0].text}`);
  };
  const drag = (event) => {
    if (event.buttons !== 1) return;
    const { left: edge, width } = pair.getBoundingClientRect();
    input.value = Math.round(100 * (event.clientX - edge) / width);
    move();
  };
  pair.addEventListener("pointerdown", drag);
  pair.addEventListener("pointermove", drag);
  for (const select of [left, right]) select.addEventListener("change", () => { show(); move(); });
  input.addEventListener("input", move);
  for (const image of [upper, lower]) image.draggable = false;
  if (before) input.value = before.cut;
  // Another number of sets begins with the usual two.
  if (before?.options === left.options.length) [left.value, right.value] = before.proofs;
  show();
  move();
  slide.hidden = false;
}

function enhanceResult(before) {
  const slide = document.querySelector(".slide");
  if (slide) slider(slide, before);
  const link = document.getElementById("link");
  if (link) link.value = new URL(link.value, location.href).href;
  for (const button of document.querySelectorAll("[data-copies]")) {
    button.hidden = false;
    button.addEventListener("click", async () => {
      link.select();
      await navigator.clipboard?.writeText(link.value).catch(() => document.execCommand("copy"));
      say("The link is copied");
    });
  }
  for (const button of document.querySelectorAll("[data-prints]")) {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  }
}

const uploading = document.querySelector("form[data-uploads]");
if (uploading) uploads(uploading);
const asking = document.querySelector("form[data-live]");
if (asking) live(asking);
enhanceResult();
