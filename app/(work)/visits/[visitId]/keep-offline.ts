"use client";

/** Register the service worker and put this page and what it is built from where it opens without signal. */
export async function keepOffline(): Promise<boolean> {
  if (!("serviceWorker" in navigator)) return false;
  await navigator.serviceWorker.register("/sw.js");
  await navigator.serviceWorker.ready;
  if (!navigator.onLine) return (await caches.match(location.href, { ignoreVary: true })) !== undefined;
  const parts = performance
    .getEntriesByType("resource")
    .map((entry) => entry.name)
    .filter((name) => name.startsWith(`${location.origin}/_next/static/`));
  const shell = await caches.open("raintrip-visits");
  await shell.addAll([...new Set(parts)]);
  const page = await fetch(location.href);
  // A visit that left the queue is answered with another page, which must not take the place of the one that is kept.
  const whole = page.ok && (await page.clone().text()).includes('class="visit-work');
  if (whole) await shell.put(location.href, page);
  return whole || (await caches.match(location.href, { ignoreVary: true })) !== undefined;
}
