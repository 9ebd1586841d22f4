/* Adds, moves, doubles and takes out steps. The places are fields of the form: without this script people write them. */

const group = document.querySelector("#steps-group:has([data-add])");
if (group) {
  edit(group);
}

function edit(group) {
  const form = group.closest("form");
  const total = form.elements["steps-TOTAL_FORMS"];
  const most = Number(form.elements["steps-MAX_NUM_FORMS"].value);
  const said = group.querySelector("#steps-said");
  const blank = group.querySelector("#steps-empty");
  const addButton = group.querySelector("[data-add]");

  group.querySelectorAll("[data-scripted]").forEach((one) => {
    one.hidden = false;
  });
  group.querySelectorAll(".delete").forEach((one) => {
    one.hidden = true;
  });
  dropBlank();
  for (const row of rows()) {
    retitle(row);
    if (removed(row)) {
      mark(row, true);
    }
  }
  addButton.addEventListener("click", () => added(blank));
  group.addEventListener("click", (event) => {
    const button = event.target.closest("[data-do]");
    if (button) {
      act(button.dataset.do, button.closest(".inline-related"), button);
    }
  });
  group.addEventListener("keydown", (event) => {
    const row = event.target.closest(".inline-related");
    if (row && event.altKey && ["ArrowUp", "ArrowDown"].includes(event.key)) {
      event.preventDefault();
      act(event.key === "ArrowUp" ? "up" : "down", row, event.target);
    }
  });
  group.addEventListener("input", (event) => retitle(event.target.closest(".inline-related")));

  function rows() {
    return [...group.querySelectorAll(".inline-related:not(.empty-form)")];
  }

  /* The blank rows at the end are for those who cannot add one. */
  function dropBlank() {
    for (const row of rows().reverse().slice(0, -1)) {
      const written = [...row.querySelectorAll("input:not([type=hidden], [type=checkbox]), textarea")];
      if (field(row, "id").value || written.some((one) => one.value) || row.querySelector(".errorlist")) {
        return;
      }
      row.remove();
      total.value = String(Number(total.value) - 1);
    }
  }

  function kept() {
    return rows().filter((row) => !removed(row));
  }

  function field(row, name) {
    return row.querySelector(`[name="${row.id}-${name}"]`);
  }

  function removed(row) {
    return Boolean(field(row, "DELETE")?.checked);
  }

  function act(what, row, focused) {
    if (what === "up" || what === "down") {
      move(row, what === "up" ? -1 : 1, focused);
    } else if (what === "double") {
      added(row);
    } else {
      remove(row, what === "remove");
    }
  }

  function move(row, by, focused) {
    const others = kept();
    const beside = others[others.indexOf(row) + by];
    if (removed(row) || !beside) {
      say(row, by < 0 ? "saidFirst" : "saidLast");
      return;
    }
    by < 0 ? beside.before(row) : beside.after(row);
    number();
    focused.focus();
    row.scrollIntoView({ block: "nearest" });
    say(row, "saidMoved");
  }

  function added(model) {
    const count = Number(total.value);
    if (count >= most) {
      say(model, "saidFull");
      return;
    }
    const row = blank.cloneNode(true);
    rename(row, `steps-${count}`);
    row.classList.remove("empty-form", "last-related");
    total.value = String(count + 1);
    if (model === blank) {
      blank.before(row);
    } else {
      model.after(row);
      for (const name of copied(model)) {
        const from = field(model, name);
        from.type === "checkbox" ? (field(row, name).checked = from.checked) : (field(row, name).value = from.value);
      }
    }
    number();
    field(row, model === blank ? "action" : "start_s").focus();
    say(row, model === blank ? "saidAdded" : "saidDoubled");
  }

  function copied(row) {
    return [...row.querySelectorAll("input, select, textarea")]
      .map((one) => one.name.slice(row.id.length + 1))
      .filter((name) => name && !["id", "version", "position", "DELETE"].includes(name));
  }

  function rename(row, prefix) {
    row.id = prefix;
    for (const one of row.querySelectorAll("*")) {
      for (const name of ["id", "name", "for", "aria-describedby"]) {
        const value = one.getAttribute(name);
        if (value) {
          one.setAttribute(name, value.replace("__prefix__", prefix.slice("steps-".length)));
        }
      }
    }
  }

  function remove(row, gone) {
    field(row, "DELETE").checked = gone;
    mark(row, gone);
    number();
    row.querySelector(`[data-do="${gone ? "keep" : "remove"}"]`).focus();
    say(row, gone ? "saidRemoved" : "saidKept");
  }

  function mark(row, gone) {
    row.classList.toggle("removed", gone);
    row.querySelectorAll("[data-kept]").forEach((one) => {
      one.hidden = gone;
    });
    row.querySelectorAll("[data-gone]").forEach((one) => {
      one.hidden = !gone;
    });
  }

  function number() {
    kept().forEach((row, index) => {
      field(row, "position").value = String(index + 1);
      retitle(row);
    });
    group.dispatchEvent(new CustomEvent("steps-changed", { bubbles: true }));
  }

  function retitle(row) {
    if (!row || row.classList.contains("empty-form")) {
      return;
    }
    const action = field(row, "action");
    const [from, to, grams] = ["start_s", "end_s", "target_g"].map((name) => field(row, name).value.trim());
    const clock = from && to && from !== to ? `${from}–${to}` : from || to;
    if (!clock && !grams && !field(row, "id").value) {
      return; // nothing in it yet: it is still called new
    }
    const place = field(row, "position").value;
    const words = [action.options[action.selectedIndex]?.text, clock, grams && `${grams}\u00a0g`].filter(Boolean);
    row.querySelector(".inline_label").textContent = (place ? `${place}. ` : "") + words.join(", ");
  }

  function say(row, what) {
    const place = kept().indexOf(row) + 1;
    said.textContent = group.dataset[what].replace("{place}", place).replace("{all}", kept().length);
  }
}
