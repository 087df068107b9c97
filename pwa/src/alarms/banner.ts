/** The tag under which a push and this phone's own alarm of one clock are one banner. */
export async function bannerTag(clock_id: string): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(clock_id)));
  return btoa(String.fromCharCode(...digest))
    .replace(/\+/g, "-")
    .replace(/\//g, "_")
    .slice(0, 32);
}

/** A banner for a page that lives but is not seen; only where the person has allowed it. */
export async function banner(clock_id: string, title: string, text: string): Promise<boolean> {
  if (typeof Notification === "undefined" || Notification.permission !== "granted") return false;
  const registration = await navigator.serviceWorker?.getRegistration();
  if (!registration) return false;
  await registration.showNotification(title, { body: text, tag: await bannerTag(clock_id), requireInteraction: true });
  return true;
}
