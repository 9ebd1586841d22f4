// Two answers that cannot be taken for each other by ear: one high tone, or three low ones. A browser lets a page be
// heard only after the first key or touch.

const PATTERNS = {
  same: [[880, 0, 0.35]],
  first: [[660, 0, 0.08]],
  other: [[196, 0, 0.25], [185, 0.32, 0.25], [175, 0.64, 0.5]],
};

let context = null;

export function wake() {
  context ??= new AudioContext();
  if (context.state === "suspended") context.resume();
}

export function play(answer) {
  if (!answer || !context) return;
  const pattern = PATTERNS[answer] ?? PATTERNS.other;
  for (const [hertz, after, seconds] of pattern) {
    const tone = context.createOscillator();
    const loudness = context.createGain();
    const start = context.currentTime + after;
    tone.type = pattern === PATTERNS.other ? "square" : "sine";
    tone.frequency.value = hertz;
    loudness.gain.setValueAtTime(0.4, start);
    loudness.gain.linearRampToValueAtTime(0, start + seconds);
    tone.connect(loudness).connect(context.destination);
    tone.start(start);
    tone.stop(start + seconds);
  }
  document.documentElement.dataset.heard = answer;
}
