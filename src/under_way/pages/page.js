// Makes the pages quicker to use; they work without it. On the page of a check photos go up as soon as they
// are taken, a tap is sent without leaving the page, and corners are dragged. What changed is always taken
// over from the server's own markup, so that nothing is written twice and nothing can look different.
"use strict";

// What reads: a server, or the phone itself, whose own script (`phone.js`) is there before this one.
const way = window.alone ?? { open: fetched, post, send: upload, sending: (part) => `sending ${Math.floor(100 * part)} %` };

const check = document.querySelector("#check");
const html = document.documentElement;

function element(name, className, text = "") {
  const made = document.createElement(name);
  made.className = className;
  made.textContent = text;
  return made;
}

const clamp = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));
const pause = (seconds) => new Promise((resolve) => setTimeout(resolve, 1000 * seconds));
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// ---- What is said at the lower edge -------------------------------------------------------------------

// A live region has to be there before it is filled, or nobody hears it.
const bar = element("div", "bar");
const said = element("p", "");
const toAnswer = element("a", "button", "To the answer");
let message = "";

function putBar() {
  said.setAttribute("role", "status");
  toAnswer.href = "#answer";
  bar.append(said, toAnswer);
  document.querySelector("main").append(bar);
}

// What was last done; photos on their way go before it.
function say(text) {
  message = text;
  paintBar();
}

function paintBar() {
  const lines = jobs.filter((job) => job.request).map((job) => `Jaw ${job.jaw}: ${roughly(job)}.`);
  const unsent = jobs.filter((job) => isUnsent(job) && !job.request);
  if (unsent.length > 0) lines.push(`Not sent yet: ${unsent.map((job) => `jaw ${job.jaw}`).join(", ")}. Keep this page open.`);
  const text = lines.length > 0 ? lines.join(" ") : message;
  // The same text again would be read out again.
  if (said.textContent !== text) said.textContent = text;
  const { action, asks } = check.querySelector("#answer").dataset;
  toAnswer.textContent = asks ? "To your call" : action === "settle" ? "To the question" : "To the answer";
  toAnswer.hidden = !(action || asks) || lines.length > 0 || text === "";
  bar.classList.toggle("empty", text === "");
}

// ---- Photos on their way ------------------------------------------------------------------------------

// Two keep the network busy while the next photo is taken; more would each come later.
const MOST_SENDING = 2;
// A browser opens six connections to one server: some are left for the page itself.
const MOST_OPEN = 4;
// After so long without a sign the network is taken for lost. A reading may stand in a queue.
const SILENT_S = { sending: 20, reading: 120 };
const LONGEST_WAIT_S = 15;

// Not shown as read yet, in the order in which they were taken. States: kept → sending → reading → read → gone;
// lost and busy go on by themselves, stuck waits for a tap, refused is no photo.
const jobs = [];

const isUnsent = (job) => !["reading", "read", "refused"].includes(job.state);

function words(job) {
  switch (job.state) {
    case "kept": return "waits to be sent";
    case "sending": return way.sending(job.part);
    case "reading": return "reading …";
    case "read": return "read";
    case "lost": return "not sent, no network; it is kept here and goes by itself";
    case "busy": return "not sent, the server is busy; it goes by itself";
    default: return job.text;
  }
}

// In steps, for the ear.
const roughly = (job) => (job.state === "sending" ? way.sending(Math.floor(4 * job.part) / 4) : "reading");

// The photo is copied at once: a phone may take back a file that its camera lent.
async function take(input) {
  const files = [...input.files];
  const given = input.form.elements.jaw;
  const jaws = given ? [Number(given.value)] : freeJaws(files.length);
  const another = Boolean(input.form.elements.another);
  await Promise.all(files.map((file, i) => add(file, jaws[i], another)));
  // So that the same photo can be chosen again.
  input.value = "";
}

function freeJaws(count) {
  const taken = (jaw) => {
    const place = document.getElementById(`jaw-${jaw}`);
    return (place && place.dataset.state !== "empty") || jobs.some((job) => job.jaw === jaw);
  };
  const free = [];
  for (let jaw = 1; free.length < count; jaw += 1) if (!taken(jaw)) free.push(jaw);
  return free;
}

// Another photo of a jaw stands beside what is on its way there; any other one replaces that.
async function add(file, jaw, another) {
  jobs.filter((job) => job.jaw === jaw && (!another || job.state === "refused")).forEach(drop);
  const job = { jaw, another, name: file.name, state: "kept", part: 0, tries: 0, box: element("div", "sending") };
  jobs.push(job);
  nextJaw(jaw);
  job.box.setAttribute("role", "group");
  job.box.setAttribute("aria-label", `New photo of jaw ${jaw}`);
  paint();
  try {
    job.photo = new Blob([await file.arrayBuffer()], { type: file.type });
    job.box.append(preview(job));
  } catch {
    refuse(job, "The phone did not hand the photo over; take it again.");
  }
  next();
}

// The button for the next jaw comes under the thumb.
function nextJaw(after) {
  const empty = [...check.querySelectorAll("li.jaw[data-state=empty]")];
  const next = empty.find((jaw) => Number(jaw.dataset.jaw) > after && !jaw.matches(".under-way"));
  // At once: a page that glides is no place to tap on.
  if (next) requestAnimationFrame(() => next.scrollIntoView({ block: "center" }));
}

function preview(job) {
  const image = element("img", "");
  job.address = URL.createObjectURL(job.photo);
  image.alt = "";
  // Not every browser draws every kind of photo that can be read.
  image.onerror = () => image.remove();
  image.src = job.address;
  return image;
}

function drop(job) {
  jobs.splice(jobs.indexOf(job), 1);
  job.state = "gone";
  job.request?.abort();
  job.box.remove();
  if (job.address) URL.revokeObjectURL(job.address);
}

function next() {
  const open = jobs.filter((job) => job.request).length;
  const sending = jobs.filter((job) => job.state === "sending").length;
  const room = Math.min(MOST_SENDING - sending, MOST_OPEN - open);
  jobs.filter((job) => job.state === "kept" && job.photo).slice(0, Math.max(0, room)).forEach(send);
  paint();
}

function send(job) {
  const step = (state, part) => {
    Object.assign(job, { state, part, heard: Date.now() });
    state === "reading" ? next() : paint();
  };
  job.request = way.send(job, step, (answer) => answered(job, answer), () => lose(job));
  step("sending", 0);
}

function upload(job, step, answered, lost) {
  const request = new XMLHttpRequest();
  request.open("POST", `/api/checks/${check.dataset.id}/photos?jaw=${job.jaw}&another=${job.another}&name=${encodeURIComponent(job.name)}`);
  request.upload.onprogress = (event) => step("sending", event.loaded / Math.max(1, event.total));
  request.upload.onload = () => step("reading", 1);
  request.onload = () => answered({ status: request.status, text: request.responseText, again: request.getResponseHeader("Retry-After") });
  request.onerror = request.onabort = lost;
  request.send(job.photo);
  return request;
}

// Sent again it still counts once: the server knows a photo by its content.
function lose(job) {
  job.request = null;
  if (job.state === "gone") return;
  job.state = "lost";
  later(job, Math.min(LONGEST_WAIT_S, 2 ** job.tries));
  job.tries += 1;
}

function later(job, seconds) {
  job.again = Date.now() + 1000 * seconds;
  next();
}

async function answered(job, { status, text, again }) {
  job.request = null;
  if (job.state === "gone") return;
  if (status === 503 || status === 429) {
    job.state = "busy";
    later(job, Number(again) || 5);
  } else if (status === 400 || status === 408) {
    lose(job); // It broke off on its way.
  } else if (status < 300) {
    // It leaves when the page shows the reading, which the network may delay.
    Object.assign(job, { state: "read", since: Date.now() });
    next();
    await refresh();
  } else {
    (status === 413 || status === 422 ? refuse : stick)(job, sentence(text));
    await refresh();
    next();
  }
}

// Those that the page shows now; whether there were any.
function dropRead() {
  const shown = jobs.filter((job) => job.state === "read" && job.since <= asked);
  shown.forEach(drop);
  // With an end in doubt a pattern may mean the opposite, so it is not said in passing.
  const isOpen = check.querySelector("#answer").dataset.action === "settle";
  for (const job of shown) say(isOpen ? `Jaw ${job.jaw}: read` : whatIsSeen(document.getElementById(`jaw-${job.jaw}`)));
  return shown.length > 0;
}

// It will never be read: what the server says stands at the jaw until another photo is taken.
function refuse(job, text) {
  Object.assign(job, { state: "refused", text, photo: null });
}

function stick(job, text) {
  Object.assign(job, { state: "stuck", text });
}

function sentence(text) {
  try {
    const told = JSON.parse(text).error;
    return `${capital(told)}${told.endsWith(".") ? "" : "."}`;
  } catch {
    return "The server did not say what went wrong; do it again.";
  }
}

function sendNow(job) {
  Object.assign(job, { state: "kept", tries: 0 });
  next();
}

function paint() {
  for (const job of jobs) {
    const place = document.getElementById(`jaw-${job.jaw}`)?.querySelector("h2");
    const home = place ?? check.querySelector("ol.jaws");
    // Where it is already it stays: moved, it would lose the focus on its button.
    if (job.box.parentNode !== home.parentNode) home.after(job.box);
    paintJob(job, place ? "" : `Jaw ${job.jaw}: `);
  }
  for (const jaw of check.querySelectorAll("li.jaw")) {
    const here = jobs.filter((job) => `jaw-${job.jaw}` === jaw.id && job.state !== "refused");
    jaw.classList.toggle("under-way", here.length > 0);
    jaw.classList.toggle("waits", here.some((job) => job.state === "lost" || job.state === "stuck"));
  }
  paintOlder();
  paintBar();
}

function paintJob(job, before) {
  job.line ??= job.box.appendChild(element("p", "state"));
  job.line.classList.toggle("fault", job.state === "refused" || job.state === "stuck");
  job.line.textContent = before + capital(words(job));
  if (job.state === "refused") {
    job.box.querySelector("img")?.remove();
    forgetNotice(job.text);
  }
  const tap = job.state === "lost" || job.state === "stuck";
  if (tap && !job.button) {
    job.button = job.box.appendChild(element("button", "", "Send it now"));
    job.button.type = "button";
    job.button.onclick = () => sendNow(job);
  }
  if (job.button) job.button.hidden = !tap;
}

// Said at the jaw it need not stand above as well.
function forgetNotice(text) {
  for (const notice of check.querySelectorAll("#notices .fault")) {
    if (notice.textContent.toLowerCase().endsWith(text.toLowerCase())) notice.remove();
  }
}

// Nobody may take the answer before a change for the one after it.
function paintOlder() {
  const answer = check.querySelector("#answer");
  const open = jobs.some((job) => job.state !== "refused") || check.querySelector("[aria-busy=true]");
  const note = answer.querySelector(".older");
  if (!open || !answer.dataset.action) note?.remove();
  else if (!note) answer.prepend(element("p", "older warning", "This is the answer before the change that is on its way. Wait."));
}

// ---- Time goes by --------------------------------------------------------------------------------------

// What stands here may be old: it is asked for again.
let stale = false;
let ended = false;
let asked = 0;
const ASK_S = 2;
const OLD = "No network: what stands here may be old.";

function tick() {
  const now = Date.now();
  for (const job of jobs) {
    if (job.request && now - job.heard > 1000 * SILENT_S[job.state]) job.request.abort();
    if (["lost", "busy"].includes(job.state) && now >= job.again) job.state = "kept";
  }
  next();
  // A photo of this page says by itself when it is read.
  const other = (jaw) => !jobs.some((job) => job.request && `jaw-${job.jaw}` === jaw.id);
  const waiting = [...check.querySelectorAll("li.jaw[data-state=waiting]")].some(other);
  if ((stale || waiting) && !ended && now - asked > 1000 * ASK_S) refresh();
}

function online() {
  for (const job of jobs) if (job.state === "lost") job.state = "kept";
  next();
  refresh();
}

function leaving(event) {
  if (!jobs.some(isUnsent)) return;
  event.preventDefault();
  event.returnValue = ""; // Older browsers ask for this alone.
}

// ---- The page anew -------------------------------------------------------------------------------------

const PARTS = ["settings", "notices", "answer", "filed"];
// What the server wrote last for each part.
const served = new WeakMap();
let refreshing = null;
let again = false;

// One request at a time: an older page never comes after a newer one.
function refresh() {
  again = true;
  refreshing ??= reload().finally(() => { refreshing = null; });
  return refreshing;
}

async function reload() {
  while (again) {
    again = false;
    asked = Date.now();
    try {
      const { status, page } = await way.open();
      stale = status === 429 || status >= 500;
      ended = status >= 400 && !stale;
      if (status < 400) adopt(page);
      else say(faultOf(page));
    } catch {
      stale = true;
      say(OLD);
    }
  }
}

async function fetched() {
  const answer = await fetch(location.pathname, { signal: AbortSignal.timeout?.(30000) });
  return { status: answer.status, page: parsed(await answer.text()) };
}

const parsed = (text) => new DOMParser().parseFromString(text, "text/html");

function faultOf(page) {
  return page.querySelector(".fault")?.textContent ?? "The server did not say what went wrong; do it again.";
}

function adopt(page) {
  const place = remember();
  if (message === OLD) message = "";
  for (const id of PARTS) update(document.getElementById(id), page.getElementById(id));
  const list = check.querySelector("ol.jaws");
  const jaws = [...page.querySelectorAll("li.jaw")];
  for (const jaw of list.querySelectorAll("li.jaw")) if (!page.getElementById(jaw.id)) jaw.remove();
  for (const jaw of jaws) {
    const old = document.getElementById(jaw.id);
    if (old) update(old, jaw);
    else wire(list.appendChild(jaw), jaw.outerHTML);
  }
  check.querySelector("h1").replaceChildren(...page.querySelector("h1").childNodes);
  document.title = page.title;
  const news = dropRead();
  paint();
  restore(place);
  if (news) showAnswer();
}

// What did not change stays as it is: the camera may be open over it.
function update(old, fresh) {
  const text = fresh.outerHTML;
  if (served.get(old) === text) return;
  const height = old.querySelector("figure")?.offsetHeight;
  for (const { name } of [...old.attributes]) if (name.startsWith("data-")) old.removeAttribute(name);
  for (const { name, value } of fresh.attributes) if (name.startsWith("data-")) old.setAttribute(name, value);
  old.replaceChildren(...fresh.childNodes);
  holdPlace(old.querySelector("figure"), height);
  wire(old, text);
}

// The page does not jump while the next picture comes.
function holdPlace(figure, height) {
  if (!figure || !height) return;
  figure.style.minHeight = `${height}px`;
  figure.querySelector("img").addEventListener("load", () => { figure.style.minHeight = ""; });
}

// At the input itself: it may leave the page while the camera is open, and the photo still counts.
function wire(part, text) {
  served.set(part, text);
  for (const input of part.querySelectorAll("input[type=file]")) {
    input.addEventListener("change", () => input.files.length > 0 && take(input));
  }
}

// What eye and finger are on, to be found again in the new markup.
function remember() {
  const [focus, eye] = [document.activeElement, document.elementFromPoint(innerWidth / 2, innerHeight / 2)];
  const part = eye?.closest("#check [id]");
  return {
    focus: check.contains(focus) ? wayTo(focus) : null,
    open: [...check.querySelectorAll("details[open]")].map(wayTo),
    fields: [...check.querySelectorAll("form[data-touched] :is(select, input[type=text])")]
      // Corners belong to one reading of one photo.
      .filter((field) => field.name !== "corners")
      .map((field) => [wayTo(field), field.value]),
    part,
    top: part?.getBoundingClientRect().top,
  };
}

function wayTo(node) {
  const home = node.closest("[id]");
  const form = node.closest("form[class]");
  const inside = form && form !== node && home.contains(form) && home !== form ? `form.${form.classList[0]} ` : "";
  const kind = `${inside}${node.localName}${node.name ? `[name="${node.name}"]` : ""}`;
  return { home: home.id, kind, index: [...home.querySelectorAll(kind)].indexOf(node) };
}

function follow({ home, kind, index }) {
  const place = document.getElementById(home);
  return index < 0 ? place : place?.querySelectorAll(kind)[index];
}

function restore({ focus, open, fields, part, top }) {
  for (const details of open.map(follow)) {
    if (!details || details.open) continue;
    details.open = true;
    unfolded(details);
  }
  for (const [way, value] of fields) {
    const field = follow(way);
    if (!field) continue;
    field.value = value;
    field.form.dataset.touched = "yes";
  }
  if (focus && !check.contains(document.activeElement)) putFocus(focus);
  if (part?.isConnected) scrollBy(0, part.getBoundingClientRect().top - top);
}

function putFocus(way) {
  const place = follow(way) ?? document.getElementById(way.home) ?? check;
  if (!place.matches("a, button, input, select, summary, [tabindex]")) place.tabIndex = -1;
  place.focus({ preventScroll: true });
}

// When the last jaw was read, the answer is what comes next.
let whole = false;

function isWhole() {
  const jaws = [...check.querySelectorAll("li.jaw")];
  const answer = check.querySelector("#answer").dataset;
  const read = jaws.every((jaw) => jaw.dataset.state === "read");
  return read && jobs.length === 0 && Boolean(answer.action || answer.asks);
}

function showAnswer() {
  const before = whole;
  whole = isWhole();
  if (whole && !before) check.querySelector("#answer").scrollIntoView();
}

// In few words: the jaw's own text has the rest.
function whatIsSeen(part) {
  const seen = part?.querySelector(".pattern strong") ?? part?.querySelector(".pattern, .good");
  if (!seen) return "";
  const text = seen.textContent;
  return part.matches("li.jaw") ? `${part.querySelector("h2").textContent}: ${text.split(":")[0]}` : text;
}

// ---- Taps ----------------------------------------------------------------------------------------------

// One change of a part at a time: a second tap of a glove does not swap the ends back.
async function change(form) {
  const part = form.closest("li.jaw, section");
  if (part.getAttribute("aria-busy") === "true") return;
  const fields = new URLSearchParams(new FormData(form));
  part.querySelectorAll(".own").forEach((fault) => fault.remove());
  part.setAttribute("aria-busy", "true");
  say(/\/(file|call)$/.test(form.action) ? "Filing …" : `${part.matches("li.jaw") ? `Jaw ${part.dataset.jaw}: ` : ""}reading again …`);
  paintOlder();
  const fault = await way.post(form.action, fields);
  if (!fault) delete form.dataset.touched;
  if (!fault) foldSettings(form.closest("#settings details"));
  await refresh();
  part.removeAttribute("aria-busy");
  // What was waited for begins at its top.
  if (!fault && form.matches(".call, .settle")) check.querySelector("#answer").scrollIntoView();
  // Not on the next question's button: a key that is still down must not answer it.
  if (!fault && form.matches(".settle")) putFocus({ home: "answer", kind: "h2", index: 0 });
  if (fault) tellAt(form.isConnected ? form : part, fault);
  if (fault) say(stale ? OLD : "");
  else say(whatIsSeen(part) || part.querySelector(".headline")?.textContent || "Done.");
  paintOlder();
}

// They are many, and the answer stands below them.
function foldSettings(fold) {
  if (!fold) return;
  fold.open = false;
  fold.querySelector("summary").focus({ preventScroll: true });
}

// What went wrong, or null. A change is not sent again by itself when the network breaks: swapped twice is
// not swapped.
async function post(address, fields) {
  for (;;) {
    let answer;
    try {
      answer = await fetch(address, { method: "POST", body: fields, redirect: "manual", signal: AbortSignal.timeout?.(180000) });
    } catch {
      stale = true;
      return "No network: it may be done or not. Wait until the page is up to date, look, and then do it again.";
    }
    // Every change that was done leads back to a page.
    if (answer.type === "opaqueredirect") return null;
    if (answer.status !== 503 && answer.status !== 429) {
      return faultOf(parsed(await answer.text()));
    }
    say("The server is busy; it is done in a moment.");
    await pause(Number(answer.headers.get("Retry-After")) || 5);
  }
}

function tellAt(form, text) {
  const fault = element("p", "fault own", text);
  fault.setAttribute("role", "alert");
  form.append(fault);
}

function submitted(event) {
  const form = event.target;
  // Not `form.method`: a form may have a field of that name.
  if (form.getAttribute("method") !== "post") return;
  if (check?.contains(form) && !form.closest("#discard")) {
    event.preventDefault();
    if (!form.matches(".take")) change(form);
    return;
  }
  // A second tap of a glove does not begin a second check.
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = "yes";
  setTimeout(() => { delete form.dataset.sent; }, 5000);
}

// ---- The face's corners --------------------------------------------------------------------------------

const CORNERS = ["Tip left", "Tip right", "Base right", "Base left"];
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
// CSS pixels: the magnifier, its distance from the finger, and how much it enlarges.
const LOUPE_PX = 112;
const OFF_FINGER_PX = 56;
const ENLARGED = 3;
const TURNS = { up: 0, right: 1, down: 2, left: 3 };

function unfolded(details) {
  const form = details.querySelector(":scope > form.corners");
  if (details.open && form && !form.querySelector(".stage")) new Corners(form);
}

// Four corners on the photo, in full-size pixels: tip left, tip right, base right, base left.
class Corners {
  constructor(form) {
    this.form = form;
    this.size = [Number(form.dataset.width), Number(form.dataset.height)];
    this.before = [];
    this.dragged = null;
    this.put();
    this.at = this.given() ?? this.guess();
    this.stage.addEventListener("pointerdown", (event) => this.grasp(event));
    this.stage.addEventListener("pointermove", (event) => this.drag(event));
    this.stage.addEventListener("pointerup", (event) => this.release(event));
    this.stage.addEventListener("pointercancel", () => this.undo());
    this.stage.addEventListener("keydown", (event) => this.key(event));
    this.stage.addEventListener("focusout", () => { this.lastKey = null; this.loupe.hidden = true; });
    this.input.addEventListener("change", () => { this.at = this.given() ?? this.at; this.draw(); });
    this.draw();
  }

  put() {
    this.input = this.form.elements.corners;
    this.stage = element("div", "stage");
    this.image = element("img", "");
    this.image.alt = "";
    [this.image.width, this.image.height] = this.size;
    this.image.src = this.form.dataset.photo;
    this.lines = outline(this.size);
    this.ends = ["TIP", "BASE"].map((end) => element("span", "end", end));
    this.handles = CORNERS.map((name) => this.handle(name));
    this.loupe = element("canvas", "loupe");
    this.loupe.hidden = true;
    this.loupe.setAttribute("aria-hidden", "true");
    this.stage.append(this.image, this.lines, ...this.ends, ...this.handles, this.loupe);
    const found = this.form.dataset.corners !== "";
    const hint = found ? "Drag the corners onto those of the face." : "No face was found. Drag the corners onto those of the face.";
    this.form.prepend(element("p", "", hint), this.stage, this.buttons());
    this.foldNumbers();
  }

  // A slider, because then a screen reader hands the arrow keys over.
  handle(name) {
    const handle = element("div", "handle");
    handle.tabIndex = 0;
    handle.setAttribute("role", "slider");
    handle.setAttribute("aria-label", name);
    handle.setAttribute("aria-valuemin", "0");
    handle.setAttribute("aria-valuemax", String(this.size[0]));
    return handle;
  }

  buttons() {
    const row = element("div", "ends");
    const [read, undo, search] = ["Read again", "Undo", "Find the face by itself"].map((text) => element("button", "", text));
    undo.type = search.type = "button";
    read.className = "main";
    undo.onclick = () => this.undo();
    search.onclick = () => { this.input.value = ""; this.form.requestSubmit(); };
    row.append(read, undo, search);
    return row;
  }

  // The same as numbers, for whoever would rather type them.
  foldNumbers() {
    const fold = element("details", "numbers");
    const rest = [...this.form.children].slice(3);
    fold.append(element("summary", "", "As numbers"), ...rest);
    this.form.append(fold);
  }

  given() {
    const text = this.input.value.trim();
    const corners = text.split(/\s+/).map((pair) => pair.split(",").map(Number));
    const fits = corners.length === 4 && corners.every((c) => c.length === 2 && c.every(Number.isFinite));
    return text !== "" && fits ? corners : null;
  }

  // Somewhere to begin where no face was found, with the tip where it was said to point.
  guess() {
    const [w, h] = this.size;
    const box = [[w / 4, h / 4], [3 * w / 4, h / 4], [3 * w / 4, 3 * h / 4], [w / 4, 3 * h / 4]];
    const turn = TURNS[check.querySelector("#settings select[name=tip]")?.value] ?? 0;
    return [...box.slice(turn), ...box.slice(0, turn)];
  }

  // Of the handles under a finger, the one whose corner is nearest.
  grasp(event) {
    if (this.dragged || event.button !== 0 || !event.target.matches(".handle")) return;
    event.preventDefault();
    const box = this.stage.getBoundingClientRect();
    const finger = [event.clientX - box.left, event.clientY - box.top];
    const far = this.at.map((_, i) => Math.hypot(...this.shown(i, box).map((v, axis) => v - finger[axis])));
    const index = far.indexOf(Math.min(...far));
    this.stage.setPointerCapture(event.pointerId);
    this.handles[index].focus({ preventScroll: true });
    this.keep();
    const off = this.shown(index, box).map((v, axis) => v - finger[axis]);
    this.dragged = { index, off, pointer: event.pointerId };
    this.enlarge(index, finger);
  }

  drag(event) {
    if (event.pointerId !== this.dragged?.pointer) return;
    const { index, off } = this.dragged;
    const box = this.stage.getBoundingClientRect();
    const finger = [event.clientX - box.left, event.clientY - box.top];
    this.move(index, finger.map((v, axis) => (v + off[axis]) * this.size[axis] / [box.width, box.height][axis]));
    this.enlarge(index, finger);
  }

  release(event) {
    if (event.pointerId !== this.dragged?.pointer) return;
    this.dragged = null;
    this.loupe.hidden = true;
    // A tap alone is nothing to undo.
    if (String(this.before.at(-1)) === String(this.at)) this.before.pop();
  }

  key(event) {
    const index = this.handles.indexOf(event.target);
    if (index < 0) return;
    if (event.key === "Escape") {
      event.preventDefault();
      this.undo();
    }
    const step = STEPS[event.key];
    if (!step) return;
    event.preventDefault();
    if (this.lastKey !== index) this.keep();
    this.lastKey = index;
    const far = event.shiftKey ? 10 : 1;
    this.move(index, this.at[index].map((v, axis) => v + far * step[axis]));
    this.enlarge(index, this.shown(index, this.stage.getBoundingClientRect()));
  }

  keep() {
    this.before.push(this.at.map((corner) => [...corner]));
  }

  undo() {
    this.dragged = this.lastKey = null;
    this.loupe.hidden = true;
    const at = this.before.pop();
    if (!at) return;
    this.at = at;
    this.write();
  }

  move(index, to) {
    this.at[index] = to.map((v, axis) => clamp(v, 0, this.size[axis]));
    this.write();
  }

  write() {
    this.input.value = this.at.map((corner) => corner.map((v) => v.toFixed(1)).join(",")).join(" ");
    this.form.dataset.touched = "yes";
    this.draw();
  }

  // Where a corner lies, in CSS pixels of the stage.
  shown(index, box) {
    return [this.at[index][0] * box.width / this.size[0], this.at[index][1] * box.height / this.size[1]];
  }

  draw() {
    this.handles.forEach((handle, i) => {
      const [x, y] = this.at[i];
      this.putAt(handle, [x, y]);
      handle.setAttribute("aria-valuenow", x.toFixed(0));
      handle.setAttribute("aria-valuetext", `${x.toFixed(0)} across, ${y.toFixed(0)} down`);
    });
    const points = this.at.map((corner) => corner.join(",")).join(" ");
    this.lines.querySelectorAll("polygon").forEach((line) => line.setAttribute("points", points));
    this.lines.querySelector("polyline").setAttribute("points", points.split(" ").slice(0, 2).join(" "));
    this.ends.forEach((end, i) => this.label(end, this.at[2 * i], this.at[2 * i + 1]));
  }

  putAt(node, [x, y]) {
    node.style.left = `${100 * x / this.size[0]}%`;
    node.style.top = `${100 * y / this.size[1]}%`;
  }

  // Just inside its edge: beside it there may be no more photo.
  label(end, a, b) {
    const middle = [0, 1].map((axis) => this.at.reduce((sum, corner) => sum + corner[axis] / 4, 0));
    const edge = [0, 1].map((axis) => (a[axis] + b[axis]) / 2);
    this.putAt(end, edge.map((v, axis) => v + 0.15 * (middle[axis] - v)));
  }

  // What lies under the finger, shown where the finger is not.
  enlarge(index, finger) {
    const box = this.stage.getBoundingClientRect();
    const dense = LOUPE_PX * (devicePixelRatio || 1);
    this.loupe.hidden = false;
    this.loupe.width = this.loupe.height = dense;
    const scale = this.image.naturalWidth / box.width;
    const side = LOUPE_PX / ENLARGED * scale;
    const centre = this.shown(index, box);
    const pen = this.loupe.getContext("2d");
    pen.fillRect(0, 0, dense, dense);
    pen.drawImage(this.image, centre[0] * scale - side / 2, centre[1] * scale - side / 2, side, side, 0, 0, dense, dense);
    const seen = (i) => this.shown(i, box).map((v, axis) => dense / 2 + (v - centre[axis]) * dense * ENLARGED / LOUPE_PX);
    stroke(pen, [seen((index + 3) % 4), seen(index), seen((index + 1) % 4)], dense / 56);
    stroke(pen, [[dense / 2, 0], [dense / 2, dense]], dense / 112);
    stroke(pen, [[0, dense / 2], [dense, dense / 2]], dense / 112);
    this.place(finger, box);
  }

  // Above the finger; beside it where there is no room above.
  place([x, y], box) {
    const half = LOUPE_PX / 2;
    const above = y - OFF_FINGER_PX - LOUPE_PX;
    const fits = box.top + above >= 0;
    const side = x > box.width / 2 ? x - OFF_FINGER_PX - LOUPE_PX : x + OFF_FINGER_PX;
    const left = fits ? clamp(x - half, 0, box.width - LOUPE_PX) : side;
    const top = fits ? above : clamp(y - half, -box.top, innerHeight - box.top - LOUPE_PX);
    this.loupe.style.left = `${clamp(left, -box.left, html.clientWidth - box.left - LOUPE_PX)}px`;
    this.loupe.style.top = `${top}px`;
  }
}

// White on black is seen on every metal and every compound.
function stroke(pen, points, width) {
  for (const [colour, thick] of [["#000", 3 * width], ["#fff", width]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = thick;
    pen.beginPath();
    points.forEach(([x, y], i) => (i === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
    pen.stroke();
  }
}

function outline([width, height]) {
  const make = (name, className) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    made.setAttribute("class", className);
    return made;
  };
  const lines = make("svg", "lines");
  lines.setAttribute("viewBox", `0 0 ${width} ${height}`);
  lines.setAttribute("preserveAspectRatio", "none");
  lines.setAttribute("aria-hidden", "true");
  lines.append(make("polygon", "dark"), make("polygon", "light"), make("polyline", "tip"));
  return lines;
}

// ---- Begin ---------------------------------------------------------------------------------------------

function begin() {
  putBar();
  for (const part of check.querySelectorAll("li.jaw")) wire(part, part.outerHTML);
  for (const id of PARTS) wire(document.getElementById(id), document.getElementById(id).outerHTML);
  // Outside of those parts.
  wire(check.querySelector("#photos > details"), "");
  whole = isWhole();
  document.addEventListener("toggle", (event) => unfolded(event.target), true);
  check.addEventListener("input", (event) => { if (event.target.form) event.target.form.dataset.touched = "yes"; });
  addEventListener("online", online);
  addEventListener("beforeunload", leaving);
  addEventListener("pageshow", (event) => event.persisted && refresh());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && online());
  setInterval(tick, 1000);
  paint();
}

html.classList.add("scripted");
document.addEventListener("submit", submitted);
if (check) begin();
