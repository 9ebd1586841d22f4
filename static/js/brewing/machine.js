// The brew as a state machine. Pure: no page, no clock of its own, no formula. What was tapped is kept as a list of
// moments; everything else follows from that list, the plan the server sent, and the moment it is now. So a phone that
// slept, a page that was loaded again and a page in another language all come to the same.

export const FORMAT = 1;
const START = -1;

export function begin(plan, nowMs) {
  return { format: FORMAT, plan: plan.id, started: nowMs, log: [] };
}

export function belongs(plan, state) {
  return Boolean(state) && state.format === FORMAT && state.plan === plan.id && Array.isArray(state.log);
}

export function seconds(state, nowMs) {
  return Math.max((nowMs - state.started) / 1000, 0);
}

/** Add what was tapped: done, intime, wait, go, back, over, drip or stop. */
export function note(state, entry, nowMs) {
  return { ...state, log: [...state.log, { ...entry, at: seconds(state, nowMs) }] };
}

export function canUndo(plan, state, nowMs) {
  const last = state.log.at(-1);
  return Boolean(last) && seconds(state, nowMs) - last.at <= plan.undo;
}

export function undo(plan, state, nowMs) {
  return canUndo(plan, state, nowMs) ? { ...state, log: state.log.slice(0, -1) } : state;
}

/** Everything the page shows at a moment. */
export function look(plan, state, nowMs) {
  const now = seconds(state, nowMs);
  const tapped = read(state, now);
  const rows = onTheClock(plan, tapped);
  const present = firstOpen(plan, rows, tapped, now);
  const row = rows[present];
  const late = row && !isEvent(plan.rows[present]) ? Math.max(now - row.end, 0) : 0;
  return {
    now,
    rows,
    present,
    stopped: tapped.stopped,
    over: present >= rows.length || tapped.stopped !== null,
    waiting: tapped.waits.some((wait) => wait.open),
    begun: Boolean(row) && now >= row.start - plan.lead,
    late,
    overdue: late > plan.keep && (plan.rows[present].gate || tapped.held.has(present)),
    overflow: tapped.overs.at(-1) ?? null,
    drip: tapped.drip,
  };
}

function read(state, now) {
  const found = { done: new Map(), waits: [], held: new Set(), overs: [], drip: null, stopped: null };
  for (const entry of state.log) {
    if (entry.what === "done" || entry.what === "intime") {
      found.done.set(entry.row, entry);
    } else if (entry.what === "wait") {
      found.waits.push({ row: entry.row, from: entry.at, to: now, open: true });
    } else if (entry.what === "go") {
      const wait = found.waits.at(-1);
      if (wait) { wait.to = entry.at; wait.open = false; }
    } else if (entry.what === "back") {
      found.held.add(entry.row);
      for (const row of found.done.keys()) { if (row >= entry.row) { found.done.delete(row); } }
    } else if (entry.what === "over") {
      found.overs.push(entry);
    } else if (entry.what === "drip") {
      found.drip ??= entry;
    } else if (entry.what === "stop") {
      found.stopped = entry.at;
    }
  }
  return found;
}

/** Put every row on the clock: each from what it hangs on, those that count from the start moved by what was late. */
function onTheClock(plan, tapped) {
  const rows = [];
  let shift = 0;
  plan.rows.forEach((step, index) => {
    let start = (step.on === START ? shift : rows[step.on].finished) + step.after;
    let end = start + step.lasts;
    for (const wait of tapped.waits.filter((each) => each.row === index)) {
      const held = wait.to - wait.from;
      if (wait.from < start) { start += held; }
      end += held;
      shift += held;
    }
    const row = { start, end, finished: end, late: 0, at: null, shift, target: step.target, dropped: false };
    const tap = tapped.done.get(index);
    if (tap) {
      row.at = tap.what === "done" ? tap.at : end;
      if (isEvent(step)) {
        row.finished = tap.at;
        row.at = tap.at;
      } else if (tap.what === "done" && tap.at - end > plan.keep) {
        row.late = tap.at - end;
        row.finished = tap.at;
        shift += row.late;
      }
    }
    rows.push(row);
  });
  for (const { row, pick } of tapped.overs) { pourOn(plan, rows, row, pick); }
  return rows;
}

/** Put the server's targets for an over-pour in place of the plan's. */
function pourOn(plan, rows, row, pick) {
  const chosen = plan.rows[row]?.over?.[pick];
  if (!chosen) { return; }
  rows[row].target = chosen.reading;
  for (const [index, target] of Object.entries(chosen.targets)) { rows[index].target = target; }
  for (const index of chosen.dropped) { rows[index].dropped = true; }
}

/** The row that hands are at. The clock takes a row as done when the next one comes, but never a valve or an event. */
function firstOpen(plan, rows, tapped, now) {
  for (let index = 0; index < rows.length; index += 1) {
    const passed = tapped.done.has(index)
      || (!plan.rows[index].gate && !tapped.held.has(index) && now >= nextCue(plan, rows, index))
      || (rows[index].dropped && now >= rows[index].start);
    if (!passed) { return index; }
  }
  return rows.length;
}

function nextCue(plan, rows, index) {
  const next = plan.rows[index + 1];
  if (!next || isEvent(next)) { return rows[index].end; }
  return Math.max(rows[index + 1].start - plan.lead, rows[index].end);
}

function isEvent(step) {
  return step.kind === "drip" || step.kind === "drained";
}

/** Moments that sound between two looks, each with its beeps. A moment long past stays silent. */
export function cues(plan, seen, before, now) {
  const heard = [];
  const ring = (at, beeps) => {
    if (beeps && before < at && at <= now && now - at < 2) { heard.push(beeps); }
  };
  seen.rows.forEach((row, index) => {
    if (row.dropped || index < seen.present) { return; }
    const step = plan.rows[index];
    if (row.at === null) { ring(row.start, index === 0 ? 0 : step.beeps); }
    if (step.kind === "pour" && row.at === null) { ring(row.end, 3); }
  });
  return heard;
}

/** The sentence for a value among bands that end at ever larger values. */
export function saysFor(bands, value) {
  return bands?.find((band) => band.to === null || value <= band.to)?.says ?? "";
}
