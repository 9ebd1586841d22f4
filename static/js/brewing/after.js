// After the brew: water to taste, a look at the bed, three taps of taste, and the times really taken.

import { clock } from "./clock.js";
import * as log from "./log.js";
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

function bypass(amounts) {
  if (!amounts.length) { return; }
  let at = 0;
  const show = () => {
    part("amount").textContent = amounts[at][0];
    part("strength").textContent = amounts[at][1];
  };
  for (const button of root.querySelectorAll("[data-add]")) {
    button.addEventListener("click", () => {
      at = Math.min(Math.max(at + Number(button.dataset.add), 0), amounts.length - 1);
      show();
    });
  }
  show();
}

/** What was tapped for some questions, joined; empty until all are answered. */
function tapped(names) {
  const taps = names.map((name) => root.querySelector(`[data-question="${name}"] input:checked`)?.value);
  return taps.every(Boolean) ? taps.join("-") : "";
}

function answer(after, soon) {
  const bed = after.bed[tapped(["wall", "bed", "end"])];
  if (bed) {
    part("bed-says").textContent = bed.says;
    for (const drawing of root.querySelectorAll("[data-bed]")) { drawing.hidden = drawing.dataset.bed !== bed.code; }
  }
  const taste = tapped(["strength", "balance", "feel"]);
  if (taste) { part("taste-says").textContent = after.taste[`${taste}-${soon ? "soon" : "fit"}`]; }
}

/** Everything worth keeping, as text. */
function written(plan, seen) {
  const said = [...root.querySelectorAll("[data-question] input:checked")].map((tap) => {
    const question = tap.closest("fieldset").querySelector("legend").textContent;
    return `${question}: ${tap.parentElement.textContent.trim()}`;
  });
  const water = part("amount")?.textContent;
  const rows = lines(plan, seen).map((line) => `${line.done}\t${line.planned}\t${line.what}`);
  return [root.querySelector("h1").textContent, ...rows, ...(water ? [`+ ${water}`] : []), ...said].join("\n");
}

root.addEventListener("brewed", ({ detail: { plan, state, seen } }) => {
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
  const drained = plan.rows.findIndex((step) => step.kind === "drained");
  const at = drained < 0 ? null : seen.rows[drained].at;
  bypass(plan.after.bypass);
  root.addEventListener("change", () => answer(plan.after, at !== null && at - seen.rows[drained].shift < plan.after.soon));
  onPress(part("keep"), () => {
    const kept = log.add({ started: state.started, text: written(plan, seen) });
    part("kept-note").textContent = kept ? plan.words.is_kept : plan.words.not_kept;
  });
  part("send")?.addEventListener("click", () => {
    store.write("brew-to-send", { text: written(plan, seen), drained: at === null ? null : Math.round(at) });
  });
  onPress(part("again"), () => { store.forget(plan.id); location.reload(); });
});
