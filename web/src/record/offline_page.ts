// Keeps the page's own files on this device, so that it opens without a network. No patient's data lies there.

/** `page` changes when any file of the page changes: then the new files are fetched, and used at the next opening. */
export async function keepPage(page: string): Promise<void> {
  if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return;
  await navigator.serviceWorker.register(`worker.js?page=${encodeURIComponent(page)}`).catch(() => undefined);
}
