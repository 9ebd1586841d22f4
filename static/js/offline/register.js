// Keep this page, and the brewing page it leads to, for when there is no network. Where that cannot be, say nothing.

if ("serviceWorker" in navigator && window.isSecureContext) {
  navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" }).then(async () => {
    const { active } = await navigator.serviceWorker.ready;
    const brew = document.querySelector(".brew-link a")?.href;
    active.postMessage({ keep: [location.href, brew].filter(Boolean) });
  }).catch(() => {});
}
