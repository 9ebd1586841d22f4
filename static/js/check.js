/* Asks the server for the check of what is typed, a moment after the last change; knows no formula. */

const QUIET_MS = 300;

const panel = document.querySelector("#check[data-address]");
if (panel) {
  live(panel, panel.closest("form"));
}

function live(panel, form) {
  const result = panel.querySelector("#check-result");
  const said = panel.querySelector("#check-said");
  const title = panel.querySelector("#check-title");
  const atTop = form.querySelector("#verdict");
  let waiting = 0;
  let asked = null;

  panel.querySelector(".no-script").hidden = true;
  form.addEventListener("input", (event) => changed(event.target));
  form.addEventListener("change", (event) => changed(event.target));
  form.addEventListener("steps-changed", () => changed(form));
  panel.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-rows]");
    if (button) {
      event.preventDefault();
      put(JSON.parse(button.dataset.rows));
    }
  });

  function changed(field) {
    forget(field);
    clearTimeout(waiting);
    waiting = setTimeout(ask, QUIET_MS);
  }

  async function ask() {
    asked?.abort();
    asked = new AbortController();
    const mine = asked;
    result.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(panel.dataset.address, {
        method: "POST",
        body: new FormData(form),
        signal: mine.signal,
      });
      const html = await answer.text();
      if (mine !== asked) {
        return;
      }
      if (answer.ok) {
        show(html);
      } else {
        say(answer.status === 403 || answer.status === 404 ? panel.dataset.shut : panel.dataset.lost, true);
      }
    } catch (error) {
      if (error.name !== "AbortError") {
        say(panel.dataset.lost, true);
      }
    } finally {
      if (mine === asked) {
        result.removeAttribute("aria-busy");
      }
    }
  }

  function show(html) {
    const fresh = document.createElement("div");
    fresh.innerHTML = html;
    keepWriting(fresh);
    const active = document.activeElement;
    const focused = result.contains(active) ? active.id || active.name + "=" + active.value : "";
    const selection = active?.id === "id_drip" ? [active.selectionStart, active.selectionEnd] : null;
    result.replaceChildren(...fresh.childNodes);
    title.textContent = panel.dataset.typed;
    const verdict = result.querySelector("[data-verdict]");
    say(verdict ? verdict.textContent : "", false);
    if (atTop && verdict) {
      atTop.className = verdict.className;
      atTop.querySelector("a").textContent = verdict.textContent;
    }
    refocus(focused, selection);
  }

  /* What is being typed into the answer's own field is newer than the answer. */
  function keepWriting(fresh) {
    const old = result.querySelector("#id_drip");
    const now = fresh.querySelector("#id_drip");
    if (old && now) {
      now.value = old.value;
    }
  }

  function refocus(focused, selection) {
    if (!focused) {
      return;
    }
    const [name, value] = focused.split("=");
    const again = value === undefined ? document.getElementById(name) : result.querySelector(`[name="${name}"]`);
    again?.focus({ preventScroll: true });
    if (selection && again) {
      again.setSelectionRange(...selection);
    }
  }

  function say(words, visible) {
    if (said.textContent !== words) {
      said.textContent = words;
    }
    said.className = visible ? "verdict stop" : "visually-hidden";
  }

  /* A message beside a field was about what stood there before. */
  function forget(field) {
    if (!field.id) {
      return;
    }
    field.removeAttribute("aria-invalid");
    const place = field.closest(".cell, .form-row, .fieldBox");
    place?.querySelectorAll("ul.errorlist").forEach((list) => list.remove());
    place?.classList.remove("errors");
  }

  function put(rows) {
    let first = null;
    for (const [name, value] of Object.entries(rows)) {
      const field = form.elements[name];
      if (field) {
        field.value = value;
        first ??= field;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      }
    }
    first?.focus();
  }
}
