// Bag and insert one after the other, without touching anything: what is scanned goes to the site, the answer takes the
// place of the last one and is heard. Without this, every code is a page of its own.

import * as camera from "./camera.js";
import { play, wake } from "./sound.js";

const form = document.querySelector("#pair-form");
const pair = document.querySelector("#pair");
const code = form.elements.code;
const photo = form.elements.photo;

// A scanner may be quicker than the site: one code after the other, each with what was answered before it.
let turn = Promise.resolve();

function show(html) {
  pair.innerHTML = html;
  scrollTo(0, 0);
  play(pair.querySelector("[data-answer]")?.dataset.answer);
}

function silent() {
  const line = document.createElement("p");
  line.className = "error";
  line.textContent = form.dataset.silent;
  pair.querySelector(".answer").append(line);
  play("error");
}

function send(fields) {
  turn = turn.then(async () => {
    const body = new FormData();
    body.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
    body.append("first", pair.querySelector("[name=first]").value);
    for (const [name, value] of Object.entries(fields)) body.append(name, value);
    try {
      const answer = await fetch(location.pathname, { method: "POST", body, headers: { "X-Piece": "1" } });
      if (!answer.ok || answer.redirected) throw new Error(answer.status);
      show(await answer.text());
    } catch {
      silent();
    }
  });
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  if (photo.files.length) send({ photo: photo.files[0], means: "photo" });
  else send({ code: code.value, means: "keys" });
  code.value = "";
  photo.value = "";
  code.focus({ preventScroll: true });
});

photo.addEventListener("change", () => photo.files.length && form.requestSubmit());

// Wherever the focus went, what a scanner types arrives in the field.
document.addEventListener("keydown", (event) => {
  wake();
  const plain = event.key.length === 1 && event.key !== " " && !event.ctrlKey && !event.metaKey && !event.altKey;
  if (plain) code.focus({ preventScroll: true });
});
document.addEventListener("pointerdown", wake);

// The camera: a code counts once, until it has left the view.
const button = document.querySelector("#camera");
const CLEAR_MS = 1500;
const seen = new Map();
let stop = null;

function found(codes) {
  const now = Date.now();
  for (const [text, at] of seen) if (now - at > CLEAR_MS) seen.delete(text);
  for (const text of codes) {
    if (!seen.has(text)) send({ code: text, means: "camera" });
    seen.set(text, now);
  }
}

function off() {
  stop = null;
  button.setAttribute("aria-pressed", "false");
}

button.addEventListener("click", async () => {
  if (stop) {
    stop();
    off();
    return;
  }
  button.setAttribute("aria-pressed", "true");
  stop = await camera.look(document.querySelector("#view"), form, found, () => {
    off();
    const note = document.querySelector("#no-camera");
    note.textContent = form.dataset.dark;
    note.hidden = false;
  });
  if (button.getAttribute("aria-pressed") === "false") stop = null;
});

button.hidden = !camera.there;
document.querySelector("#no-camera").hidden = camera.there;
