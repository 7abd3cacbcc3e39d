// Everything typed, on this device: each keystroke is a revision of its document, kept for good.
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
}

/** One revision of a document. */
export interface Revision extends Doc {
  id: string;
  revision: number;
  /** ISO time of the keystroke. */
  time: string;
}

/** One line of the list of tests. */
export interface Head {
  id: string;
  revision: number;
  time: string;
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

export interface BookEntries {
  places: PlaceEntry;
  gauges: Gauge;
  fans: Fan & { system: System };
  testers: Tester;
  firms: Firm;
}

export type Book = keyof BookEntries;

export interface Entry<B extends Book = Book> {
  key: string;
  book: B;
  value: BookEntries[B];
}

const NAME = 'airwright';
const VERSION = 1;

function wish<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error('storage'));
  });
}

function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error('storage'));
    transaction.onerror = () => reject(transaction.error ?? new Error('storage'));
  });
}

/** An id that needs no secure address. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
}

export class Store {
  private constructor(private readonly base: IDBDatabase) {}

  static open(): Promise<Store> {
    return new Promise((resolve, reject) => {
      const request = indexedDB.open(NAME, VERSION);
      request.onupgradeneeded = () => {
        const base = request.result;
        base.createObjectStore('docs', { keyPath: ['id', 'revision'] });
        base.createObjectStore('heads', { keyPath: 'id' });
        base.createObjectStore('books', { keyPath: 'key' });
      };
      request.onsuccess = () => {
        const base = request.result;
        // A newer page in another tab may want to change the shape.
        base.onversionchange = () => base.close();
        resolve(new Store(base));
      };
      request.onerror = () => reject(request.error ?? new Error('storage'));
      request.onblocked = () => reject(new Error('storage is held by another tab'));
    });
  }

  #write(stores: string[]): IDBTransaction {
    // Strict: complete only when the bytes are on the medium, so that "kept" outlives the battery.
    return this.base.transaction(stores, 'readwrite', { durability: 'strict' });
  }

  /**
   * Adds a revision and the list's line; resolves when both are on the device.
   *
   * The number follows the newest on the device, so that two tabs add to each other's revisions and
   * never write over one.
   */
  async add(doc: Doc): Promise<number> {
    const transaction = this.#write(['docs', 'heads']);
    const done = finished(transaction);
    let revision = 0;
    try {
      const heads = transaction.objectStore('heads');
      const id = doc.draft.id;
      const old = await wish<Head | undefined>(heads.get(id));
      revision = (old?.revision ?? 0) + 1;
      const time = new Date().toISOString();
      const full: Revision = { ...doc, id, revision, time };
      transaction.objectStore('docs').put(full);
      const head: Head = {
        id,
        revision,
        time,
        name: doc.draft.place.name,
        profile: doc.draft.profile,
        closed: doc.closed,
        exported: old?.exported ?? 0,
      };
      heads.put(head);
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

  async heads(): Promise<Head[]> {
    const all = await wish<Head[]>(this.base.transaction('heads').objectStore('heads').getAll());
    return all.sort((a, b) => b.time.localeCompare(a.time));
  }

  async newest(id: string): Promise<Revision | undefined> {
    const docs = this.base.transaction('docs').objectStore('docs');
    const range = IDBKeyRange.bound([id, 0], [id, Infinity]);
    const cursor = await wish(docs.openCursor(range, 'prev'));
    return cursor?.value as Revision | undefined;
  }

  async markExported(id: string): Promise<void> {
    const transaction = this.#write(['heads']);
    const heads = transaction.objectStore('heads');
    const head = await wish<Head | undefined>(heads.get(id));
    if (head) heads.put({ ...head, exported: head.revision });
    await finished(transaction);
  }

  async remove(id: string): Promise<void> {
    const transaction = this.#write(['docs', 'heads']);
    transaction.objectStore('docs').delete(IDBKeyRange.bound([id, 0], [id, Infinity]));
    transaction.objectStore('heads').delete(id);
    await finished(transaction);
  }

  async book<B extends Book>(book: B): Promise<Entry<B>[]> {
    const all = await wish<Entry[]>(this.base.transaction('books').objectStore('books').getAll());
    return all.filter((entry): entry is Entry<B> => entry.book === book);
  }

  async keep<B extends Book>(entry: Entry<B>): Promise<void> {
    const transaction = this.#write(['books']);
    transaction.objectStore('books').put(entry);
    await finished(transaction);
  }

  async drop(key: string): Promise<void> {
    const transaction = this.#write(['books']);
    transaction.objectStore('books').delete(key);
    await finished(transaction);
  }
}
