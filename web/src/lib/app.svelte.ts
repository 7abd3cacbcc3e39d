// What the whole page knows: settings of this device, where we are, the store.
import { askProfiles, startEngine } from './engine.svelte';
import { Store } from './store';
import { startDesk } from './desk.svelte';
import { jobPart, PAGES, STEPS, type JobPart } from './routes';
import { loadWords } from './words.svelte';
import type { Language, Profile, System } from './types';

export type Theme = 'auto' | 'light' | 'dark' | 'sun';

export type Route =
  | { page: Exclude<(typeof PAGES)[number], 'desk'> }
  | { page: 'desk'; code: string }
  | { page: 'job'; id: string; part: JobPart; name: string; line: number }
  | { page: 'test'; id: string; step: number };

function read(key: string): string | null {
  try {
    return localStorage.getItem(`airwright-${key}`);
  } catch {
    return null;
  }
}

export function remember(key: string, value: string): void {
  try {
    localStorage.setItem(`airwright-${key}`, value);
  } catch {
    // A setting that cannot be kept still holds for this page.
  }
}

const oneOf = <T extends string>(value: string | null, choices: readonly T[], otherwise: T): T =>
  choices.find((choice) => choice === value) ?? otherwise;

const spanish = navigator.language.toLowerCase().startsWith('es');
const american = navigator.language.toLowerCase().endsWith('-us');

export const settings = $state({
  language: oneOf<Language>(read('language'), ['en', 'es'], spanish ? 'es' : 'en'),
  system: oneOf<System>(read('system'), ['IP', 'SI'], american ? 'IP' : 'SI'),
  theme: oneOf<Theme>(read('theme'), ['auto', 'light', 'dark', 'sun'], 'auto'),
});

export const app = $state<{
  route: Route;
  profiles: Profile[];
  /** Undefined while it opens. */
  storage: 'open' | 'none' | undefined;
  persisted: boolean | undefined;
}>({ route: { page: 'tests' }, profiles: [], storage: undefined, persisted: undefined });

const THIN_AFTER_MS = 3000;

let opened: Store | undefined;

/** The store, or nothing where the browser gives none. */
export const store = (): Store | undefined => opened;

function parse(hash: string): Route {
  const [, page, id, step, name = '', line = '1'] = hash.split('/');
  // The code came behind the `#`, which no browser sends.
  if (page === 'join') return { page: 'desk', code: decodeURIComponent(id ?? '') };
  if (page === 'job' && id) {
    return { page: 'job', id, part: jobPart(step ?? '') ?? 'house', name: decodeURIComponent(name), line: Number(line) || 1 };
  }
  if (page === 'test' && id) return { page: 'test', id, step: Math.min(STEPS.length, Math.max(1, Number(step) || 1)) };
  const plain = PAGES.find((one) => one === page) ?? 'tests';
  return plain === 'desk' ? { page: plain, code: '' } : { page: plain };
}

function hashOf(route: Route): string {
  if (route.page === 'test') return `#/test/${route.id}/${route.step}`;
  if (route.page === 'tests') return '#/';
  if (route.page !== 'job') return `#/${route.page}`;
  const paper = route.name ? `/${encodeURIComponent(route.name)}/${route.line}` : '';
  return `#/job/${route.id}/${route.part}${paper}`;
}

export function go(route: Route, replace = false): void {
  const hash = hashOf(route);
  if (replace) history.replaceState(null, '', hash);
  else if (location.hash !== hash) history.pushState(null, '', hash);
  app.route = route;
  forget();
}

/** Whoever goes to another page by himself is not brought back to the test at the next start. */
function forget(): void {
  if (app.route.page !== 'test') remember('open', '');
}

export const goStep = (id: string, step: number): void => go({ page: 'test', id, step });

function follow(): void {
  // Two events tell of one step, and the second comes after the code was taken out of the address.
  if (location.hash === '#/desk' && app.route.page === 'desk') return;
  app.route = parse(location.hash);
  // A code has served once it is read.
  if (location.hash.startsWith('#/join/')) history.replaceState(null, '', '#/desk');
}

export function setTheme(theme: Theme): void {
  settings.theme = theme;
  remember('theme', theme);
  document.documentElement.dataset.theme = theme;
}

export function setSystem(system: System): void {
  settings.system = system;
  remember('system', system);
}

export async function setLanguage(language: Language): Promise<void> {
  settings.language = language;
  remember('language', language);
  document.documentElement.lang = language;
  await speak();
}

/** Loads words and profiles of the language. */
export async function speak(): Promise<void> {
  await loadWords(settings.language);
  app.profiles = await askProfiles(settings.language);
}

export const profileOf = (id: string): Profile | undefined => app.profiles.find((p) => p.id === id);

/** Asks the browser not to clear the storage by itself. */
export async function askPersist(): Promise<void> {
  if (!navigator.storage?.persist) return;
  app.persisted = (await navigator.storage.persisted()) || (await navigator.storage.persist());
}

export async function start(): Promise<void> {
  setTheme(settings.theme);
  document.documentElement.lang = settings.language;
  for (const event of ['popstate', 'hashchange']) {
    window.addEventListener(event, () => {
      follow();
      forget();
    });
  }
  follow();
  startEngine();
  // The words need the engine, the store does not: neither waits for the other.
  const spoken = speak().catch(() => undefined);
  try {
    opened = await Store.open();
    app.storage = 'open';
    void startDesk(opened);
    // When whoever opened the page has got what he came for.
    setTimeout(() => void opened?.thinAll().catch(() => undefined), THIN_AFTER_MS);
  } catch {
    app.storage = 'none';
  }
  // A page that was killed in the middle of a test and is started from its icon comes back to it.
  const last = read('open');
  if (app.route.page === 'tests' && location.hash === '' && last && opened) {
    const doc = await opened.newest(last).catch(() => undefined);
    if (doc) go({ page: 'test', id: last, step: doc.spot.step }, true);
  }
  await spoken;
}
