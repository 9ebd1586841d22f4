// The guide's own table, with the present row enlarged in place.

import { clock, say, span } from "./clock.js";

export class Table {
  constructor(root, plan) {
    this.plan = plan;
    this.rows = [...root.querySelectorAll("[data-row]")];
    this.scroller = root;
    this.present = -1;
  }

  show(seen) {
    const { words } = this.plan;
    this.rows.forEach((element, index) => {
      const step = this.plan.rows[index];
      const row = seen.rows[index];
      const place = index < seen.present ? "past" : index === seen.present ? "now" : index === seen.present + 1 ? "next" : "";
      set(element, "className", `row ${step.kind} ${place}${row.dropped ? " dropped" : ""}${row.late ? " late" : ""}`);
      if (place === "now") { element.setAttribute("aria-current", "step"); } else { element.removeAttribute("aria-current"); }
      write(element, ".clock", this.when(step, row, seen, place === "now"));
      write(element, ".target", row.dropped ? words.dropped : row.target);
      write(element, ".state", this.state(place, row, seen));
    });
    if (this.present !== seen.present) {
      this.present = seen.present;
      this.rows[Math.min(seen.present + 1, this.rows.length - 1)]?.scrollIntoView({ block: "nearest" });
      this.rows[seen.present]?.scrollIntoView({ block: "nearest" });
    }
  }

  /** From and to in the present row, the beginning in the others; the server's words while the moment is not known. */
  when(step, row, seen, whole) {
    const known = step.on >= 0 && seen.rows[step.on].at !== null;
    if (row.at !== null && (step.clock || row.late)) { return clock(row.at); }
    if (step.clock && !known && (row.shift < 1 || step.brief === "")) { return whole ? step.clock : step.brief; }
    return whole ? span(row.start, row.end) : clock(row.start);
  }

  /** A word beside the row: how far off it is, or how late. */
  state(place, row, seen) {
    const { words } = this.plan;
    if (place === "past") { return row.late ? say(words.late, { time: clock(row.late) }) : ""; }
    if (place !== "now" && place !== "next") { return ""; }
    const off = row.start - seen.now;
    if (off > 0 && (place === "now" || off <= 60)) { return say(words.in, { time: clock(Math.ceil(off)) }); }
    if (place === "now" && seen.overdue) { return say(words.late, { time: clock(seen.late) }); }
    return place === "now" ? words.now : "";
  }
}

function write(element, selector, text) {
  const part = element.querySelector(selector);
  if (part && part.textContent !== text) { part.textContent = text; }
}

function set(element, name, value) {
  if (element[name] !== value) { element[name] = value; }
}
