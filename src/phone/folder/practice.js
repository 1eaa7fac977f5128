// Practice: rounds and answers in a database of their own, which a page of an older program leaves alone, and photos in the browser's
// cache. What is said is kept before anything is shown of what was right.
import {
  Asked, begin_round, is_sample, practice_file, practice_page, practice_part, round_id, round_photos, sample_photos,
} from "./seepline.js";
import { answer, database, end } from "./storage.js";

const ELSEWHERE = "this question was answered in another window; open it again";
const NO_ROUND = "this round is not on this phone; begin another one";
const NO_PHOTO = "the photo could not be shown; go on with the next question, and come back when the network is there";
const SAMPLES = "samples";
const LONGEST_FETCH_MS = 30000;
// A server takes no more at once.
const AT_ONCE = 50;

// An answer lies at its round and its place in it, so that a question is answered once.
const stores = database("seepline-practice", (made) => ["rounds", "answers"].forEach((name) => made.createObjectStore(name)));

// ---- Photos --------------------------------------------------------------------------------------------

let list = null;

async function samples() {
  list ??= fetch("samples.json").then((got) => got.text()).catch((error) => {
    list = null;
    throw error;
  });
  return list;
}

// Over plain HTTP there is no such cache; then they come each time.
const cache = () => globalThis.caches?.open(SAMPLES);

async function there(name) {
  const kept = await (await cache())?.match(name);
  return kept && new Uint8Array(await kept.arrayBuffer());
}

async function come(name) {
  const got = await fetch(name, { signal: AbortSignal.timeout?.(LONGEST_FETCH_MS) });
  const bytes = new Uint8Array(await got.arrayBuffer());
  // Another web server may answer with anything.
  if (!is_sample(name, bytes)) return null;
  // Where it has no place it comes again the next time.
  await (await cache())?.put(name, new Response(bytes)).catch(() => {});
  return bytes;
}

const photo = async (name) => (await there(name)) ?? (await come(name).catch(() => null));

async function needed(name) {
  const bytes = await photo(name);
  if (!bytes) throw new Error(NO_PHOTO);
  return bytes;
}

// So that later rounds need no network. Those that no list names any more go.
async function allOthers() {
  const names = sample_photos(await samples());
  const here = await cache();
  for (const old of (await here?.keys()) ?? []) if (!names.some((name) => old.url.endsWith(name))) await here.delete(old);
  for (const name of names) if (!(await photo(name))) return;
}

// ---- What is kept --------------------------------------------------------------------------------------

async function answers() {
  const { answers: kept } = await stores(["answers"], "readonly");
  return answer(kept.getAll());
}

const texts = async () => (await answers()).map(({ text }) => text);

async function round(id) {
  const { rounds } = await stores(["rounds"], "readonly");
  const kept = await answer(rounds.get(id));
  if (!kept) throw new Error(NO_ROUND);
  return kept;
}

async function put(store, key, value, how) {
  const { change, [store]: kept } = await stores([store], "readwrite");
  const ended = end(change, ELSEWHERE);
  const asked = answer(kept[how](value, key));
  await Promise.allSettled([asked, ended]);
  await ended.catch((error) => { throw error?.name === "ConstraintError" ? new Error(ELSEWHERE) : error; });
}

async function asked(id, at) {
  return Asked.of(await samples(), await round(id), at);
}

// ---- What the page asks --------------------------------------------------------------------------------

export const practice = (loaded) => ({
  // Where rounds begin, or a place of one.
  async practice(id, at, by, storage) {
    const kept = await answers();
    const unhanded = kept.filter(({ handed }) => !handed).length;
    const all = kept.map(({ text }) => text);
    return practice_page(await samples(), all, id ? await round(id) : undefined, at, unhanded, by, storage);
  },
  // Photos that do not come are asked about another time.
  async beginRound(fields, now) {
    const [all, kept] = [await samples(), await texts()];
    for (let missing = []; ;) {
      const drawn = begin_round(all, kept, fields, missing, now);
      const names = round_photos(all, drawn);
      const came = await Promise.all(names.map(photo));
      const lacking = names.filter((_, i) => !came[i]);
      missing = [...missing, ...lacking];
      if (lacking.length > 0) continue;
      const id = round_id(drawn);
      await put("rounds", id, drawn, "add");
      return id;
    }
  },
  // Beside what is asked meanwhile.
  fetchOthers() {
    allOthers().catch(() => {});
  },
  async samplePicture(id, at, index) {
    const question = await asked(id, at);
    return question.picture(index, await needed(question.photos()[index]));
  },
  async answerQuestion(id, at, fields, now) {
    const question = await asked(id, at);
    question.call(fields, now);
    await loaded();
    for (const name of question.photos()) question.read(await needed(name));
    await put("answers", [id, at], { text: question.kept(now), handed: false }, "add");
  },
  // What lies in a file of checks; nothing where nothing was answered.
  async practicePart() {
    const kept = await texts();
    return kept.length > 0 ? [practice_part(), practice_file(kept)] : null;
  },
  // Some that no server has yet, and where they are kept; nothing where there are none.
  async toHandOver() {
    const { answers: kept } = await stores(["answers"], "readonly");
    const keys = await answer(kept.getAllKeys());
    const all = await Promise.all(keys.map(async (key) => [key, await answer(kept.get(key))]));
    const some = all.filter(([, { handed }]) => !handed).slice(0, AT_ONCE);
    return some.length > 0 ? [practice_file(some.map(([, { text }]) => text)), some.map(([key]) => key)] : null;
  },
  async handedAnswers(keys) {
    const { change, answers: kept } = await stores(["answers"], "readwrite");
    const ended = end(change, ELSEWHERE);
    for (const key of keys) kept.put({ ...(await answer(kept.get(key))), handed: true }, key);
    await ended;
  },
});
