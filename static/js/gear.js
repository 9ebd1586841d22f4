// Remembers a reader's gear on their own phone, as the part of an address that says it. Nothing is sent: a link made
// from it is followed only when the reader taps it.
const KEPT = "gear";
const yours = document.getElementById("yours");
const names = yours.dataset.names.split(" ");
const all = (what) => [...yours.querySelectorAll(what)];

function read() {
  try {
    return localStorage.getItem(KEPT) ?? "";
  } catch {
    return ""; // the reader's settings forbid it: everything works without
  }
}

function write(gear) {
  try {
    if (gear) localStorage.setItem(KEPT, gear);
    else localStorage.removeItem(KEPT);
  } catch {
    // as above
  }
  show();
}

// The present address with the kept gear in place of its own; what else it says stays.
function withGear(gear) {
  const query = new URLSearchParams(location.search);
  names.forEach((name) => query.delete(name));
  new URLSearchParams(gear).forEach((value, name) => query.set(name, value));
  return `?${query}`;
}

function show() {
  const kept = read();
  const here = yours.dataset.gear;
  for (const link of all("[data-use-gear]")) {
    link.parentElement.hidden = !kept || kept === here;
    if (kept) link.href = withGear(kept);
  }
  all("[data-kept]").forEach((part) => (part.hidden = !kept));
  all("[data-keep]").forEach((part) => (part.hidden = false));
  all("[data-offer]").forEach((part) => (part.hidden = !here || kept === here));
}

// Which bag of a guide was opened last, and which revision the one before it had: the server has written what changed
// since each, and the phone chooses.
function lastBag() {
  const { bag, guide, revision } = yours.dataset;
  if (!bag || !read()) return; // nothing is kept for a reader who keeps nothing
  try {
    const key = `bag.${guide}`;
    let known = JSON.parse(localStorage.getItem(key)) ?? {};
    if (known.bag !== bag) known = { bag, revision, before: known.revision };
    else known.revision = revision;
    localStorage.setItem(key, JSON.stringify(known));
    all(`[data-since="${Number(known.before)}"]`).forEach((line) => (line.hidden = false));
  } catch {
    // nothing kept, nothing to compare
  }
}

// A form opened without any gear in its address begins with what the phone keeps.
function fill() {
  if (yours.dataset.gear) return;
  new URLSearchParams(read()).forEach((value, name) => {
    const field = yours.elements[name];
    if (field && !field.value && !yours.querySelector("[aria-invalid]")) field.value = value;
  });
}

if (yours.matches("form")) {
  fill();
  yours.addEventListener("formdata", ({ formData }) => {
    // Empty fields ask for nothing: leave them out of the address.
    [...formData].filter(([, value]) => value === "").forEach(([name]) => formData.delete(name));
    const gear = new URLSearchParams([...formData].filter(([name]) => names.includes(name)));
    if (`${gear}` && yours.querySelector("[data-keep] input").checked) write(`${gear}`);
  });
}
function forget() {
  Object.keys(localStorage).filter((key) => key.startsWith("bag.")).forEach((key) => localStorage.removeItem(key));
  write("");
}

all("[data-forget]").forEach((button) => button.addEventListener("click", forget));
all("[data-offer] button").forEach((button) => {
  button.addEventListener("click", () => {
    write(yours.dataset.gear);
    lastBag();
  });
});
show();
lastBag();
