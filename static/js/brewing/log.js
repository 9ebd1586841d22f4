// Brews kept on this phone: read, saved as text, deleted. They never leave it by themselves.

import { onPress } from "./press.js";
import { load, write } from "./store.js";

const KEY = "brews";
const root = document.getElementById("brew");
const part = (name) => root.querySelector(`[data-part="${name}"]`);

const all = () => load(KEY) ?? [];

/** Keep a brew; a second time, in place of the first. False where this phone keeps nothing. */
export function add(brew) {
  const kept = write(KEY, [...all().filter((each) => each.started !== brew.started), brew]);
  show();
  return kept;
}

function when(brew) {
  return new Intl.DateTimeFormat(document.documentElement.lang, { dateStyle: "medium", timeStyle: "short" }).format(brew.started);
}

function show() {
  const brews = all();
  part("kept-brews").hidden = brews.length === 0;
  part("kept-list").replaceChildren(...brews.map((brew) => {
    const line = part("kept-line").content.cloneNode(true);
    line.querySelector("summary").textContent = when(brew);
    line.querySelector("pre").textContent = brew.text;
    onPress(line.querySelector("button"), () => {
      write(KEY, all().filter((each) => each.started !== brew.started));
      show();
    });
    return line;
  }));
  const text = brews.map((brew) => `${when(brew)}\n${brew.text}`).join("\n\n");
  part("export").href = `data:text/plain;charset=utf-8,${encodeURIComponent(text)}`;
}

show();
