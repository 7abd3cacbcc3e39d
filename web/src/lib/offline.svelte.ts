// The service worker as the page sees it: is everything here, and does a newer version wait?

export const offline = $state<{ state: 'ready' | 'not-yet' | 'never'; waiting: boolean }>({
  state: 'not-yet',
  waiting: false,
});

let registration: ServiceWorkerRegistration | undefined;

export async function watchVersions(): Promise<void> {
  if (import.meta.env.DEV) return;
  if (!('serviceWorker' in navigator)) {
    offline.state = 'never';
    return;
  }
  try {
    const found = await navigator.serviceWorker.register(new URL('./sw.js', document.baseURI), {
      updateViaCache: 'none',
    });
    registration = found;
    const note = () => {
      // A worker that waits while another one is in charge is a newer version.
      offline.waiting = found.waiting !== null && found.active !== null;
      if (found.active) offline.state = 'ready';
    };
    note();
    found.addEventListener('updatefound', () => found.installing?.addEventListener('statechange', note));
    void navigator.serviceWorker.ready.then(note);
    // A page that stays open for days asks now and then, when somebody comes back to it.
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState === 'visible') void found.update().catch(() => undefined);
    });
  } catch {
    offline.state = 'never';
  }
}

/** Takes the newer version; everything typed is on the device, and the page comes back where it was. */
export function takeVersion(): void {
  navigator.serviceWorker.addEventListener('controllerchange', () => location.reload(), { once: true });
  registration?.waiting?.postMessage('take');
}
