"use strict";
// Asks one question after the other, keeps what is said in the browser, and writes it into a table. Only the
// cards of one screenful or two are in the document. Texts are only ever set as text, never as HTML.
(() => {
  const region = document.getElementById("settle");
  if (!region) return;
  const data = window.settling;
  const asked = data.questions;
  const list = document.getElementById("questions");
  const drawings = document.querySelector("svg.defs").namespaceURI;
  const CARDS = 24;
  const STORE = "seepline settle " + location.pathname;
  const COLUMN = { method: "method", tip: "tip", same: "jaw", jaw: "jaw_set" };
  const TITLES = { method: "How was this check made?", tip: "Which end is the tip?", same: "Are these of the same jaw?", jaw: "Whose jaw is it?" };
  const TIPS = { up: ["↑", "up"], left: ["←", "to the left"], right: ["→", "to the right"], down: ["↓", "down"] };
  const METHODS = { seep: ["Seep-in", "S"], transfer: ["Transfer", "T"] };
  const SAME = { same: ["The same jaw", "Y"], different: ["Different jaws", "D"] };
  const WORDS = { tip: TIPS, method: METHODS, same: SAME };
  const answers = new Map(), skipped = new Set(), undo = [];
  let at = 0, shown = -1, kept = false, unsaved = false, saved = "", pending = "";

  const photoKey = (p) => p.sha || p.file;
  const key = (q) => q.kind + " " + photoKey(q) + (q.other ? " " + photoKey(q.other) : "");
  const said = (q) => answers.get(key(q));

  const given = (q) => q.line === null ? "" : data.lines[q.line][data.columns.indexOf(COLUMN[q.kind])].toLowerCase();
  const fits = (q, value) => typeof value === "string" && (q.kind === "jaw" || Object.hasOwn(WORDS[q.kind], value));

  function element(name, properties, ...children) {
    const made = Object.assign(document.createElement(name), properties);
    made.append(...children);
    return made;
  }

  function drawn(name, attributes) {
    const made = document.createElementNS(drawings, name);
    for (const [k, v] of Object.entries(attributes)) made.setAttribute(k, v);
    return made;
  }

  // The browser may keep nothing for pages from a folder; the page works all the same and says so.
  function recall() {
    try {
      const was = JSON.parse(localStorage.getItem(STORE) || "{}");
      for (const q of asked) {
        const value = was[key(q)];
        // What the table said already, and the review still doubts, is to be asked again.
        if (fits(q, value) && value !== given(q)) answers.set(key(q), value);
      }
      localStorage.setItem(STORE, JSON.stringify(was));
      kept = true;
    } catch { kept = false; }
  }

  function keep() {
    unsaved = true;
    saved = "";
    try { localStorage.setItem(STORE, JSON.stringify(Object.fromEntries(answers))); } catch { kept = false; }
  }

  // The method is one for a whole check, and so is the jaw set; a photo of no check stands for itself.
  function alike(q) {
    if (q.kind === "tip" || q.kind === "same" || !q.check) return [q];
    return asked.filter((o) => o.kind === q.kind && o.check === q.check);
  }

  function say(q, value) {
    pending = "";
    const step = { at: asked.indexOf(q), was: [] };
    for (const o of alike(q)) {
      step.was.push([o, said(o), skipped.has(key(o))]);
      answers.set(key(o), value);
      skipped.delete(key(o));
    }
    undo.push(step);
    keep();
    next(step.at);
  }

  // Across the outline no end lies: a slip, unless it is said twice, for an outline may lie wrong.
  function sayTip(q, tip) {
    const across = q.face && !q.face.ends.some((end) => end.tip === tip);
    const word = key(q) + " " + tip;
    if (!across || pending === word) return say(q, tip);
    pending = word;
    go(asked.indexOf(q));
  }

  function skip() {
    const q = asked[at];
    undo.push({ at, was: [[q, said(q), skipped.has(key(q))]] });
    if (said(q) === undefined) skipped.add(key(q));
    next(at);
  }

  function takeBack() {
    const step = undo.pop();
    if (!step) return;
    for (const [q, value, was] of step.was) {
      if (value === undefined) answers.delete(key(q)); else answers.set(key(q), value);
      if (was) skipped.add(key(q)); else skipped.delete(key(q));
    }
    keep();
    go(step.at);
  }

  // The next one that is open, from the start again after the last; then those skipped wait to be looked at.
  function next(from) {
    const open = (q) => said(q) === undefined && !skipped.has(key(q));
    const after = asked.findIndex((q, i) => i > from && open(q));
    const to = after < 0 ? asked.findIndex(open) : after;
    if (to >= 0) return go(to);
    show();
    tell();
    region.querySelector("[data-do=save]").focus();
  }

  function go(to) {
    at = Math.min(Math.max(to, 0), asked.length - 1);
    show();
    const card = cardOf(at);
    card.focus({ preventScroll: true });
    const bar = region.querySelector(".bar").getBoundingClientRect().height;
    const place = card.getBoundingClientRect();
    if (place.top < bar || place.bottom > window.innerHeight) {
      window.scrollBy(0, place.top - bar - 12);
    }
    tell();
  }

  const cardOf = (i) => list.children[i % CARDS];

  function show() {
    const block = Math.floor(at / CARDS), first = block * CARDS;
    if (block !== shown) {
      shown = block;
      list.replaceChildren(...asked.slice(first, first + CARDS).map((q, i) => card(q, first + i)));
      // So that the next screenful is there when it is come to.
      for (const q of asked.slice(first + CARDS, first + 2 * CARDS)) for (const p of views(q)) if (p.sha) new Image().src = thumb(p);
    }
    [...list.children].forEach((c, i) => mark(c, asked[first + i], first + i));
  }

  const views = (q) => q.other ? [q, q.other] : [q];
  const thumb = (q) => "thumbs/" + q.sha + ".jpg";

  function words(q, value) {
    if (q.kind === "tip") return "the tip points " + TIPS[value][1];
    if (q.kind === "same") return SAME[value][0].toLowerCase();
    if (q.kind === "method") return "a " + METHODS[value][0].toLowerCase() + " check";
    return value;
  }

  // What changes on a card without making it anew.
  function mark(c, q, i) {
    const value = said(q), current = i === at;
    if (current) c.setAttribute("aria-current", "true"); else c.removeAttribute("aria-current");
    for (const control of c.querySelectorAll("button, input, a")) control.tabIndex = current ? 0 : -1;
    for (const b of c.querySelectorAll("[data-say]")) {
      b.setAttribute("aria-pressed", String(b.dataset.say === value));
      if (b.classList.contains("end")) {
        b.textContent = value === undefined ? TIPS[b.dataset.say][0] : b.dataset.say === value ? "tip" : TIPS[value] && b.dataset.say === opposite(value) ? "base" : TIPS[b.dataset.say][0];
      }
    }
    const across = pending.startsWith(key(q) + " ") && "No end of the outline lies there. Say it again if the outline is wrong.";
    c.querySelector(".answer").textContent = across ? across : value !== undefined ? "Said: " + words(q, value) + "." : skipped.has(key(q)) ? "Skipped." : "";
    c.classList.toggle("is-said", value !== undefined);
    const last = lastSet(), same = c.querySelector("[data-same]");
    if (same) {
      same.hidden = last === undefined;
      same.textContent = "Same as last: " + (last ?? "");
    }
  }

  const opposite = (tip) => ({ up: "down", down: "up", left: "right", right: "left" })[tip];

  function lastSet() {
    for (let i = undo.length - 1; i >= 0; i--) {
      const q = undo[i].was[0][0];
      if (q.kind === "jaw" && said(q) !== undefined) return said(q);
    }
    return undefined;
  }

  function button(text, label, value, q) {
    const b = element("button", { type: "button", textContent: text });
    b.setAttribute("aria-label", label);
    b.dataset.say = value;
    b.addEventListener("click", () => q.kind === "tip" ? sayTip(q, value) : say(q, value));
    return b;
  }

  function photo(q) {
    const [w, h] = q.size || [1, 1];
    const box = element("div", { className: "photo" });
    if (!q.sha) return element("p", { className: "nothing", textContent: "There is no picture." });
    box.style.aspectRatio = w + " / " + h;
    // As wide as the card, but never higher than half a screen of a desk.
    box.style.maxWidth = "calc(22rem * " + Math.min(1, w / h) + ")";
    box.append(element("img", { loading: "lazy", src: thumb(q), alt: "The photo " + q.name }));
    if (!q.face) return box;
    const svg = drawn("svg", { viewBox: "0 0 100 100", preserveAspectRatio: "none", "aria-hidden": "true" });
    const points = q.face.corners.map((p) => p.join(",")).join(" ");
    svg.append(drawn("polygon", { points, class: "under" }), drawn("polygon", { points }));
    box.append(svg);
    if (q.kind === "tip") q.face.ends.forEach((end, i) => box.append(endButton(q, end, q.face.ends[1 - i])));
    return box;
  }

  // Just beyond its end, so that it hides no part of the face that tells.
  function endButton(q, end, other) {
    const b = button(TIPS[end.tip][0], "The tip is this end: it points " + TIPS[end.tip][1], end.tip, q);
    const [w, h] = q.size, x = (end.at[0] - other.at[0]) * w, y = (end.at[1] - other.at[1]) * h;
    const long = Math.hypot(x, y) || 1;
    const place = (share, part) => "clamp(24px, calc(" + share + "% + " + (26 * part / long).toFixed(1) + "px), calc(100% - 24px))";
    b.className = "end";
    b.style.left = place(end.at[0], x);
    b.style.top = place(end.at[1], y);
    return b;
  }

  function choices(q) {
    const box = element("div", { className: "choices" });
    if (q.kind === "tip") {
      for (const tip of ["left", "up", "down", "right"]) box.append(button(TIPS[tip][0], "The tip points " + TIPS[tip][1], tip, q));
    } else if (q.kind === "method") {
      for (const method of Object.keys(METHODS)) box.append(button(METHODS[method].join(" · "), METHODS[method][0] + " check", method, q));
    } else if (q.kind === "same") {
      for (const same of Object.keys(SAME)) box.append(button(SAME[same].join(" · "), SAME[same][0], same, q));
    } else {
      const input = element("input", { type: "text", autocomplete: "off", maxLength: 200 });
      input.setAttribute("list", "sets");
      const form = element("form", {}, element("label", {}, "Jaw set ", input), element("button", { textContent: "Say" }));
      form.addEventListener("submit", (e) => { e.preventDefault(); named(q, input.value); });
      const same = element("button", { type: "button" });
      same.dataset.same = "";
      same.addEventListener("click", () => say(q, lastSet()));
      box.append(form, same);
    }
    return box;
  }

  // A cell is one line, without blanks around it.
  function named(q, text) {
    const name = text.replace(/\p{Cc}/gu, " ").trim();
    if (name) say(q, name);
  }

  function card(q, i) {
    const title = element("h2", { id: "ask-" + i, textContent: (i + 1) + ". " + TITLES[q.kind] });
    const shown = q.other ? element("div", { className: "pair" }, ...views(q).map(photo)) : photo(q);
    const c = element("section", { className: "ask" + (q.other ? " of-two" : ""), tabIndex: -1 }, title, shown);
    c.setAttribute("aria-labelledby", title.id);
    c.append(choices(q), element("p", { className: "answer", role: "status" }), element("p", { className: "small", textContent: q.why }));
    for (const p of views(q)) {
      const name = element("p", { className: "small" }, element("bdi", { textContent: p.name }));
      if (p.sha) name.append(" ", element("a", { href: "pictures/" + p.sha + ".jpg", target: "_blank", rel: "noopener", textContent: "Larger" }));
      c.append(name);
    }
    c.addEventListener("click", (e) => {
      if (e.target.closest("a, button, input") || i === at) return;
      at = i;
      show();
      tell();
    });
    // Whoever goes into a card by Tab or touch means that one.
    c.addEventListener("focusin", (e) => { if (i !== at && e.target.matches("input")) { at = i; show(); tell(); } });
    return c;
  }

  function tell() {
    const done = asked.filter((q) => said(q) !== undefined).length;
    const left = asked.filter((q) => skipped.has(key(q))).length;
    const all = done === asked.length ? " All is said: save the table." : "";
    const again = done + left === asked.length && left > 0 ? " Only those skipped are left." : "";
    region.querySelector("[data-do=skipped]").hidden = left === 0;
    document.getElementById("said").textContent = done + " of " + asked.length + " said" + (left ? ", " + left + " skipped." : ".") + all + again;
    const keeps = kept ? "What is said is kept in this browser until it is saved and after." : "This browser keeps nothing: save the table before you close or reload the page.";
    const lost = data.unread ? " " + data.unread + " lines of the earlier table could not be read and are not in the new one: keep the earlier one." : "";
    document.getElementById("kept").textContent = (saved || keeps) + lost;
  }

  // A spreadsheet takes for a formula what begins so; an apostrophe before it is taken off when it is read.
  const forCell = (text) => /^'*[=+\-@\t\r]/.test(text) ? "'" + text : text;
  const quoted = (cell) => /[",;\t\r\n']|^\s|\s$/.test(cell) ? '"' + cell.replaceAll('"', '""') + '"' : cell;

  // A number for every photo of which it is said that it is of another one's jaw or not: that of its jaw, else a free one.
  // The key of the first photo of a jaw stands for it.
  function jawNumbers() {
    const first = new Map(), photos = new Map(), numbers = new Map(), free = new Map();
    const jaw = (p) => first.get(photoKey(p));
    for (const q of asked) {
      const value = q.kind === "same" ? said(q) : undefined;
      if (value === undefined) continue;
      for (const p of views(q)) {
        photos.set(photoKey(p), [p, q]);
        if (!first.has(photoKey(p))) first.set(photoKey(p), photoKey(p));
      }
      const [one, other] = views(q).map(jaw);
      if (value === "same") for (const [k, v] of first) if (v === other) first.set(k, one);
    }
    for (const [p] of photos.values()) if (p.number && !numbers.has(jaw(p))) numbers.set(jaw(p), p.number);
    for (const [p, q] of photos.values()) {
      if (numbers.has(jaw(p))) continue;
      const next = free.get(q.check) ?? q.free;
      numbers.set(jaw(p), next);
      free.set(q.check, next + 1);
    }
    return [...photos.values()].filter(([p]) => !p.number).map(([p]) => [p, String(numbers.get(jaw(p)))]);
  }

  // The earlier table with what is said now in it: each photo's own line, or a new one at the end.
  function table() {
    const lines = data.lines.map((line) => [...line]);
    const column = (name) => data.columns.indexOf(name);
    const own = new Map();
    const lineOf = (p) => {
      if (p.line === null && !own.has(p.file)) {
        own.set(p.file, lines.length);
        lines.push(data.columns.map((c, i) => i === column("file") ? p.file : ""));
      }
      return lines[p.line ?? own.get(p.file)];
    };
    for (const q of asked) {
      const value = said(q);
      if (value === undefined || q.kind === "same") continue;
      const line = lineOf(q);
      line[column(COLUMN[q.kind])] = value;
      // A jaw set alone would gather the photos by time, from all folders: they stay the check that they are.
      if (q.kind === "jaw" && q.check && line[column("check")] === "") line[column("check")] = q.check;
    }
    for (const [p, number] of jawNumbers()) lineOf(p)[column(COLUMN.same)] = number;
    return [data.columns, ...lines].map((line) => line.map((cell) => quoted(forCell(cell))).join(",") + "\r\n").join("");
  }

  function save() {
    // The mark tells spreadsheets that it is UTF-8.
    const link = element("a", { download: "groups.csv", href: URL.createObjectURL(new Blob(["\ufeff" + table()], { type: "text/csv" })) });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    unsaved = false;
    saved = "Saved as groups.csv in the browser's folder for downloads: give it to the next review with --groups.";
    tell();
  }

  function toSkipped() {
    const first = asked.findIndex((q) => skipped.has(key(q)));
    skipped.clear();
    go(first < 0 ? at : first);
  }

  const DO = { back: () => go(at - 1), undo: takeBack, skip, save, skipped: toSkipped };
  const ARROWS = { ArrowUp: "up", ArrowDown: "down", ArrowLeft: "left", ArrowRight: "right" };

  function pressed(e) {
    const q = asked[at], letter = e.key.toLowerCase();
    if (q.kind === "tip" && ARROWS[e.key]) return () => sayTip(q, ARROWS[e.key]);
    if (q.kind === "method" && letter === "s") return () => say(q, "seep");
    if (q.kind === "method" && letter === "t") return () => say(q, "transfer");
    if (q.kind === "same" && letter === "y") return () => say(q, "same");
    if (q.kind === "same" && letter === "d") return () => say(q, "different");
    if (q.kind === "jaw" && letter === "j") return () => cardOf(at).querySelector("input").focus();
    if (q.kind === "jaw" && letter === "r" && lastSet() !== undefined) return () => say(q, lastSet());
    return { n: skip, b: DO.back, u: takeBack, l: toSkipped }[letter];
  }

  region.addEventListener("keydown", (e) => {
    const typing = e.target.matches("input");
    if (typing && e.key === "Escape") return cardOf(at).focus();
    if (typing || e.altKey) return;
    const undoing = (e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "z";
    const act = undoing ? takeBack : e.ctrlKey || e.metaKey ? undefined : pressed(e);
    if (!act) return;
    e.preventDefault();
    act();
  });
  for (const b of region.querySelectorAll("[data-do]")) b.addEventListener("click", DO[b.dataset.do]);
  window.addEventListener("beforeunload", (e) => { if (unsaved && !kept) e.preventDefault(); });

  const sets = element("datalist", { id: "sets" });
  data.sets.slice(0, 300).forEach((name) => sets.append(element("option", { value: name })));
  region.append(sets);
  recall();
  at = Math.max(0, asked.findIndex((q) => said(q) === undefined));
  show();
  tell();
  // So that the keys work at once; what stands above it stays in sight.
  cardOf(at).focus({ preventScroll: at < CARDS });
})();
