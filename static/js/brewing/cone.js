// The drawings beside the table: the brewer as it stands at the present second, and the present pour from above.

export class Sights {
  constructor(root, plan) {
    this.plan = plan;
    this.cone = root.querySelector("[data-part=cone]");
    this.paths = [...root.querySelectorAll("[data-path]")];
    this.second = null;
  }

  /** At most one change a second, and none between two moments. */
  show(seen) {
    for (const path of this.paths) { path.hidden = Number(path.dataset.path) !== seen.present; }
    const second = Math.floor(this.planned(seen));
    if (!this.cone || second === this.second) { return; }
    this.second = second;
    const { moments } = this.plan.sights;
    const [, water, bed, runs] = moments.findLast(([at]) => at <= second) ?? moments[0];
    this.set("water", "y", water);
    this.set("bed", "y", bed);
    this.set("open", "display", runs ? "inline" : "none");
    this.set("shut", "display", runs ? "none" : "inline");
  }

  /** The second of the plan: rows that moved take the drawing with them, and a valve not yet turned holds it. */
  planned(seen) {
    const step = this.plan.rows[seen.present];
    const row = seen.rows[seen.present];
    const from = row.at === null && step.kind === "valve" ? Math.min(seen.now, row.end) : seen.now;
    return this.plan.sights.rows[seen.present] + from - row.start;
  }

  set(name, attribute, value) {
    const part = this.cone.querySelector(`[data-part="${name}"]`);
    if (part && part.getAttribute(attribute) !== String(value)) { part.setAttribute(attribute, value); }
  }
}
