// Before the clock: each line is ticked or skipped; a skipped one says so.

const root = document.getElementById("brew");

for (const button of root.querySelectorAll("[data-skip]")) {
  const line = button.closest("li");
  const box = line.querySelector("input");
  button.addEventListener("click", () => {
    const skipped = line.classList.toggle("skipped");
    button.setAttribute("aria-pressed", String(skipped));
    if (skipped) { box.checked = false; }
  });
  box.addEventListener("change", () => {
    line.classList.remove("skipped");
    button.setAttribute("aria-pressed", "false");
  });
}
