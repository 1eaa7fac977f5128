// The page that reads on the phone itself: takes the server's place for `page.js`. Everything that takes time is done by
// a worker; one that breaks or takes too long is begun anew, and the photo that it was at leaves the check.

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
    else if (what === "change") failed({ status: 500, error: bad ? why : NOT_DONE });
    // It may be what broke the program; the next frame is looked at.
    else if (what === "glimpse") failed({ status: 500, error: why });
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
  return JSON.stringify({ promised, used_bytes: usage, most_bytes: quota, offline: isSecureContext });
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
    return { status: 200, page: await local(parse(await ask("page", await storage()))) };
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
  const [tar, name] = await ask("save", address === "/save" ? null : id, now().slice(0, 10));
  const file = new File([tar], name, { type: "application/x-tar" });
  if (navigator.canShare?.({ files: [file] })) return navigator.share({ files: [file] });
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(file), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

function submitted(event) {
  const address = new URL(event.target.action).pathname;
  const [, way] = [["/checks", beginCheck], ["/discard", discard], ["/save", save]].find(([end]) => address.endsWith(end)) ?? [];
  if (!way) return;
  event.preventDefault();
  event.stopPropagation();
  // Whoever shares nothing after all has done nothing wrong.
  way(way === beginCheck ? event.target : address).catch((fault) => fault.name !== "AbortError" && tell(fault));
}

function tell({ error, message }) {
  const line = Object.assign(document.createElement("p"), { className: "fault", textContent: error ?? message });
  line.setAttribute("role", "alert");
  document.querySelector("main").prepend(line);
}

// ---- The camera's picture before the photo -------------------------------------------------------------

// Wide enough for every refusal to be told as of the photo itself; a larger one takes longer to look at.
const FRAME_PX = 1280;
// The most that a browser may give; it gives what the camera has.
const CAMERA = { video: { facingMode: "environment", width: { ideal: 4096 }, height: { ideal: 3072 } } };
const NO_CAMERA = "The browser does not give this page the camera. Close this, and take the photo with the camera's own button.";

// Only where a page may have the camera: over HTTPS, or on this device.
function offerLiveView(page) {
  const button = page.querySelector("#look");
  if (!button || !navigator.mediaDevices?.getUserMedia) return;
  for (const input of page.querySelectorAll("form.take input[capture]")) {
    input.form.append(button.content.cloneNode(true));
  }
}

async function openLiveView(form) {
  const live = document.querySelector("#live");
  const video = live.querySelector("video");
  const shoot = live.querySelector(".shoot");
  say(live, { words: "The camera is being opened…", ready: false, corners: null });
  shoot.disabled = true;
  live.showModal();
  let stream = null;
  live.onclose = () => {
    stream?.getTracks().forEach((track) => track.stop());
    video.srcObject = null;
  };
  live.querySelector(".close").onclick = () => live.close();
  try {
    stream = await navigator.mediaDevices.getUserMedia(CAMERA);
    if (!live.open) return live.onclose();
    video.srcObject = stream;
    await video.play();
  } catch {
    return say(live, { words: NO_CAMERA, ready: false, corners: null });
  }
  shoot.disabled = false;
  shoot.onclick = async () => {
    shoot.disabled = true;
    const photo = await taken(stream, video);
    live.close();
    hand(photo, form);
  };
  while (live.open && video.srcObject) {
    try {
      const frame = await still(video, FRAME_PX);
      const seen = JSON.parse(await ask("glimpse", await frame.arrayBuffer()));
      if (live.open) say(live, seen);
    } catch {
      await new Promise((done) => setTimeout(done, 1000));
    }
  }
}

function say(live, { words, ready, corners }) {
  const state = live.querySelector(".state");
  // Said again it would be read out again.
  if (state.textContent !== words) state.textContent = words;
  state.classList.toggle("good", ready);
  const points = (of) => of.map((point) => point.join(",")).join(" ");
  for (const shape of live.querySelectorAll("polygon")) shape.setAttribute("points", points(corners ?? []));
  live.querySelector("polyline").setAttribute("points", points(corners?.slice(0, 2) ?? []));
}

function still(video, widest = Infinity) {
  const scale = Math.min(1, widest / Math.max(video.videoWidth, video.videoHeight));
  const [width, height] = [video.videoWidth, video.videoHeight].map((px) => Math.round(px * scale));
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  canvas.getContext("2d").drawImage(video, 0, 0, width, height);
  return new Promise((done, failed) => canvas.toBlob((jpeg) => (jpeg ? done(jpeg) : failed()), "image/jpeg", 0.95));
}

// A photo of the camera's full size where the browser can have one, else what the view shows.
async function taken(stream, video) {
  try {
    return await new ImageCapture(stream.getVideoTracks()[0]).takePhoto();
  } catch {
    return still(video);
  }
}

// As if the camera had been opened by the form's own button.
function hand(photo, form) {
  const files = new DataTransfer();
  files.items.add(new File([photo], "photo.jpg", { type: photo.type }));
  const input = form.querySelector("input[type=file]");
  input.files = files.files;
  input.dispatchEvent(new Event("change"));
}

document.addEventListener("click", ({ target }) => {
  const button = target.closest("button.look");
  if (button) openLiveView(button.form);
});
// A phone that is put away keeps no camera open.
document.addEventListener("visibilitychange", () => document.hidden && document.querySelector("#live")?.close());

// ---- Begin ---------------------------------------------------------------------------------------------

async function show() {
  begin();
  if (id && !(await ask("open", id))) return location.replace("./");
  const text = await (given.has("before") ? ask("before", json(given))
    : ask(id ? "page" : "first", await storage(), json(new URLSearchParams(localStorage.last ?? ""))));
  const page = await local(parse(text));
  document.title = page.title;
  document.querySelector("header").replaceWith(page.querySelector("header"));
  document.querySelector("main").replaceWith(page.querySelector("main"));
  document.body.append(Object.assign(document.createElement("script"), { src: "page.js" }));
  // Photos that were kept and not read yet; the page asks by itself how far they are.
  if (id) ask("resume");
}

document.addEventListener("submit", submitted, true);
show().catch(tell);
// Where the browser refuses, all but that works.
navigator.serviceWorker?.register("service.js").catch(() => {});
