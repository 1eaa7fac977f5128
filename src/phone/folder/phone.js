// The page that reads on the phone itself: takes the server's place for `page.js`. Everything that takes time is done by
// a worker; one that breaks or takes too long is begun anew, and the photo that it was at leaves the check.

import { around, ways } from "./beside.js";
import { offerLiveView, openLiveViews } from "./live.js";
import { rounds, samplePictures } from "./rounds.js";

// A photo takes a second or a few; one that takes so long was made to.
const LONGEST_READING_MS = 120000;
const BROKE = "reading it broke the program off; take it again";
const TOO_LONG = "reading it took too long; take it again";
const NOT_DONE = "the program had to be begun anew, so this was not done; do it again";

const given = new URLSearchParams(location.search);
const id = given.get("check");

// ---- The worker ----------------------------------------------------------------------------------------

let worker;
let number = 0;
let reading = null;
const asked = new Map();

function ask(what, ...given) {
  return new Promise((done, failed) => {
    number += 1;
    asked.set(number, { what, given, done, failed });
    worker.postMessage({ number, what, given });
  });
}

function begin() {
  worker = new Worker("worker.js", { type: "module" });
  worker.onmessage = ({ data }) => (data.number ? answered(data) : heard(data));
}

function answered({ number, fault, value }) {
  const { done, failed } = asked.get(number);
  asked.delete(number);
  if (fault) failed(fault);
  else done(value);
}

// What it reads now, so that it is known which photo broke it.
function heard({ begun, broke }) {
  if (broke) return anew(BROKE);
  clearTimeout(reading?.alarm);
  reading = begun ? { sha256: begun, alarm: setTimeout(() => anew(TOO_LONG), LONGEST_READING_MS) } : null;
}

// A change may be done already, and is not asked for again.
async function anew(why) {
  worker.terminate();
  clearTimeout(reading?.alarm);
  const [bad, left] = [reading?.sha256, [...asked.values()]];
  reading = null;
  asked.clear();
  begin();
  if (id) await ask("open", id, bad, why);
  if (id) ask("resume");
  for (const { what, given, done, failed } of left) {
    if (what === "read" && given[0] === bad) failed({ status: 422, error: why });
    else if (what === "change" || what === "answerQuestion") failed({ status: 500, error: bad ? why : NOT_DONE });
    // It may be what broke the program; the next frame is looked at.
    else if (what === "glimpse" || what === "samplePicture") failed({ status: 500, error: why });
    else ask(what, ...given).then(done, failed);
  }
}

// ---- In the server's place -----------------------------------------------------------------------------

// A picture keeps its address here, or it would be drawn anew at every change.
const pictures = new Map();
const parse = (text) => new DOMParser().parseFromString(text, "text/html");
// The part of an address of the server's below the check's own.
const below = (address) => address.split("/").slice(3).join("/");

function picture(address) {
  if (!pictures.has(address)) {
    const jpeg = ask("picture", below(address));
    pictures.set(address, jpeg.then((bytes) => URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" }))));
  }
  return pictures.get(address);
}

// Addresses as the server's pages have them → what there is here.
async function local(page) {
  offerLiveView(page);
  for (const link of page.querySelectorAll("a[href='/']")) link.setAttribute("href", "./");
  for (const link of page.querySelectorAll("a[href^='/checks/']")) {
    link.setAttribute("href", `./?check=${link.getAttribute("href").split("/")[2]}`);
  }
  // Pages whose forms have their answer in their own address.
  for (const link of page.querySelectorAll("#before-check a")) link.setAttribute("href", `./?before=${link.getAttribute("href").slice(1)}`);
  for (const form of page.querySelectorAll("form[method=get]")) {
    form.prepend(Object.assign(document.createElement("input"), { type: "hidden", name: "before", value: form.getAttribute("action").slice(1) }));
    form.setAttribute("action", "./");
  }
  const shown = [...page.querySelectorAll("img[src^='/checks/'], [data-photo]")];
  await Promise.all(shown.map(async (node) => {
    const name = node.localName === "img" ? "src" : "data-photo";
    node.setAttribute(name, await picture(node.getAttribute(name)));
  }));
  return page;
}

async function storage() {
  const { usage = null, quota = null } = (await navigator.storage?.estimate()) ?? {};
  const promised = (await navigator.storage?.persisted()) ?? false;
  return JSON.stringify({ promised, used_bytes: usage, most_bytes: quota, offline: isSecureContext, ...(await around(repaint)) });
}

const json = (fields) => JSON.stringify(Object.fromEntries(fields));

// Local time to the second, as cameras write it.
function now() {
  const time = new Date();
  return new Date(time - 60000 * time.getTimezoneOffset()).toISOString().slice(0, 19);
}

async function toRead(job, step) {
  const sha256 = await ask("put", job.photo, job.name, job.jaw, job.another);
  step("reading", 1);
  await ask("read", sha256);
}

window.alone = {
  sending: () => "being kept on this phone",
  async open() {
    return { status: 200, page: await ofCheck() };
  },
  async post(address, fields) {
    try {
      localStorage.last = await ask("change", below(new URL(address).pathname), json(fields), now());
      return null;
    } catch ({ error }) {
      return sentence(JSON.stringify({ error }));
    }
  },
  send(job, step, done) {
    toRead(job, step).then(
      () => done({ status: 200 }),
      ({ status, error }) => done({ status, text: JSON.stringify({ error }) }),
    );
    return { abort() {} };
  },
};

// ---- What a server's page does by going to another address ---------------------------------------------

async function beginCheck(form) {
  // Asked where a check begins: a browser grants it sooner to a page that is used.
  navigator.storage?.persist?.();
  const begun = await ask("begin", json(new FormData(form)), now());
  localStorage.last = begun.last;
  location.assign(`./?check=${begun.id}`);
}

async function discard() {
  await ask("discard", id);
  location.replace("./");
}

async function save(address) {
  const which = { "/save": null, "/practice/save": "practice" };
  const [tar, name] = await ask("save", address in which ? which[address] : id, now().slice(0, 10));
  const file = new File([tar], name, { type: "application/x-tar" });
  if (navigator.canShare?.({ files: [file] })) return navigator.share({ files: [file] });
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(file), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

function submitted(event) {
  const address = new URL(event.target.action).pathname;
  const [, way] = [["/checks", beginCheck], ...rounds(ask, now, showPractice), ...ways(ask, now, repaint), ["/discard", discard], ["/save", save]].find(([end]) => address.endsWith(end)) ?? [];
  if (!way) return;
  event.preventDefault();
  event.stopPropagation();
  // Whoever shares nothing after all has done nothing wrong.
  way(way === discard || way === save ? address : event.target).catch((fault) => fault.name !== "AbortError" && tell(fault));
}

function tell({ error, message }) {
  const line = Object.assign(document.createElement("p"), { className: "fault", textContent: error ?? message });
  line.setAttribute("role", "alert");
  document.querySelector("main").prepend(line);
}

// What lies beside the checks, as it was put last.
const PARTS = ["sets", "under-way", "hand-over", "jaw-sets", "answers"];
const served = new Map();

// A form may be half written, and a file being chosen: only what is new is put anew.
async function repaint() {
  // On the page of a check `page.js` looks for what is new when the network comes back.
  if (id) return dispatchEvent(new Event("online"));
  const page = await (given.has("practice") ? ofPractice() : first());
  for (const part of PARTS) {
    const [old, fresh] = [document, page].map((where) => where.getElementById(part));
    if (!old || !fresh || fresh.outerHTML === served.get(part)) continue;
    served.set(part, fresh.outerHTML);
    old.replaceWith(fresh);
  }
}

// A phone that comes back into the shop's network, or out of a pocket.
function lookAgain() {
  if (document.visibilityState === "visible") repaint().catch(() => {});
}

// ---- Begin ---------------------------------------------------------------------------------------------

const first = async () => local(parse(await ask("first", await storage(), json(new URLSearchParams(localStorage.last ?? "")))));
const ofCheck = async () => local(parse(await ask("page", await storage())));
const ofPractice = async () => {
  const [round, at] = [given.get("practice") || null, Number(given.get("at")) || 1];
  return local(parse(await ask("practice", round, at, localStorage.practises ?? "", await storage())));
};
const before = async () => local(parse(await ask("before", json(given))));

function put(page) {
  for (const part of PARTS) served.set(part, page.getElementById(part)?.outerHTML);
  document.title = page.title;
  document.querySelector("header").replaceWith(page.querySelector("header"));
  document.querySelector("main").replaceWith(page.querySelector("main"));
}

async function showPractice() {
  const page = await ofPractice();
  await samplePictures(page, ask);
  put(page);
}

async function show() {
  begin();
  if (id && !(await ask("open", id))) return location.replace("./");
  if (given.has("practice")) await showPractice();
  else put(await (given.has("before") ? before() : id ? ofCheck() : first()));
  document.body.append(Object.assign(document.createElement("script"), { src: "page.js" }));
  // Photos that were kept and not read yet; the page asks by itself how far they are.
  if (id) ask("resume");
  else for (const [where, what] of [[window, "online"], [document, "visibilitychange"]]) where.addEventListener(what, lookAgain);
  if (given.get("practice")) ask("fetchOthers");
}

document.addEventListener("submit", submitted, true);
openLiveViews(async (frame) => JSON.parse(await ask("glimpse", frame)));
show().catch(tell);
// Where the browser refuses, all but that works.
navigator.serviceWorker?.register("service.js").catch(() => {});
