// The brew that was just made, put into the form that sends it. Only whoever presses the button there sends anything.

import { load } from "./store.js";

const form = document.getElementById("send-brew");
const brew = load("brew-to-send");

if (form && brew && !form.elements.text.value) {
  form.elements.text.value = brew.text;
  form.elements.drained.value = brew.drained ?? "";
}
