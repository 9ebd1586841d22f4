// What this phone keeps: the running brew, by its plan. Private windows may refuse; then the brew lives on the page alone.

const RUNNING = "brew:";

export function keep(state) {
  write(RUNNING + state.plan, state);
}

export function kept(planId) {
  return load(RUNNING + planId);
}

export function forget(planId) {
  try { localStorage.removeItem(RUNNING + planId); } catch { /* nothing was kept */ }
}

export function write(key, value) {
  try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; }
}

export function load(key) {
  try { return JSON.parse(localStorage.getItem(key)); } catch { return null; }
}
