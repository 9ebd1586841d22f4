// After the brew: the times really taken.

import { clock } from "./clock.js";
import { onPress } from "./press.js";
import * as store from "./store.js";

const root = document.getElementById("brew");
const part = (name) => root.querySelector(`[data-part="${name}"]`);

/** One line per row: what, when it was planned, when it was done. */
export function lines(plan, seen) {
  return plan.rows.map((step, index) => {
    const row = seen.rows[index];
    const planned = step.clock ?? clock(step.on < 0 ? step.after + step.lasts : row.end);
    const missed = row.dropped ? plan.words.dropped : index >= seen.present ? plan.words.skipped : plan.words.by_clock;
    return { what: step.target ? `${step.verb}, ${row.target}` : step.verb, planned, done: row.at === null ? missed : clock(row.at) };
  });
}

root.addEventListener("brewed", ({ detail: { plan, seen } }) => {
  part("log").replaceChildren(...lines(plan, seen).map((line) => {
    const row = document.createElement("tr");
    for (const [index, text] of [line.what, line.planned, line.done].entries()) {
      const cell = document.createElement(index ? "td" : "th");
      if (!index) { cell.scope = "row"; }
      cell.textContent = text;
      row.append(cell);
    }
    return row;
  }));
  onPress(part("again"), () => { store.forget(plan.id); location.reload(); });
});
