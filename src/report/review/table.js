"use strict";
// Sorts, filters and pages the checks. Only the rows of the shown page are in the document, so that it
// stays fast with tens of thousands of checks. Texts are only ever set as text, never as HTML.
(() => {
  const data = window.seepline;
  const rows = data.rows.flat();
  const form = document.getElementById("filter");
  const fields = form.elements;
  const body = document.querySelector("#checks tbody");
  const heads = [...document.querySelectorAll("#checks th[data-sort]")];
  const NAMES = ["find", "pattern", "look", "reason", "from", "to", "below", "rows"];
  // Places in a row.
  const ID = 0, SET = 1, MADE = 2, PATTERN = 3, ACTION = 4, SURE = 5, FLAGS = 6, REASONS = 7, CHANGE = 8, COUNT = 9, THUMBS = 10, FILES = 11, DONE = 12;
  const setNames = data.sets.map((s) => s[0]);
  const lowered = setNames.map((name) => name.toLowerCase());
  // The first press sorts so that what deserves a look comes first; the second turns it round.
  const FIRST_DOWN = { date: true, flags: true };
  const KEYS = {
    date: (r) => r[MADE], set: (r) => lowered[r[SET]], pattern: (r) => data.patterns[r[PATTERN]],
    // No change is no number: it comes after all changes.
    change: (r) => r[CHANGE] < 0 ? 1e9 + r[ACTION] : r[CHANGE], confidence: (r) => r[SURE], flags: (r) => ones(r[FLAGS]),
  };
  // Lowered once: every key of the filter looks through all of them.
  const texts = new Map(rows.map((r) => [r, (r[FILES] + "\n" + r[DONE]).toLowerCase()]));
  let sort = "date", down = true, page = 0, found = [];
  const sorted = new Map();

  function ones(bits) { let n = 0; for (; bits; bits &= bits - 1) n++; return n; }

  function option(select, value, text) {
    const o = document.createElement("option");
    o.value = value;
    o.textContent = text;
    select.append(o);
  }

  function fillChoices() {
    data.patterns.forEach((p) => option(fields.pattern, p, p));
    data.flags.forEach(([word, text]) => option(fields.look, word, text));
    data.reasons.forEach((r) => option(fields.reason, r, r));
    // More than some hundred suggestions help nobody.
    setNames.slice(0, 300).forEach((name) => option(document.getElementById("sets"), name, name));
  }

  // Sorting tens of thousands of rows takes longer than filtering them: each order is kept.
  function inOrder() {
    const name = sort + down;
    if (!sorted.has(name)) {
      const key = KEYS[sort], way = down ? -1 : 1;
      const keys = new Map(rows.map((r) => [r, key(r)]));
      const compare = (a, b) => {
        const x = keys.get(a), y = keys.get(b);
        if (x !== y) return x < y ? -way : way;
        return a[MADE] === b[MADE] ? (a[ID] < b[ID] ? -1 : 1) : (a[MADE] < b[MADE] ? 1 : -1);
      };
      sorted.set(name, [...rows].sort(compare));
    }
    return sorted.get(name);
  }

  function filter() {
    const find = fields.find.value.trim().toLowerCase();
    const sets = lowered.map((name) => name.includes(find));
    const pattern = data.patterns.indexOf(fields.pattern.value);
    const look = data.flags.findIndex((f) => f[0] === fields.look.value);
    const reason = data.reasons.indexOf(fields.reason.value);
    const from = fields.from.value, to = fields.to.value;
    const below = fields.below.value === "" ? 1000 : Number(fields.below.value);
    return inOrder().filter((r) =>
      (sets[r[SET]] || r[ID].startsWith(find) || texts.get(r).includes(find)) &&
      (pattern < 0 || r[PATTERN] === pattern) &&
      (look < 0 || r[FLAGS] >> look & 1) &&
      (reason < 0 || r[REASONS] >> reason & 1) &&
      (from === "" || r[MADE] >= from) &&
      (to === "" || (r[MADE] !== "" && r[MADE].slice(0, 10) <= to)) &&
      r[SURE] < below);
  }

  function cell(tr, label, ...parts) {
    const td = document.createElement(label === "Check" ? "th" : "td");
    if (label === "Check") td.scope = "row";
    td.dataset.label = label;
    td.append(...parts);
    tr.append(td);
    return td;
  }

  function link(to, text) {
    const a = document.createElement("a");
    a.href = to;
    a.textContent = text;
    return a;
  }

  function bdi(inner) {
    const b = document.createElement("bdi");
    b.append(inner);
    return b;
  }

  function change(r) {
    if (r[CHANGE] < 0 || r[ACTION] === 0) return [];
    return data.changes[r[CHANGE]].map((text) => {
      const span = document.createElement("span");
      span.className = "amount";
      span.textContent = text;
      return span;
    });
  }

  function thumb(r, sha, i) {
    const img = document.createElement("img");
    img.loading = "lazy";
    img.alt = "Jaw " + (i + 1);
    img.src = "thumbs/" + sha + ".jpg";
    const a = link("checks/" + r[ID] + ".html", "");
    // The date links to the same page; one stop for the keyboard is enough.
    a.tabIndex = -1;
    a.append(img);
    return a;
  }

  function row(r) {
    const tr = document.createElement("tr");
    cell(tr, "Check", link("checks/" + r[ID] + ".html", r[MADE] || "no date"));
    cell(tr, "Jaw set", bdi(link(data.sets[r[SET]][1], setNames[r[SET]])));
    cell(tr, "Pattern", data.patterns[r[PATTERN]]);
    cell(tr, "Advice", data.actions[r[ACTION]], ...change(r));
    cell(tr, "Confidence", r[SURE] ? r[SURE] + " %" : "none");
    const flags = data.flags.filter((f, i) => r[FLAGS] >> i & 1).map((f) => f[1]);
    const reasons = data.reasons.filter((x, i) => r[REASONS] >> i & 1);
    cell(tr, "Look at", [...flags, ...reasons].join("; "));
    cell(tr, "Done", ...(r[DONE] ? [bdi(r[DONE])] : []));
    const more = r[COUNT] > r[THUMBS].length ? " " + r[COUNT] + " in all" : "";
    cell(tr, "Photos", ...r[THUMBS].map((sha, i) => thumb(r, sha, i)), more).className = "thumbs";
    return tr;
  }

  function show() {
    const size = Number(fields.rows.value) || 50;
    const pages = Math.max(1, Math.ceil(found.length / size));
    page = Math.min(Math.max(page, 0), pages - 1);
    const first = page * size, last = Math.min(found.length, first + size);
    body.replaceChildren(...found.slice(first, last).map(row));
    const of = found.length === rows.length ? "" : " of " + rows.length + " checks";
    document.getElementById("count").textContent = found.length === 0
      ? "No check" + of + " fits."
      : "Rows " + (first + 1) + " to " + last + ", " + found.length + (of || " checks") + ".";
    for (const nav of document.querySelectorAll(".turn")) {
      nav.hidden = pages < 2;
      nav.querySelector("[data-page]").textContent = "Page " + (page + 1) + " of " + pages;
      for (const b of nav.querySelectorAll("button")) {
        b.disabled = /first|back/.test(b.dataset.turn) ? page === 0 : page === pages - 1;
      }
    }
    for (const th of heads) {
      if (th.dataset.sort === sort) th.setAttribute("aria-sort", down ? "descending" : "ascending");
      else th.removeAttribute("aria-sort");
    }
  }

  function update() {
    found = filter();
    show();
    remember();
  }

  // The address says what is shown, so that it can be kept and passed on. Browsers limit how often it
  // may change, so it follows when the typing stops.
  let waiting = 0;
  function remember() {
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      const hash = "#" + state();
      // A file's page may not be allowed to write it; the table works all the same.
      if (location.hash !== hash) try { history.replaceState(null, "", hash); } catch { /* see above */ }
    }, 250);
  }

  function state() {
    const now = new URLSearchParams();
    for (const name of NAMES) {
      const value = fields[name].value;
      if (value && !(name === "rows" && value === "50")) now.set(name, value);
    }
    if (sort !== "date" || !down) now.set("sort", (down ? "-" : "") + sort);
    if (page > 0) now.set("page", page + 1);
    return now.toString();
  }

  function recall() {
    const was = new URLSearchParams(location.hash.slice(1));
    for (const name of NAMES) fields[name].value = was.get(name) ?? (name === "rows" ? "50" : "");
    for (const name of ["pattern", "look", "reason"]) if (fields[name].selectedIndex < 0) fields[name].value = "";
    if (fields.rows.selectedIndex < 0) fields.rows.value = "50";
    const by = was.get("sort") ?? "-date";
    const known = by.replace(/^-/, "");
    [sort, down] = Object.hasOwn(KEYS, known) ? [known, by.startsWith("-")] : ["date", true];
    page = (Number.parseInt(was.get("page"), 10) || 1) - 1;
    update();
  }

  form.addEventListener("input", () => { page = 0; update(); });
  form.addEventListener("submit", (e) => e.preventDefault());
  form.addEventListener("reset", () => setTimeout(() => { page = 0; update(); }));
  for (const th of heads) {
    th.querySelector("button").addEventListener("click", () => {
      const by = th.dataset.sort;
      down = by === sort ? !down : Boolean(FIRST_DOWN[by]);
      sort = by;
      page = 0;
      update();
    });
  }
  for (const b of document.querySelectorAll("[data-turn]")) {
    b.addEventListener("click", () => {
      page = { first: 0, back: page - 1, on: page + 1, last: Infinity }[b.dataset.turn];
      show();
      remember();
      if (b.closest(".status").nextElementSibling === null) document.getElementById("checks").scrollIntoView();
    });
  }
  window.addEventListener("hashchange", recall);
  fillChoices();
  recall();
})();
