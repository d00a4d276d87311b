// On sign-out, what the phone kept of the garden's pages is dropped. What waits to be sent stays:
// it is nobody's to lose, and it is sent only after somebody signs in again.

async function dropKeptPages() {
  if (!("caches" in window)) return; // plain http keeps none
  for (const name of await caches.keys()) await caches.delete(name);
}

dropKeptPages();
