// The service worker as the page sees it: is everything here, does a newer version wait, and may the
// page be installed?
import { heldDocs } from './session.svelte';

/** What the browser hands to a page that it would install. */
interface InstallEvent extends Event {
  prompt(): Promise<unknown>;
}

export const offline = $state<{
  state: 'ready' | 'not-yet' | 'never';
  waiting: boolean;
  /** Whether the person has been looking for a newer version, and what came of it. */
  looked: '' | 'looking' | 'newest' | 'failed';
  installable: boolean;
}>({ state: 'not-yet', waiting: false, looked: '', installable: false });

let registration: ServiceWorkerRegistration | undefined;
let installer: InstallEvent | undefined;

window.addEventListener('beforeinstallprompt', (event) => {
  // Offered on the page of the device, not over a test that is being typed.
  event.preventDefault();
  installer = event as InstallEvent;
  offline.installable = true;
});
window.addEventListener('appinstalled', () => (offline.installable = false));

/** Asks the browser to install; it asks the person. */
export async function install(): Promise<void> {
  const one = installer;
  installer = undefined;
  offline.installable = false;
  await one?.prompt().catch(() => undefined);
}

export async function watchVersions(): Promise<void> {
  if (import.meta.env.DEV) return;
  if (!('serviceWorker' in navigator)) {
    offline.state = 'never';
    return;
  }
  // Once a newer version is in charge, the files of this one are gone: every tab changes over, but for
  // one that holds what the device has refused.
  let served = navigator.serviceWorker.controller !== null;
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    if (served && heldDocs.size === 0) location.reload();
    served = true;
  });
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

/** Looks for a newer version now; one that is found is fetched whole and waits. */
export async function lookForVersion(): Promise<void> {
  offline.looked = 'looking';
  try {
    const found = await registration?.update();
    const coming = found?.installing ?? found?.waiting;
    offline.looked = coming ? '' : 'newest';
  } catch {
    offline.looked = 'failed';
  }
}

/** Takes the newer version; everything typed is on the device, and the page comes back where it was. */
export function takeVersion(): void {
  registration?.waiting?.postMessage('take');
}
