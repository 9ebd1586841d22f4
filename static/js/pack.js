// While a format or a sheet is chosen, the copies that nobody changed follow: the server says how many. Without this,
// they follow when the form is sent.

for (const form of document.querySelectorAll("form[data-proposed]")) {
  const field = (name) => form.querySelector(`[name$="-${name}"]:not([name^="initial-"])`);
  const told = form.querySelector('[name^="initial-"][name$="-copies"]');

  form.addEventListener("change", async (event) => {
    if (!/-(paper|sheet|skip|flip)$/.test(event.target.name)) return;
    const asked = new URL(form.dataset.proposed, location);
    for (const name of ["paper", "sheet", "flip", "skip"]) asked.searchParams.set(name, field(name).value);
    try {
      const answer = await fetch(asked, { headers: { Accept: "text/html" } });
      if (!answer.ok) return;
      const now = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".proposed");
      const copies = field("copies");
      if (copies.value === told.value) copies.value = told.value = now.dataset.copies;
      form.querySelector(".proposed").replaceWith(now);
    } catch {
      // The form works it out when it is sent.
    }
  });
}
