// A trial brew at the roastery: what was tapped goes along into the form that logs it, nothing typed again.

import { clock } from "./clock.js";

const root = document.getElementById("brew");
const link = root.querySelector('[data-part="log-brew"]');
const told = JSON.parse(document.getElementById("trial-rows").textContent);

/** Every pour that was made, a line each: from, to, what the scale shows. */
function pours(plan, seen) {
  return plan.rows.map((step, index) => ({ step, index, row: seen.rows[index] }))
    .filter(({ step, index, row }) => step.kind === "pour" && index < seen.present && !row.dropped)
    .map(({ row }) => `${clock(row.start)}–${clock(row.at ?? row.end)} ${row.target}`)
    .join("\n");
}

function moment(seen, index) {
  const at = seen.rows[index]?.at;
  return at === null || at === undefined ? "" : clock(at);
}

function answers() {
  return [...root.querySelectorAll("[data-question] input:checked")].map((tap) => [tap.name, tap.value]);
}

root.addEventListener("brewed", ({ detail: { plan, state, seen } }) => {
  const address = new URL(link.href);
  const fill = (name, value) => { if (value) { address.searchParams.set(name, value); } };
  fill("opened_s", moment(seen, told.opened));
  fill("drained_s", moment(seen, told.drained));
  fill("first_drip_s", seen.drip ? clock(seen.drip.at) : moment(seen, told.drip));
  fill("pours", pours(plan, seen));
  const refresh = () => {
    for (const [name, value] of answers()) { fill(name, value); }
    link.href = address.href;
  };
  root.addEventListener("change", refresh);
  for (const button of root.querySelectorAll("[data-add]")) {  // water to taste: what was really added, once it was touched
    button.addEventListener("click", () => {
      fill("bypass_g", root.querySelector('[data-part="amount"]').textContent.match(/[\d.,]+/)[0].replace(",", "."));
      refresh();
    });
  }
  refresh();
});
