// On a screen too short for both, the drawings may take the place of the rows still far off. Kept on this phone.

import { onPress } from "./press.js";
import { load, write } from "./store.js";

const KEY = "drawings";

export function offer(root, words) {
  const choices = [...root.querySelectorAll("[data-drawings-choice]")];
  const show = (on) => {
    root.toggleAttribute("data-drawings", on);
    for (const choice of choices) { choice.textContent = on ? words.drawings_on : words.drawings_off; }
  };
  for (const choice of choices) {
    onPress(choice, () => {
      const on = !root.hasAttribute("data-drawings");
      write(KEY, on);
      show(on);
    });
  }
  if (choices.length) { show(load(KEY) === true); }
}
