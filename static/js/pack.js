// While a format or a sheet is chosen, the copies that nobody changed follow: the server says how many. Without this,
// they follow when the form is sent.

const PAPER = ["paper", "sheet", "flip", "skip"];

function field(within, name) {
  return within.querySelector(`[name$="${name}"]:not([name^="initial-"])`);
}

async function propose(lot, chosen) {
  const asked = new URL(lot.dataset.proposed, location);
  for (const [name, value] of Object.entries(chosen)) asked.searchParams.set(name, value);
  // Places are used up on the very first sheet only.
  if ("fresh" in lot.dataset) asked.searchParams.set("skip", 0);
  try {
    const answer = await fetch(asked, { headers: { Accept: "text/html" } });
    if (!answer.ok) return;
    const now = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".proposed");
    const copies = field(lot, "copies");
    const told = lot.querySelector('[name^="initial-"][name$="copies"]');
    if (copies.value === told.value) copies.value = told.value = now.dataset.copies;
    lot.querySelector(".proposed").replaceWith(now);
  } catch {
    // The form works it out when it is sent.
  }
}

for (const form of document.querySelectorAll("form[data-proposals]")) {
  form.addEventListener("change", (event) => {
    if (!PAPER.some((name) => event.target.name.endsWith(name))) return;
    const chosen = Object.fromEntries(PAPER.map((name) => [name, field(form, name).value]));
    for (const lot of form.querySelectorAll("[data-proposed]")) propose(lot, chosen);
  });
}
