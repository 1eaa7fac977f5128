// What there is beside a phone alone: the server that handed this page out, where the phone is paired with it, and the jaw sets
// that were given to the phone. At any other server, and without a network, nothing of it is seen.

const SETS = "/api/phone/sets";
const CHECKS = "/api/phone/checks";
// Where a server of seepline has this page; the folder at another web server is not looked at further.
const MAY_BE = location.pathname.startsWith("/phone/");
// The page does not wait longer for a server; when it comes after all, it is shown then.
const PATIENCE_MS = 1000;
const LONGEST_LOOK_MS = 15000;
// What was found stands so long, so that not every tap asks.
const STANDS_MS = 10000;
// Half a gigabyte at the slowest that the server takes is more than anybody waits.
const LONGEST_MS = 1800000;
const BROKE_OFF = "The connection broke: it may be handed over or not. It is kept here; hand it over again, it counts once.";
const NOT_KEPT = "the phone could not keep the jaw sets; free some space and do it again";

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

// ---- Who is there --------------------------------------------------------------------------------------

let found = null;
let shown = "null";
let asked = -STANDS_MS;
let looking = null;

// Its jaw sets, or why it takes nothing; null where there is no such server, or none that knows this phone.
async function look() {
  const answer = await fetch(SETS, { signal: AbortSignal.timeout?.(LONGEST_LOOK_MS) });
  if (!answer.headers.get("content-type")?.startsWith("application/json")) return null;
  const said = await answer.json();
  if (answer.status === 409) return said.error ? { error: said.error } : null;
  return answer.ok && said.schema === 1 ? said : null;
}

function ask() {
  asked = performance.now();
  looking = look().catch(() => null).then((server) => { found = server; });
  return looking;
}

// What the pages are made with. What comes too late for a page is shown by `repaint`.
export async function around(repaint) {
  const due = MAY_BE && performance.now() - asked >= STANDS_MS;
  if (due) ask();
  await Promise.race([looking, pause(PATIENCE_MS)]);
  shown = JSON.stringify(found);
  if (due) looking.then(() => JSON.stringify(found) !== shown && repaint());
  return { server: found, sets: JSON.parse(localStorage.sets ?? "null") };
}

// ---- What its forms do ---------------------------------------------------------------------------------

export function ways(worker, now, repaint) {
  // One at a time of each check: a second tap of a glove sends nothing.
  const under = new Set();

  const beginOfSet = async (form) => {
    navigator.storage?.persist?.();
    const last = JSON.stringify(Object.fromEntries(new URLSearchParams(localStorage.last ?? "")));
    const begun = await worker("beginOfSet", last, localStorage.sets ?? "", form.elements.jaw_set.value, now());
    localStorage.last = begun.last;
    location.assign(`./?check=${begun.id}`);
  };

  const keep = async (text) => {
    const sets = await worker("sets", text);
    try {
      localStorage.sets = sets;
    } catch {
      throw { error: NOT_KEPT };
    }
    await repaint();
  };

  const ofServer = async () => {
    await ask();
    await keep(JSON.stringify(found));
  };

  const ofFile = async (form) => keep(await form.elements.file.files[0].text());

  const forget = async () => {
    delete localStorage.sets;
    await repaint();
  };

  const handOver = async (form) => {
    const id = new URL(form.action).pathname.split("/").at(-2);
    const set = form.elements.jaw_set.value;
    if (under.has(id)) return;
    under.add(id);
    form.querySelector("button").disabled = true;
    try {
      const [tar, sent] = await worker("send", id);
      const took = await sendOff(`${CHECKS}?jaw_set=${encodeURIComponent(set)}`, tar, (text) => tell(form, "state", text));
      await worker("handed", id, sent, took, now());
      tell(form, "good", "Handed over: the archive has it.");
      await repaint();
    } finally {
      under.delete(id);
      form.querySelector("button").disabled = false;
    }
  };

  const discardHanded = async () => {
    await worker("discardHanded");
    location.replace("./");
  };

  return told({
    "/sets/begin": beginOfSet, "/sets/of-server": ofServer, "/sets/of-file": ofFile, "/sets/forget": forget,
    "/hand-over": handOver, "/handed/discard": discardHanded,
  });
}

// How addresses of forms end → what they do. What goes wrong is said below the form; `sentence` is that of `page.js`, which makes one
// of what a server or the worker answers.
export const told = (all) => Object.entries(all).map(([end, work]) => [end, (form) => work(form).catch(({ answer, error, message }) => {
  tell(form, "fault", sentence(answer ?? JSON.stringify({ error: error ?? message })));
})]);

// The server's word that the archive has it. It says how far it is, as a check may take minutes.
function sendOff(address, tar, say) {
  return new Promise((done, failed) => {
    const request = new XMLHttpRequest();
    request.open("POST", address);
    request.timeout = LONGEST_MS;
    request.setRequestHeader("Content-Type", "application/x-tar");
    request.upload.onprogress = ({ loaded, total }) => say(`Being handed over: ${Math.floor(100 * loaded / Math.max(1, total))} %. Keep this page open.`);
    request.upload.onload = () => say("Handed over; it is being read and filed there …");
    request.onload = () => (request.status === 200 ? done(request.responseText) : failed({ answer: request.responseText }));
    request.onerror = request.onabort = request.ontimeout = () => failed({ error: BROKE_OFF });
    request.send(tar);
  });
}

export function tell(form, className, text) {
  let line = form.querySelector(":scope > .said");
  // A live region has to be there before it is filled, or nobody hears it.
  line ??= form.appendChild(Object.assign(document.createElement("p"), { role: "status" }));
  line.className = `said ${className}`;
  if (line.textContent !== text) line.textContent = text;
}
