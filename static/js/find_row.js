// Shows in place what a short list finds. Without it, or where it fails, the form itself goes and comes back.

async function look(button) {
  const form = button.form;
  const body = new FormData(form);
  body.append(button.name, button.value);
  const address = new URL(form.getAttribute("action") || "", location.href);
  if (form.method === "get") address.search = new URLSearchParams(body);
  const sent = form.method === "get" ? {} : { method: "POST", body };
  try {
    const answer = await fetch(address, sent);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const field = button.parentElement.querySelector("input").id;
    const found = page.getElementById(field).closest(".short-list");
    button.closest(".short-list").replaceWith(found);
    found.querySelector("select, input[type=checkbox]").focus();
  } catch {
    form.requestSubmit(button);
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest(".short-list .find button");
  if (!button) return;
  event.preventDefault();
  look(button);
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches(".short-list .find input")) return;
  event.preventDefault();
  look(event.target.parentElement.querySelector("button"));
});
