// Keeps checks in the browser's storage and reads their photos. One thing is done after the other.
import init, {
  Check, before_page, first_page, give_networks, handed_over, is_handed_over, jaw_sets, network_names, tar_head,
} from "./seepline.js";
import { practice } from "./practice.js";
import { answer, database, end } from "./storage.js";

const ELSEWHERE = "this check was changed in another window; open it again";
const NOT_LOADED = "a part of the program has not come; when the network is back, do it again";
const THROWN_AWAY = "this check was thrown away in another window";
const GONE = "the browser has thrown it away; take it again";

let check = null;
// As kept: what another window keeps in between is not written over.
let revision = 0;

const program = init();
let networks = null;

async function load() {
  await program;
  const files = await Promise.all(network_names().map(async (name) => (await fetch(`${name}.onnx`)).arrayBuffer()));
  const whole = new Uint8Array(await new Blob(files).arrayBuffer());
  give_networks(whole, Uint32Array.from(files, (file) => file.byteLength));
}

// Once; where they did not come, again for the next photo.
function loaded() {
  networks ??= load().catch((error) => {
    networks = null;
    throw error instanceof WebAssembly.RuntimeError ? error : Object.assign(new Error(NOT_LOADED), { status: 500 });
  });
  return networks;
}

loaded().catch(() => {});

// ---- The browser's storage -----------------------------------------------------------------------------

const all = database("seepline", (made) => ["checks", "photos"].forEach((name) => made.createObjectStore(name)));
const stores = (mode) => all(["checks", "photos"], mode);

const ofCheck = (id) => IDBKeyRange.bound([id, ""], [id, "\uffff"]);

// The check as it is now, with a photo that is new, and without those that it no longer needs.
async function keep(photo, sha256) {
  const [id, sheet] = [check.id(), check.sheet()];
  const { change, checks, photos } = await stores("readwrite");
  const ended = end(change, ELSEWHERE);
  const write = async () => {
    const there = await answer(checks.get(id));
    if ((there?.revision ?? 0) !== revision) return change.abort();
    checks.put({ sheet, revision: revision + 1 }, id);
    if (photo) photos.put(photo, [id, sha256]);
    for (const key of await answer(photos.getAllKeys(ofCheck(id)))) if (!check.needs(key[1])) photos.delete(key);
  };
  // Why a change was not kept is said by its end: before it each request fails for that alone.
  await Promise.allSettled([write(), ended]);
  await ended;
  revision += 1;
}

// A change that is kept, or not made at all.
async function changing(work, photo) {
  const before = check.sheet();
  try {
    const value = work();
    await keep(photo, value);
    return value;
  } catch (error) {
    check.restore(before);
    throw error;
  }
}

// ---- Reading -------------------------------------------------------------------------------------------

async function read(sha256) {
  await loaded();
  if (!check.waiting().includes(sha256)) return;
  const { photos } = await stores("readonly");
  const photo = await answer(photos.get([check.id(), sha256]));
  let fault = null;
  if (photo) {
    postMessage({ begun: sha256 });
    try {
      check.read(sha256, new Uint8Array(photo));
    } catch (error) {
      if (error instanceof WebAssembly.RuntimeError) throw error;
      fault = error;
    }
    postMessage({ begun: null });
  } else {
    fault = new Error(GONE);
    check.refuse(sha256, GONE);
  }
  await keep();
  if (fault) throw fault;
}

async function readAll() {
  for (const sha256 of check.waiting()) await read(sha256);
}

// ---- What the page asks --------------------------------------------------------------------------------

const calls = {
  // `bad` broke the worker before this one, and leaves the check.
  async open(id, bad, why) {
    const { checks } = await stores("readonly");
    const there = await answer(checks.get(id));
    if (!there) return false;
    check = Check.open(there.sheet);
    revision = there.revision;
    if (bad) {
      check.refuse(bad, why);
      await keep();
    }
    return true;
  },
  // Behind what is asked meanwhile.
  resume() {
    for (const sha256 of check.waiting()) queue(() => read(sha256).catch(unlessBroken));
  },
  async page(storage) {
    if (check.note_shown()) await keep();
    return check.page(storage);
  },
  async first(storage, last) {
    const { checks } = await stores("readonly");
    const all = await answer(checks.getAll());
    return first_page(last, all.map((kept) => kept.sheet), storage);
  },
  before: (fields) => before_page(fields),
  async begin(fields, now) {
    check = Check.begin(fields, now);
    revision = 0;
    await keep();
    return { id: check.id(), last: check.to_remember() };
  },
  async put(photo, name, jaw, another) {
    // Not the photo itself: in a private window not every browser keeps files.
    const bytes = await photo.arrayBuffer();
    return changing(() => check.put(new Uint8Array(bytes), name, jaw, another), bytes);
  },
  // All that wait where it is not said which.
  read: (sha256) => (sha256 ? read(sha256) : readAll()),
  async change(what, fields, now) {
    await changing(() => check.change(what, fields, now));
    await readAll();
    return check.to_remember();
  },
  picture: (what) => check.picture(what),
  async glimpse(frame) {
    await loaded();
    return check.glimpse(new Uint8Array(frame));
  },
  text: () => check.text(),
  json: () => check.json(),
  async discard(id) {
    const { change, checks, photos } = await stores("readwrite");
    checks.delete(id);
    photos.delete(ofCheck(id));
    await end(change, ELSEWHERE);
  },
  // One check, all, or none, as a tar archive: for each a folder with its sheet and its photos. The answers of practice lie beside all
  // or none.
  async save(which, day) {
    const [alone, all] = [which === "practice", which === null];
    const answers = all || alone ? await calls.practicePart() : null;
    const { checks, photos } = await stores("readonly");
    const ids = all ? await answer(checks.getAllKeys()) : alone ? [] : [which];
    const parts = [];
    const add = (name, data) => {
      const part = new Blob([data]);
      parts.push(tar_head(name, part.size), part, new Uint8Array(-part.size & 511));
    };
    for (const one of ids) {
      add(`${one}/check.json`, (await answer(checks.get(one))).sheet);
      for (const key of await answer(photos.getAllKeys(ofCheck(one)))) add(key.join("/"), await answer(photos.get(key)));
    }
    if (answers) add(...answers);
    // Two blocks of nothing end it.
    return [new Blob([...parts, new Uint8Array(1024)]), `${alone ? which : "checks"}-${day}.tar`];
  },
};

Object.assign(calls, practice(loaded));

// ---- What the phone and a server give each other --------------------------------------------------------

Object.assign(calls, {
  async beginOfSet(last, sets, set, now) {
    check = Check.begin_of_set(last, sets, set, now);
    revision = 0;
    await keep();
    return { id: check.id(), last: check.to_remember() };
  },
  sets: (text) => jaw_sets(text),
  // The file of one check, and which state of it that is.
  async send(id) {
    const { checks } = await stores("readonly");
    const there = await answer(checks.get(id));
    if (!there) throw new Error(THROWN_AWAY);
    // In this order: what changes in between counts as changed since.
    return [(await calls.save(id, ""))[0], there.revision];
  },
  async handed(id, sent, took, now) {
    const { change, checks } = await stores("readwrite");
    const ended = end(change, ELSEWHERE);
    const there = await answer(checks.get(id));
    // Thrown away meanwhile: the archive has it.
    if (!there) return;
    const sheet = handed_over(there.sheet, took, there.revision === sent, now);
    checks.put({ sheet, revision: there.revision + 1 }, id);
    await ended;
    if (check?.id() !== id || revision !== there.revision) return;
    check.restore(sheet);
    revision += 1;
  },
  // Looked at and thrown away at once: what is changed in another window meanwhile stays.
  async discardHanded() {
    const { change, checks, photos } = await stores("readwrite");
    const ended = end(change, ELSEWHERE);
    for (const id of await answer(checks.getAllKeys())) {
      if (!is_handed_over((await answer(checks.get(id))).sheet)) continue;
      checks.delete(id);
      photos.delete(ofCheck(id));
    }
    await ended;
  },
});

// A trap leaves the program as it was in the middle of something: nothing more can be asked of it.
function unlessBroken(error) {
  if (error instanceof WebAssembly.RuntimeError) postMessage({ broke: true });
  return error;
}

// The browser's own errors are those of its storage.
const words = (error) => (error instanceof DOMException
  ? "this phone could not keep it; free some space, or save checks and throw them away here, and do it again" : error.message);

async function answered({ number, what, given }) {
  try {
    await program;
    postMessage({ number, value: await calls[what](...given) });
  } catch (error) {
    if (unlessBroken(error) instanceof WebAssembly.RuntimeError) return;
    const status = error.status ?? (error instanceof DOMException ? 507 : 422);
    postMessage({ number, fault: { status, error: words(error) } });
  }
}

let turn = Promise.resolve();

function queue(work) {
  turn = turn.then(work);
}

onmessage = ({ data }) => queue(() => answered(data));
