// The desk that this device is joined to: everything works without it, and what both have is brought
// together when it answers. Of each document the device remembers the revision and the text that both had
// last; what it sends has a mark and is kept until the desk has answered, so that an answer that is lost
// is asked for again and nothing counts twice. What the desk says is a change like any other.
import { askMerge } from './engine.svelte';
import { settings } from './app.svelte';
import { wallClock } from './entries';
import { changed, Jobs, type Texts } from './jobs';
import { sha256 } from './photo';
import { isOpen, Later, NoTest, Tests, type Shelf } from './shelf';
import { finished, newId, wish, type Store } from './store';

/** What the desk refused, in words. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    text: string,
    /** Seconds after which it may be asked again. */
    readonly after_s: number,
  ) {
    super(text);
  }
}

export interface Waiting {
  id: number;
  path: string;
  author: string;
  fields: { key: string; base: string | null; theirs: string | null; mine: string | null }[];
}

interface Joined {
  key: 'joined';
  token: string;
  device: { id: number; name: string };
  /** ISO time of the last exchange that was whole, by the device's clock. */
  last: string;
}

/** A house or a single test here and the job of the desk that it is. */
interface Link {
  key: string;
  /** Name of the job on the desk. */
  desk: string;
  /** Id of the house here; none where it was removed here. */
  job: string;
  begun: boolean;
  /** A single test. */
  test?: boolean;
  /** What both had when all was exchanged. */
  change: number;
  revisions: number;
  waiting: Waiting[];
}

interface Pending {
  name: string;
  base: number;
  mark: string;
  from?: string;
  text: string | null;
}

/** A document as both had it last. */
interface Agreed {
  job: string;
  path: string;
  number: number;
  text: string | null;
  /** `text` is not that of revision `number`: the desk has to be told from what ours was made. */
  apart: boolean;
  pending?: Pending | undefined;
}

interface Stands {
  name: string;
  number: number;
  there: boolean;
  text?: string;
}

interface Answer {
  documents: Stands[];
  waiting: Waiting[];
}

interface DeskJob {
  name: string;
  revisions: number;
  conflicts: number;
}

export type DeskState = 'none' | 'linked' | 'waiting' | 'working' | 'away' | 'refused';

export const desk = $state<{
  state: DeskState;
  name: string;
  last: string;
  /** Houses that are not exchanged yet. */
  behind: number;
  trouble: string;
  /** Edits that wait to be settled, by house. */
  waiting: Record<string, Waiting[]>;
  /** The desk's name of a house. */
  names: Record<string, string>;
}>({ state: 'none', name: '', last: '', behind: 0, trouble: '', waiting: {}, names: {} });

const EVERY_MS = 5_000;
const SOON_MS = 600;
const LONGEST_WAIT_MS = 60_000;
const PATIENCE_MS = 30_000;
/** Characters of one exchange; the desk takes somewhat more. */
const TOGETHER = 4_000_000;
const DERIVED = 'out/';

let base: Promise<IDBDatabase> | undefined;
let jobs: Jobs | undefined;
let tests: Tests | undefined;
let joined: Joined | undefined;
let timer: ReturnType<typeof setTimeout> | undefined;
let failures = 0;
let running: Promise<void> | undefined;
let again = false;

/** A base of its own: leaving a desk leaves the houses alone. */
function open(): Promise<IDBDatabase> {
  base ??= new Promise<IDBDatabase>((resolve, reject) => {
    const request = indexedDB.open('airwright-desk', 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore('state', { keyPath: 'key' });
      request.result.createObjectStore('agreed', { keyPath: ['job', 'path'] });
    };
    request.onsuccess = () => {
      request.result.onclose = () => (base = undefined);
      resolve(request.result);
    };
    request.onerror = () => reject(request.error ?? new Error('storage'));
  });
  base.catch(() => (base = undefined));
  return base;
}

async function put(store: 'state' | 'agreed', rows: object[]): Promise<void> {
  const change = (await open()).transaction(store, 'readwrite', { durability: 'strict' });
  for (const row of rows) change.objectStore(store).put(row);
  await finished(change);
}

async function links(): Promise<Link[]> {
  const state = (await open()).transaction('state').objectStore('state');
  return wish<Link[]>(state.getAll(IDBKeyRange.bound('link:', 'link;')));
}

async function agreedOf(job: string): Promise<Map<string, Agreed>> {
  const rows = (await open()).transaction('agreed').objectStore('agreed');
  const all = await wish<Agreed[]>(rows.getAll(IDBKeyRange.bound([job], [job, []])));
  return new Map(all.map((row) => [row.path, row]));
}

/** Asks the desk; the token travels in a header alone. */
export async function deskFetch(path: string, init: RequestInit = {}): Promise<Response> {
  const headers = new Headers(init.headers);
  headers.set('Accept-Language', settings.language);
  if (joined) headers.set('Authorization', `Bearer ${joined.token}`);
  const told = init.body === undefined || init.body === null || headers.has('Content-Type');
  if (!told) headers.set('Content-Type', 'application/json');
  return fetch(path, { ...init, headers, cache: 'no-store', credentials: 'omit', redirect: 'error' });
}

async function ask<T>(path: string, body?: object, method = body ? 'POST' : 'GET'): Promise<T> {
  const init: RequestInit = { method, signal: AbortSignal.timeout(PATIENCE_MS) };
  if (body) init.body = JSON.stringify(body);
  return (await (await send(path, init)).json()) as T;
}

async function send(path: string, init: RequestInit): Promise<Response> {
  const response = await deskFetch(path, init);
  if (response.ok) return response;
  const said = (await response.json().catch(() => undefined)) as { error?: { code: string; text: string } } | undefined;
  const after_s = Number(response.headers.get('Retry-After')) || 0;
  throw new Refused(response.status, said?.error?.code ?? '', said?.error?.text ?? String(response.status), after_s);
}

/** Joins with a code. Whether pages come from a desk at all is told by what it answers. */
export async function join(code: string, name: string): Promise<void> {
  const answer = await ask<{ token: string; device: { id: number; name: string } }>('/desk/join', { code, name });
  joined = { key: 'joined', token: answer.token, device: answer.device, last: '' };
  await put('state', [joined]);
  show();
  await exchange();
}

export async function leave(): Promise<void> {
  clearTimeout(timer);
  // A desk that is away is told by its own user: `store FILE forget`.
  await ask('/desk/device', undefined, 'DELETE').catch(() => undefined);
  joined = undefined;
  const change = (await open()).transaction(['state', 'agreed'], 'readwrite');
  change.objectStore('state').clear();
  change.objectStore('agreed').clear();
  await finished(change);
  Object.assign(desk, { state: 'none', name: '', last: '', behind: 0, trouble: '', waiting: {}, names: {} });
}

export interface Device {
  id: number;
  name: string;
  joined_ms: number;
}

export const devices = async (): Promise<{ devices: Device[]; own: number }> => ask('/desk/devices');
export const newCode = async (): Promise<string> => (await ask<{ code: string }>('/desk/code', {})).code;

/** Settles an edit that waits: with `take` what it wrote counts. */
export async function settle(job: string, number: number, take: boolean): Promise<void> {
  const name = desk.names[job];
  if (name === undefined) return;
  await ask(`/desk/jobs/${encodeURIComponent(name)}/settle`, { number, take });
  await exchange(true);
}

export interface Standing {
  state: 'waits' | 'works' | 'done' | 'failed';
  done: number;
  of: number;
}

const LOOK_MS = 500;

/** Has the desk answer a page of a house, of the documents that both have; it works on while we wait. */
export async function onDesk<T>(job: string, question: object, tell: (standing: Standing) => void, stop: AbortSignal): Promise<T | undefined> {
  await exchange();
  const name = desk.names[job];
  if (name === undefined || desk.state !== 'linked') throw new Error(desk.trouble);
  const { id } = await ask<{ id: string }>('/desk/tasks', {
    job: name,
    question,
    now: new Date().toISOString(),
    speech: { language: settings.language, system: settings.system },
  });
  const path = `/desk/tasks/${id}`;
  try {
    while (!stop.aborted) {
      const { standing, answer } = await ask<{ standing: Standing; answer?: { data: T | null } }>(path);
      tell(standing);
      if (standing.state === 'failed') throw new Error(standing.state);
      if (standing.state === 'done') return answer?.data ?? undefined;
      await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
    }
    return undefined;
  } finally {
    // Taken or not wanted any more; a desk that is away forgets it within an hour.
    await ask(path, undefined, 'DELETE').catch(() => undefined);
  }
}

/** Whether this device is joined to a desk that writes PDF. */
export async function deskPrints(): Promise<boolean> {
  if (!joined || desk.state === 'refused') return false;
  return (await ask<{ pdf?: boolean }>('/desk/device').catch(() => undefined))?.pdf === true;
}

/** A document of a house as PDF, set by the desk once it has everything of it; nothing where it has not. */
export async function printedByDesk(job: string, sheet: string, written: object): Promise<Blob | undefined> {
  await exchange();
  const name = desk.names[job];
  if (name === undefined || desk.state !== 'linked') return undefined;
  const body = JSON.stringify({ sheet, written, now: wallClock() });
  const init = { method: 'POST', body, signal: AbortSignal.timeout(4 * PATIENCE_MS) };
  return (await send(`/desk/jobs/${encodeURIComponent(name)}/pdf`, init)).blob();
}

function show(): void {
  if (!joined) return;
  desk.name = joined.device.name;
  desk.last = joined.last;
  if (desk.state === 'none') desk.state = 'waiting';
}

/** Begins to exchange, where this device is joined. */
export async function startDesk(store: Store): Promise<void> {
  jobs = new Jobs(store);
  tests = new Tests(store, () => settings.language);
  const state = (await open()).transaction('state').objectStore('state');
  joined = await wish<Joined | undefined>(state.get('joined'));
  changed.add(() => {
    if (!joined) return;
    if (desk.state === 'linked') desk.state = 'waiting';
    soon(SOON_MS);
  });
  window.addEventListener('online', () => void exchange());
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible' && joined) void exchange();
  });
  if (!joined) return;
  for (const link of await links()) note(link);
  show();
  await exchange();
}

function note(link: Link): void {
  desk.waiting[link.job] = link.waiting;
  desk.names[link.job] = link.desk;
}

function soon(ms: number): void {
  clearTimeout(timer);
  timer = setTimeout(() => void exchange(), ms);
}

/** One exchange at a time; what changes meanwhile is in the next one. */
export function exchange(all = false): Promise<void> {
  if (running) {
    again = true;
    return running;
  }
  running = inTurn(() => once(all)).finally(() => {
    running = undefined;
    if (again && joined) {
      again = false;
      soon(0);
    }
  });
  return running;
}

/** Tabs of one device take turns. */
async function inTurn(work: () => Promise<void>): Promise<void> {
  if (!navigator.locks) return work();
  await navigator.locks.request('airwright-desk', work);
}

async function once(all: boolean): Promise<void> {
  clearTimeout(timer);
  if (!joined || !jobs || !tests || desk.state === 'refused') return;
  let next_ms = EVERY_MS;
  try {
    if (!navigator.onLine) throw new TypeError('offline');
    // What was typed while an answer was on its way goes at once.
    if (!(await everything(jobs, tests, all))) next_ms = SOON_MS;
    failures = 0;
    joined = { ...joined, last: new Date().toISOString() };
    await put('state', [joined]);
    desk.last = joined.last;
    desk.state = desk.trouble !== '' || desk.behind > 0 ? 'waiting' : 'linked';
  } catch (error) {
    failures += 1;
    next_ms = Math.min(LONGEST_WAIT_MS, 1000 * 2 ** Math.min(failures, 6));
    if (error instanceof Refused) {
      desk.state = error.status === 401 ? 'refused' : 'waiting';
      desk.trouble = error.status === 401 || error.status === 429 ? '' : error.message;
      next_ms = Math.max(next_ms, error.after_s * 1000);
    } else {
      desk.state = 'away';
    }
    desk.behind = await behind(jobs, tests).catch(() => 0);
  }
  if (joined && (desk.state as DeskState) !== 'refused') soon(next_ms);
}

/** Houses here that were erased at the desk. */
let erased = new Set<string>();

/** Houses of which the desk does not have everything. */
async function behind(houses: Shelf, singles: Shelf): Promise<number> {
  const known = new Map((await links()).map((link) => [link.job, link.change]));
  const heads = [...(await houses.heads()), ...(await singles.heads()).filter((head) => !isOpen(head.id))];
  return heads.filter((head) => known.get(head.id) !== head.change && !erased.has(head.id)).length;
}

/** A name for the desk: letters and digits of the house's name, and enough of its id to be the only one. */
function nameFor(head: { id: string; name: string }, test: boolean): string {
  const plain = head.name.normalize('NFC').replace(/[^\p{L}\p{N} _-]+/gu, ' ').replace(/\s+/g, ' ').trim();
  const name = plain.slice(0, 60).trim();
  const id = head.id.slice(0, 6);
  return test ? `${name || 'test'} (test ${id})` : `${name || 'house'} ${id}`;
}

/** How the job of a single test is called; no house is called so, as its name has no brackets. */
const TEST = / \(test [\w-]{1,6}\)$/;

/** Exchanges every house and every single test; whether nothing was done here meanwhile. */
async function everything(houses: Jobs, singles: Tests, all: boolean): Promise<boolean> {
  const there = (await ask<{ jobs: DeskJob[] }>('/desk/jobs')).jobs;
  const known = await links();
  const heads = [
    ...(await houses.heads()).map((head) => ({ ...head, test: false })),
    ...(await singles.heads()).map((head) => ({ ...head, test: true })),
  ];
  const here = new Map(heads.map((head) => [head.id, head]));
  const fresh = (name: string, job: string, begun: boolean, test: boolean): Link =>
    ({ key: `link:${name}`, desk: name, job, begun, test, change: 0, revisions: -1, waiting: [] });
  // Which is which is on the device before anything is sent or fetched: what is interrupted goes on.
  const more = [
    ...there.filter((one) => !known.some((link) => link.desk === one.name)).map((one) => fresh(one.name, newId(), true, TEST.test(one.name))),
    ...heads.filter((head) => !known.some((link) => link.job === head.id)).map((head) => fresh(nameFor(head, head.test), head.id, false, head.test)),
  ];
  await put('state', more);
  desk.trouble = '';
  erased = new Set(known.filter((link) => link.begun && !there.some((one) => one.name === link.desk)).map((link) => link.job));
  desk.behind = await behind(houses, singles);
  let whole = true;
  for (const link of [...known, ...more]) {
    const head = here.get(link.job);
    const job = there.find((one) => one.name === link.desk);
    // Erased at the desk, or removed here: each side keeps what it has.
    if ((link.begun && !job) || (!head && link.change > 0)) continue;
    note(link);
    const same = head?.change === link.change && job?.revisions === link.revisions && job.conflicts === link.waiting.length;
    if (same && !all) continue;
    // What is being typed goes once the test is left.
    if (link.test && isOpen(link.job)) continue;
    desk.state = 'working';
    try {
      whole = (await house(link.test ? singles : houses, link, job)) && whole;
    } catch (error) {
      if (error instanceof Later) continue;
      if (error instanceof NoTest) {
        desk.trouble = `${head?.name ?? link.desk}: ${error.message}`;
        continue;
      }
      // One house that cannot be taken does not hold up the others.
      if (!(error instanceof Refused) || [401, 429, 503].includes(error.status)) throw error;
      desk.trouble = `${head?.name ?? link.desk}: ${error.message}`;
    }
  }
  desk.behind = await behind(houses, singles);
  return whole;
}

/** `attachments/` and the SHA-256 of a picture's bytes. */
const PHOTO = /^attachments\/([0-9a-f]{64}\.(?:jpe?g|png))$/;
/** The desk takes no larger one, bytes. */
const LARGEST_PHOTO = 12 << 20;

/**
 * Photos are named by what they are: what one side lacks is sent, and none is ever changed or taken away. They go
 * before the documents that show them, so that nobody looks at a gap; what was interrupted goes on the next time.
 */
async function photos(houses: Shelf, link: Link): Promise<void> {
  const at = `/desk/jobs/${encodeURIComponent(link.desk)}/photos`;
  const there = new Set((await ask<{ photos: { name: string }[] }>(at)).photos.map((p) => p.name));
  const here = new Map(
    (await houses.attachmentNames(link.job)).flatMap((path) => {
      const name = PHOTO.exec(path)?.[1];
      return name === undefined ? [] : [[name, path] as const];
    }),
  );
  const one = async (name: string, work: () => Promise<void>): Promise<void> => {
    try {
      await work();
    } catch (error) {
      // A photo that cannot be taken holds up nothing else.
      if (!(error instanceof Refused) || [401, 429, 503].includes(error.status)) throw error;
      desk.trouble = `${name.slice(0, 12)}: ${error.message}`;
    }
  };
  const signal = (): AbortSignal => AbortSignal.timeout(4 * PATIENCE_MS);
  for (const name of [...there].filter((n) => !here.has(n))) {
    await one(name, async () => {
      const answer = await send(`${at}/${name}`, { signal: signal() });
      const bytes = new Uint8Array(await answer.arrayBuffer());
      // Half a photo is none: it is asked for again.
      if (sha256(bytes) !== name.slice(0, 64)) throw new TypeError('photo');
      await houses.attach(link.job, `attachments/${name}`, bytes);
    });
  }
  for (const [name, path] of [...here].filter(([n]) => !there.has(n))) {
    await one(name, async () => {
      const bytes = await houses.attachment(link.job, path);
      if (!bytes || bytes.length > LARGEST_PHOTO) return;
      const headers = { 'Content-Type': 'application/octet-stream' };
      await send(`${at}/${name}`, { method: 'PUT', body: bytes, headers, signal: signal() });
    });
  }
}

/** Exchanges one house or test; whether both have the same now. */
async function house(houses: Shelf, link: Link, job: DeskJob | undefined): Promise<boolean> {
  if (job && !link.test) await photos(houses, link);
  const agreed = await agreedOf(link.job);
  const change = (await houses.head(link.job))?.change ?? 0;
  const texts = await houses.texts(link.job);
  const started: Agreed[] = [];
  for (const path of new Set([...texts.keys(), ...agreed.keys()])) {
    if (path.startsWith(DERIVED)) continue;
    const row = agreed.get(path) ?? { job: link.job, path, number: 0, text: null, apart: false };
    const text = texts.get(path) ?? null;
    agreed.set(path, row);
    if (row.pending || (text === row.text && !row.apart)) continue;
    row.pending = { name: path, base: row.number, mark: newId(), text };
    if (row.apart && row.text !== null) row.pending.from = row.text;
    started.push(row);
  }
  await put('agreed', started);
  const left = [...agreed.values()].filter((row) => row.pending);
  let waiting: Waiting[];
  do {
    const now: Agreed[] = [];
    let size = 0;
    while (left[0] && (now.length === 0 || size + (left[0].pending?.text?.length ?? 0) < TOGETHER)) {
      const row = left.shift() as Agreed;
      now.push(row);
      size += (row.pending?.text?.length ?? 0) + (row.pending?.from?.length ?? 0);
    }
    const documents = [...agreed.values()].map((row) =>
      now.includes(row) && row.pending ? row.pending : { name: row.path, base: row.number },
    );
    const path = `/desk/jobs/${encodeURIComponent(link.desk)}/exchange`;
    const answer = await ask<Answer>(path, { begin: !link.begun, documents });
    link.begun = true;
    waiting = answer.waiting;
    // What was asked for without being sent comes with its own batch.
    const heard = answer.documents.filter((one) => !left.some((row) => row.path === one.name));
    await take(houses, link, heard, agreed);
  } while (left.length > 0);
  if (!job && !link.test) await photos(houses, link);
  link.waiting = waiting;
  const after = await houses.head(link.job);
  const rows = await agreedOf(link.job);
  const mine = await houses.texts(link.job);
  const whole = [...rows.values()].every((row) => !row.pending && !row.apart && (mine.get(row.path) ?? null) === row.text);
  link.change = after && whole ? after.change : Math.min(link.change, change);
  // Others may write while we do: only what was there before counts as known, and is asked for once more.
  link.revisions = job?.revisions ?? -1;
  await put('state', [link]);
  note(link);
  return whole;
}

/** What the desk says stands here too; what was typed meanwhile is merged or told in the next exchange. */
async function take(houses: Shelf, link: Link, stands: Stands[], agreed: Map<string, Agreed>): Promise<void> {
  for (;;) {
    const was: Texts = await houses.texts(link.job);
    const files: { name: string; text: string | null }[] = [];
    const rows: Agreed[] = [];
    for (const one of stands) {
      const row = agreed.get(one.name) ?? { job: link.job, path: one.name, number: 0, text: null, apart: false };
      const sent = row.pending ? row.pending.text : row.text;
      const now = one.text ?? (one.there ? sent : null);
      const mine = was.get(one.name) ?? null;
      const next: Agreed = { job: link.job, path: one.name, number: one.number, text: now, apart: false };
      if (mine === sent) {
        if (now !== mine) files.push({ name: one.name, text: now });
      } else if (sent !== now) {
        const merged =
          sent !== null && mine !== null && now !== null ? await askMerge(one.name, sent, mine, now) : undefined;
        if (merged?.conflicts.length === 0) {
          if (merged.text !== mine) files.push({ name: one.name, text: merged.text });
        } else {
          next.text = sent;
          next.apart = true;
        }
      }
      rows.push(next);
    }
    const first = was.size === 0;
    if (first) await houses.begin(files.flatMap((f) => (f.text === null ? [] : [{ name: f.name, text: f.text }])), [], link.job);
    else if (!(await houses.bring(link.job, was, files))) continue;
    for (const row of rows) agreed.set(row.path, row);
    await put('agreed', rows);
    return;
  }
}
