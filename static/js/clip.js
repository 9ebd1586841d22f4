// Puts a clip in the place of its picture when it is tapped; until then nothing of it is fetched.
// Without this script the link leads to the clip itself.

for (const link of document.querySelectorAll("a[data-clip]")) {
  link.addEventListener("click", (event) => {
    event.preventDefault();
    const clip = link.parentElement.querySelector("template").content.firstElementChild.cloneNode(true);
    link.replaceWith(clip);
    clip.focus();
  });
}
