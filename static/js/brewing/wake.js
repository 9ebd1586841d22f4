// Keep the screen on while brewing. The lock is lost whenever the page is hidden, so it is asked for again.

let wanted = false;
let lock = null;

export const possible = "wakeLock" in navigator;

export async function hold() {
  wanted = true;
  if (!possible || document.visibilityState !== "visible" || (lock && !lock.released)) { return; }
  try { lock = await navigator.wakeLock.request("screen"); } catch { lock = null; }
}

export function release() {
  wanted = false;
  lock?.release().catch(() => {});
  lock = null;
}

document.addEventListener("visibilitychange", () => { if (wanted) { hold(); } });
