// Practice, as its pages have it: what their forms do, and their pictures.
import { tell, told } from "./beside.js";

const ANSWERS = "/api/phone/practice";
const COMING = "The photos are coming …";
const READING = "Kept in a moment: the photos are being read first …";
const NOT_OVER = "the server did not take them; they are kept here, hand them over again";

const fieldsOf = (form) => JSON.stringify(Object.fromEntries(new FormData(form)));

// `show` puts the page anew in place.
export function rounds(worker, now, show) {
  const begin = async (form) => {
    // Asked where something is begun: a browser grants it sooner to a page that is used.
    navigator.storage?.persist?.();
    tell(form, "state", COMING);
    localStorage.practises = form.elements.by.value;
    const id = await worker("beginRound", fieldsOf(form), now());
    location.assign(`./?practice=${id}&at=1`);
  };

  const answer = async (form) => {
    const [round, at] = new URL(form.action).pathname.split("/").slice(-3);
    const button = form.querySelector("button");
    // A second tap of a glove says nothing more.
    if (button.disabled) return;
    button.disabled = true;
    tell(form, "state", READING);
    try {
      await worker("answerQuestion", round, Number(at), fieldsOf(form), now());
      await show();
      // What stands there now is read out, and comes into sight.
      const told = document.getElementById("answer");
      told.focus({ preventScroll: true });
      told.scrollIntoView();
    } finally {
      button.disabled = false;
    }
  };

  const handOver = async (form) => {
    for (let some; (some = await worker("toHandOver"));) {
      const [body, keys] = some;
      const request = { method: "POST", body, headers: { "Content-Type": "application/json" } };
      const took = await fetch(ANSWERS, request).catch(() => { throw { error: NOT_OVER }; });
      if (!took.ok) throw { answer: await took.text() };
      await worker("handedAnswers", keys);
    }
    await show();
  };

  return told({ "/practice/begin": begin, "/answer": answer, "/practice/hand-over": handOver });
}

// A question's photos. One that does not come is said in its place.
export function samplePictures(page, worker) {
  return Promise.all([...page.querySelectorAll("img[data-sample]")].map(async (image) => {
    const [round, at, index] = image.dataset.sample.split("/");
    try {
      const jpeg = await worker("samplePicture", round, Number(at), Number(index));
      image.src = URL.createObjectURL(new Blob([jpeg], { type: "image/jpeg" }));
    } catch ({ error }) {
      image.replaceWith(Object.assign(document.createElement("p"), { className: "fault", textContent: error }));
    }
  }));
}
