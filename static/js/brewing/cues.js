// Sound and vibration. A browser lets a page sound only after a tap, so the first tap unlocks it.

import { load, write } from "./store.js";

const KEY = "sound";
let audio = null;
let on = load(KEY) !== false;

export function unlock() {
  try {
    audio ??= new (window.AudioContext ?? window.webkitAudioContext)();
    if (audio.state === "suspended") { audio.resume(); }
  } catch { audio = null; }
}

export function isOn() {
  return on;
}

export function toggle() {
  on = !on;
  write(KEY, on);
  return on;
}

export function play(beeps) {
  document.dispatchEvent(new CustomEvent("brewcue", { detail: beeps }));
  if (!on) { return; }
  navigator.vibrate?.(Array.from({ length: 2 * beeps - 1 }, (_, index) => (index % 2 ? 120 : 160)));
  if (!audio) { return; }
  for (let index = 0; index < beeps; index += 1) { beep(audio.currentTime + 0.28 * index); }
}

function beep(at) {
  const tone = audio.createOscillator();
  const loudness = audio.createGain();
  tone.frequency.value = 880;
  loudness.gain.setValueAtTime(0.0001, at);
  loudness.gain.exponentialRampToValueAtTime(0.4, at + 0.02);
  loudness.gain.exponentialRampToValueAtTime(0.0001, at + 0.18);
  tone.connect(loudness).connect(audio.destination);
  tone.start(at);
  tone.stop(at + 0.2);
}
