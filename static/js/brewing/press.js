// Controls for wet fingers: a second hit right after the first is the same finger, and stopping needs a hold.

const SAME_FINGER_MS = 400;
const HOLD_MS = 1000;

/** Call back on a press, by finger, mouse, key or switch, but not for the bounce after it. */
export function onPress(control, act) {
  let last = -Infinity;
  control.addEventListener("click", (event) => {
    const now = Date.now();
    if (now - last < SAME_FINGER_MS) { return; }
    last = now;
    act(event);
  });
}

/** Call back after a hold of a second by finger or key. Whoever cannot hold is asked by `confirm` instead. */
export function onHold(control, act, confirm) {
  let timer = 0;
  let held = false;
  const press = () => {
    if (timer) { return; }
    held = false;
    control.classList.add("held");
    timer = setTimeout(() => { held = true; release(); act(); }, HOLD_MS);
  };
  const release = () => {
    clearTimeout(timer);
    timer = 0;
    control.classList.remove("held");
  };
  control.addEventListener("pointerdown", press);
  for (const name of ["pointerup", "pointercancel", "pointerleave", "blur"]) { control.addEventListener(name, release); }
  control.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") { return; }
    event.preventDefault();
    if (!event.repeat) { press(); }
  });
  control.addEventListener("keyup", release);
  // A click without a press before it comes from a screen reader or a switch.
  let pressed = false;
  control.addEventListener("pointerdown", () => { pressed = true; });
  control.addEventListener("click", () => {
    if (!pressed && !held) { confirm(); }
    pressed = false;
  });
  control.addEventListener("contextmenu", (event) => event.preventDefault());
}
