"use client";

/** Register the service worker and put this page and what it is built from where it opens without signal. */
export async function keepOffline(): Promise<boolean> {
  if (!("serviceWorker" in navigator)) return false;
  await navigator.serviceWorker.register("/sw.js");
  await navigator.serviceWorker.ready;
  if (!navigator.onLine) return (await caches.match(location.href)) !== undefined;
  const parts = performance
    .getEntriesByType("resource")
    .map((entry) => entry.name)
    .filter((name) => name.startsWith(`${location.origin}/_next/static/`));
  const shell = await caches.open("raintrip-visits");
  await shell.addAll([location.href, ...new Set(parts)]);
  return true;
}
