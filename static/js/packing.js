// While a packing run is made, its page looks again by itself; without this, "Look again" does.

const EVERY_MS = 1500;

async function look() {
  const stand = document.querySelector("#stand[data-making]");
  if (!stand) return;
  try {
    const answer = await fetch(stand.dataset.stand, { headers: { Accept: "text/html" } });
    if (answer.ok) {
      const now = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("#stand");
      if (now && now.outerHTML !== stand.outerHTML) {
        // The acts that are open change with the state, and they are outside this piece.
        if (!("making" in now.dataset)) return location.reload();
        stand.replaceWith(now);
      }
    }
  } catch {
    // The next look may find the site again.
  }
  setTimeout(look, EVERY_MS);
}

setTimeout(look, EVERY_MS);
