// Everything typed, on this device: each keystroke is a revision of its document. Revisions have
// numbers and an own time; nothing here is put in order by the device's clock.
import { thinned, type Written } from './thin';
import type { Draft, Fan, Firm, Gauge, System, Tester } from './types';

/** Where in the test the person was. */
export interface Spot {
  step: number;
  /** Id of the entry, such as `stations.2.fan`. */
  entry: string;
  /** Which direction of a test in both; 0 where it is absent. */
  run?: 0 | 1;
}

/** One document: the draft and what belongs to it on this device alone. */
export interface Doc {
  draft: Draft;
  spot: Spot;
  /** Values that were asked about and that the person has said to be right. */
  accepted: string[];
  closed: boolean;
  /** Days by the device's clock on which readings were typed, in the order of typing. */
  days?: string[];
  /** The day that the person has said to be the day of the test. */
  day?: string;
  /** The documents that this revision was read from, as a desk sent them: what came goes back as it is, until somebody types. */
  came?: [string, string][];
}

/** One revision of a document. */
export interface Revision extends Doc {
  id: string;
  revision: number;
  /** ISO time of the keystroke by the device's clock: to be shown, never to put in order. */
  time: string;
  /** The store's own time, ms. */
  at_ms: number;
}

/** One line of the list of tests. */
export interface Head {
  id: string;
  revision: number;
  /** ISO time of the last keystroke by the device's clock, to be shown. */
  time: string;
  /** Counts the writes of the whole store: the list is in this order. */
  order: number;
  name: string;
  profile: string;
  closed: boolean;
  /** The revision that was last taken along, 0 for none. */
  exported: number;
}

export interface LimitEntry {
  limit: string;
  limit_source: string;
  limit_confirmed: boolean;
}

export interface PlaceEntry {
  name: string;
  altitude: string;
  /** The units the altitude was typed in. */
  system: System;
  /** Adopted limits by profile. */
  limits: Record<string, LimitEntry>;
}

/** A price of the user's, by the name that plans use. */
export interface PriceEntry {
  name: string;
  each: string;
  yearly: string;
}

export interface BookEntries {
  places: PlaceEntry;
  gauges: Gauge;
  fans: Fan & { system: System };
  testers: Tester;
  firms: Firm;
  prices: PriceEntry;
}

export type Book = keyof BookEntries;

export interface Entry<B extends Book = Book> {
  key: string;
  book: B;
  value: BookEntries[B];
}

const NAME = 'airwright';
const VERSION = 4;

/** How much older revisions get at most while no page of ours was there to measure it. */
const DAY_MS = 24 * 60 * 60_000;
/** A test is thinned once in so many revisions. */
const THIN_EVERY = 250;
/** The share of its room above which this page counts as short of it. */
const SHORT = 0.9;

/** What all writes share. */
export interface Counter {
  name: 'writes';
  order: number;
  /** The store's own time at the last write, ms: the device's clock once, from then on by itself. */
  at_ms: number;
  /** The device's clock at the last write, ms since 1970. */
  wall_ms: number;
  /** The page that wrote, and its own time then, ms: a clock that nobody sets. */
  page: string;
  page_ms: number;
}

export function wish<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error('storage'));
  });
}

export function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error('storage'));
    transaction.onerror = ({ target }) =>
      reject((target instanceof IDBRequest ? target.error : transaction.error) ?? new Error('storage'));
  });
}

/** An id that needs no secure address. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
}

/** Makes or changes the shape; what an older page has written stays. */
function shape(base: IDBDatabase, change: IDBTransaction, from: number): void {
  if (from < 1) {
    base.createObjectStore('docs', { keyPath: ['id', 'revision'] });
    base.createObjectStore('heads', { keyPath: 'id' });
    base.createObjectStore('books', { keyPath: 'key' });
  }
  if (from < 2) {
    base.createObjectStore('counters', { keyPath: 'name' });
    // Revisions that have no time of the store's are not in the index, and are never thinned.
    change.objectStore('docs').createIndex('times', ['id', 'at_ms', 'revision']);
    const heads = change.objectStore('heads');
    const all = heads.getAll() as IDBRequest<Head[]>;
    all.onsuccess = () => {
      const old = all.result.sort((a, b) => a.time.localeCompare(b.time));
      old.forEach((head, i) => heads.put({ ...head, order: i + 1 }));
      change.objectStore('counters').put(counter(old.length));
    };
  }
  if (from < 3) {
    base.createObjectStore('jobs', { keyPath: 'id' });
    base.createObjectStore('documents', { keyPath: ['job', 'path', 'change'] });
  }
  if (from < 4) base.createObjectStore('attachments', { keyPath: ['job', 'name'] });
}

const PAGE = newId();

function counter(order: number): Counter {
  const now_ms = Date.now();
  return { name: 'writes', order, at_ms: now_ms, wall_ms: now_ms, page: '', page_ms: 0 };
}

/** The count and the time of a write that happens now. */
export function tick(last: Counter): Counter {
  const wall_ms = Date.now();
  const page_ms = performance.now();
  // Between two writes of one page its own time counts. Else the device's clock, which somebody may
  // have set: never backwards, and never by more than a day.
  const passed_ms = last.page === PAGE ? page_ms - last.page_ms : Math.min(DAY_MS, Math.max(0, wall_ms - last.wall_ms));
  return { name: 'writes', order: last.order + 1, at_ms: last.at_ms + passed_ms, wall_ms, page: PAGE, page_ms };
}

const lastWrite = async (change: IDBTransaction): Promise<Counter> =>
  (await wish<Counter | undefined>(change.objectStore('counters').get('writes'))) ?? counter(0);

export class Store {
  #base: Promise<IDBDatabase> | undefined;

  /** Opens the store; fails where the browser gives none. */
  static async open(): Promise<Store> {
    const store = new Store();
    await store.#open();
    return store;
  }

  /** The base, opened anew where the browser has closed it: cleared by hand, or to make room. */
  #open(): Promise<IDBDatabase> {
    this.#base ??= new Promise<IDBDatabase>((resolve, reject) => {
      const request = indexedDB.open(NAME, VERSION);
      request.onupgradeneeded = ({ oldVersion }) => {
        if (request.transaction) shape(request.result, request.transaction, oldVersion);
      };
      request.onsuccess = () => {
        const base = request.result;
        const forget = () => (this.#base = undefined);
        base.onclose = forget;
        // A newer page in another tab may want to change the shape.
        base.onversionchange = () => {
          base.close();
          forget();
        };
        resolve(base);
      };
      request.onerror = () => reject(request.error ?? new Error('storage'));
      request.onblocked = () => reject(new Error('storage is held by another tab'));
    });
    this.#base.catch(() => (this.#base = undefined));
    return this.#base;
  }

  /** A store to read from. */
  async read(name: string): Promise<IDBObjectStore> {
    return (await this.#open()).transaction(name).objectStore(name);
  }

  /** A transaction to write in. */
  async write(stores: string[]): Promise<IDBTransaction> {
    // Strict: complete only when the bytes are on the medium, so that "kept" outlives the battery.
    return (await this.#open()).transaction(stores, 'readwrite', { durability: 'strict' });
  }

  /** Count and time of the last write of the whole store. */
  lastWrite(change: IDBTransaction): Promise<Counter> {
    return lastWrite(change);
  }

  /**
   * Adds a revision and the list's line; resolves when both are on the device. Where room is short,
   * old revisions make some.
   */
  async add(doc: Doc): Promise<number> {
    let revision: number;
    try {
      revision = await this.#add(doc);
    } catch (error) {
      const full = error instanceof DOMException && error.name === 'QuotaExceededError';
      if (!full || (await this.thinAll(true)) === 0) throw error;
      revision = await this.#add(doc);
    }
    if (revision % THIN_EVERY === 0) void this.thin(doc.draft.id, false).catch(() => undefined);
    return revision;
  }

  /**
   * The number follows the newest on the device, so that two tabs add to each other's revisions and
   * never write over one.
   */
  async #add(doc: Doc): Promise<number> {
    const transaction = await this.write(['docs', 'heads', 'counters']);
    const done = finished(transaction);
    let revision = 0;
    try {
      const heads = transaction.objectStore('heads');
      const id = doc.draft.id;
      const old = await wish<Head | undefined>(heads.get(id));
      const now = tick(await lastWrite(transaction));
      revision = (old?.revision ?? 0) + 1;
      const time = new Date(now.wall_ms).toISOString();
      const full: Revision = { ...doc, id, revision, time, at_ms: now.at_ms };
      transaction.objectStore('docs').put(full);
      const head: Head = {
        id,
        revision,
        time,
        order: now.order,
        name: doc.draft.place.name,
        profile: doc.draft.profile,
        closed: doc.closed,
        exported: old?.exported ?? 0,
      };
      heads.put(head);
      transaction.objectStore('counters').put(now);
    } catch (error) {
      done.catch(() => undefined);
      try {
        transaction.abort();
      } catch {
        // It has ended already.
      }
      throw error;
    }
    await done;
    return revision;
  }

  /** The lines of the list, the one written last first. */
  async heads(): Promise<Head[]> {
    const all = await wish<Head[]>((await this.read('heads')).getAll());
    return all.sort((a, b) => b.order - a.order);
  }

  async newest(id: string): Promise<Revision | undefined> {
    const docs = await this.read('docs');
    const range = IDBKeyRange.bound([id, 0], [id, Infinity]);
    const cursor = await wish(docs.openCursor(range, 'prev'));
    return cursor?.value as Revision | undefined;
  }

  /** A revision has been taken along. */
  async markExported(id: string, revision: number): Promise<void> {
    const transaction = await this.write(['heads']);
    const heads = transaction.objectStore('heads');
    const head = await wish<Head | undefined>(heads.get(id));
    if (head) heads.put({ ...head, exported: Math.max(head.exported, revision) });
    await finished(transaction);
  }

  /** Thins the revisions of a test; gives how many went. */
  async thin(id: string, short: boolean): Promise<number> {
    // Nothing but deletions: where room is short, not even a number is sure to find any.
    const transaction = await this.write(['docs', 'heads', 'counters']);
    const done = finished(transaction);
    const docs = transaction.objectStore('docs');
    const head = await wish<Head | undefined>(transaction.objectStore('heads').get(id));
    const { at_ms: now_ms } = tick(await lastWrite(transaction));
    const all: Written[] = [];
    // Keys alone: hundreds of documents need not be read to count them.
    const range = IDBKeyRange.bound([id, 0, 0], [id, Infinity, Infinity]);
    await new Promise<void>((resolve, reject) => {
      const request = docs.index('times').openKeyCursor(range);
      request.onerror = () => reject(request.error ?? new Error('storage'));
      request.onsuccess = () => {
        const cursor = request.result;
        if (!cursor) return resolve();
        const [, at_ms = 0, revision = 0] = cursor.key as [string, number, number];
        all.push({ revision, at_ms });
        cursor.continue();
      };
    });
    const going = head ? thinned(all, { now_ms, exported: head.exported, short }) : [];
    for (const revision of going) docs.delete([id, revision]);
    await done;
    return going.length;
  }

  /** Thins all tests, and those not taken along too where room is short; gives how many went. */
  async thinAll(short?: boolean): Promise<number> {
    const { usage = 0, quota = Infinity } = (await navigator.storage?.estimate?.().catch(() => undefined)) ?? {};
    let gone = 0;
    for (const head of await this.heads()) gone += await this.thin(head.id, short ?? usage > SHORT * quota);
    return gone;
  }

  async remove(id: string): Promise<void> {
    const transaction = await this.write(['docs', 'heads']);
    transaction.objectStore('docs').delete(IDBKeyRange.bound([id, 0], [id, Infinity]));
    transaction.objectStore('heads').delete(id);
    await finished(transaction);
  }

  async book<B extends Book>(book: B): Promise<Entry<B>[]> {
    const all = await wish<Entry[]>((await this.read('books')).getAll());
    return all.filter((entry): entry is Entry<B> => entry.book === book);
  }

  async keep<B extends Book>(entry: Entry<B>): Promise<void> {
    const transaction = await this.write(['books']);
    transaction.objectStore('books').put(entry);
    await finished(transaction);
  }

  async drop(key: string): Promise<void> {
    const transaction = await this.write(['books']);
    transaction.objectStore('books').delete(key);
    await finished(transaction);
  }
}
