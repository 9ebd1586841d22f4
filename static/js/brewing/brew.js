// The brewing page: taps in, the machine's view out.

import "./after.js";
import "./before.js";
import { clock, say } from "./clock.js";
import { Sights } from "./cone.js";
import * as cues from "./cues.js";
import * as look from "./look.js";
import * as machine from "./machine.js";
import { onHold, onPress } from "./press.js";
import * as store from "./store.js";
import { Table } from "./table.js";
import * as wake from "./wake.js";

const root = document.getElementById("brew");
const plan = JSON.parse(document.getElementById("brew-plan").textContent);
const { words } = plan;
const part = (name) => root.querySelector(`[data-part="${name}"]`);
const table = new Table(part("table"), plan);
const sights = new Sights(part("sights"), plan);

let state = store.kept(plan.id);
let before = 0;
let noteUntil = 0;

if (!machine.belongs(plan, state) || machine.seconds(state, Date.now()) > plan.forget) { state = null; }

function stage(name) {
  root.dataset.stage = name;
  document.documentElement.dataset.brew = name;
}

function tell(sentence, seconds = 12) {
  part("said").textContent = sentence;
  noteUntil = Date.now() + 1000 * seconds;
}

function change(entry) {
  state = machine.note(state, entry, Date.now());
  store.keep(state);
  draw();
}

function draw() {
  if (!state) { return; }
  const seen = machine.look(plan, state, Date.now());
  for (const beeps of machine.cues(plan, seen, before, seen.now)) { cues.play(beeps); }
  before = seen.now;
  if (seen.over) { if (root.dataset.stage !== "after") { finish(seen); } return; }
  table.show(seen);
  sights.show(seen);
  write(part("clock"), clock(seen.now));
  controls(seen);
  if (noteUntil && Date.now() > noteUntil) { part("said").textContent = seen.waiting ? words.waiting : ""; noteUntil = 0; }
}

function controls(seen) {
  const step = plan.rows[seen.present];
  const row = seen.rows[seen.present];
  const late = seen.late > plan.keep;
  const main = part("main");
  write(main, seen.waiting ? words.go_on : !seen.begun ? say(words.early, { time: clock(row.start) }) : late ? words.only_now : step.done);
  main.setAttribute("aria-disabled", String(!seen.begun && !seen.waiting));
  part("in-time").hidden = !seen.overdue || seen.waiting;
  part("undo").hidden = !machine.canUndo(plan, state, Date.now());
  part("over").hidden = pouring(seen) === null;
  part("drip").hidden = !plan.drip || seen.drip !== null || seen.now > opened(seen) + 30;
  part("wait").hidden = seen.waiting;
  part("back").hidden = seen.present === 0;
}

/** The pour that the scale shows: the one at hand, or the one just done. */
function pouring(seen) {
  for (let index = Math.min(seen.present, plan.rows.length - 1); index >= 0; index -= 1) {
    if (plan.rows[index].kind === "pour" && seen.now >= seen.rows[index].start) { return plan.rows[index].over ? index : null; }
    if (index < seen.present - 1) { return null; }
  }
  return null;
}

function opened(seen) {
  const index = plan.rows.findIndex((step) => step.kind === "valve");
  const row = seen.rows[index];
  return index >= seen.present ? Infinity : row.finished;
}

function press(what) {
  const seen = machine.look(plan, state, Date.now());
  const index = seen.present;
  const step = plan.rows[index];
  if (seen.waiting) { change({ what: "go", row: index }); tell(""); return; }
  if (!seen.begun) { tell(say(words.early, { time: clock(seen.rows[index].start) }), 3); return; }
  change({ what, row: index });
  const row = machine.look(plan, state, Date.now()).rows[index];
  if (step.kind === "drained" && step.late.length) {
    tell(machine.saysFor(step.late, row.at - row.shift));
  } else if (what === "done" && row.late) {
    const time = { time: clock(row.late) };
    tell(`${say(words.late, time)} ${say(words.shifted, time)} ${machine.saysFor(step.late, row.late)}`);
  } else if (what === "done" && seen.late >= 1) {
    tell(`${say(words.late, { time: clock(seen.late) })} ${words.kept}`, 5);
  } else {
    tell("", 1);
  }
}

function askOver() {
  const index = pouring(machine.look(plan, state, Date.now()));
  if (index === null) { return; }
  const list = part("readings");
  list.replaceChildren(...plan.rows[index].over.map((over, pick) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = over.reading;
    onPress(button, () => {
      part("over-dialog").close();
      change({ what: "over", row: index, pick });
      tell(over.says, 60);
    });
    return button;
  }));
  part("over-dialog").showModal();
}

function drip() {
  const seen = machine.look(plan, state, Date.now());
  const open = opened(seen);
  change({ what: "drip" });
  tell(open > seen.now ? plan.drip.shut : machine.saysFor(plan.drip.bands, seen.now - open), 30);
}

function undo() {
  state = machine.undo(plan, state, Date.now());
  store.keep(state);
  tell(words.undone, 3);
  draw();
}

function start() {
  cues.unlock();
  state = machine.begin(plan, Date.now());
  store.keep(state);
  run();
}

function run() {
  stage("brew");
  wake.hold();
  if (!wake.possible && !store.load("no-wake-told")) {
    store.write("no-wake-told", true);
    tell(words.no_wake, 20);
  }
  before = machine.seconds(state, Date.now());
  draw();
}

function finish(seen) {
  wake.release();
  stage("after");
  root.dispatchEvent(new CustomEvent("brewed", { detail: { plan, state, seen } }));
}

function stop() {
  part("more-dialog").close();
  change({ what: "stop" });
}

function write(element, text) {
  if (element.textContent !== text) { element.textContent = text; }
}

onPress(part("start"), start);
onPress(part("main"), () => { cues.unlock(); press("done"); });
onPress(part("in-time"), () => press("intime"));
onPress(part("undo"), undo);
onPress(part("over"), askOver);
onPress(part("beyond"), () => { part("over-dialog").close(); tell(plan.beyond, 60); });
onPress(part("drip"), drip);
onPress(part("wait"), () => {
  change({ what: "wait", row: machine.look(plan, state, Date.now()).present });
  tell(words.waiting, 60);
});
onPress(part("more"), () => part("more-dialog").showModal());
onPress(part("back"), () => {
  part("more-dialog").close();
  change({ what: "back", row: machine.look(plan, state, Date.now()).present - 1 });
});
onPress(part("sound"), () => { cues.unlock(); write(part("sound"), cues.toggle() ? words.sound_on : words.sound_off); });
onHold(part("stop"), stop, () => part("stop-dialog").showModal());
onPress(part("stop-yes"), () => { part("stop-dialog").close(); stop(); });
for (const close of root.querySelectorAll("[data-close]")) { onPress(close, () => close.closest("dialog").close()); }
write(part("sound"), cues.isOn() ? words.sound_on : words.sound_off);
look.offer(root, words);

document.addEventListener("visibilitychange", draw);
setInterval(draw, 200);
root.classList.add("live");
if (state) { run(); } else { stage("before"); }
