// Whole jobs on this device: documents with every revision. A change is one act of a person and may
// touch several documents; undoing it is a change too, so that nothing ever is lost.
import { finished, newId, tick, wish, type Counter, type Store } from './store';
import type { TextFile } from './types';

/** One line of the list of houses. */
export interface JobHead {
  id: string;
  name: string;
  /** The newest change. */
  change: number;
  /** ISO time of it by the device's clock: to be shown, never to put in order. */
  time: string;
  order: number;
  /** Changes that can be taken back, the newest last; and those taken back. */
  done: number[];
  undone: number[];
  /** The change that was last taken along. */
  exported: number;
}

/** A document as a change left it; without a text it is gone. */
export interface DocumentRevision {
  job: string;
  path: string;
  change: number;
  text: string | null;
  time: string;
}

/** Told of every change of a job, once it is on the device. */
export const changed = new Set<(id: string) => void>();
/** Bytes beside the documents, named by what they are, so that nothing is ever written over. */
export interface Attachment {
  job: string;
  name: string;
  bytes: Uint8Array<ArrayBuffer>;
}

export type Texts = Map<string, string>;

const STORES = ['jobs', 'documents', 'counters'];

const range = (id: string): IDBKeyRange => IDBKeyRange.bound([id], [id, []]);

/** The newest text of each document among revisions in the order of their keys. */
function newest(all: DocumentRevision[], until = Infinity): Texts {
  const texts: Texts = new Map();
  for (const one of all) {
    if (one.change > until) continue;
    if (one.text === null) texts.delete(one.path);
    else texts.set(one.path, one.text);
  }
  return texts;
}

/** A job's name stands in its first document. */
function nameOf(texts: Texts): string {
  const line = /^\s*name\s*=\s*("(?:[^"\\]|\\.)*"|'[^']*')/m.exec(texts.get('job.toml') ?? '');
  const quoted = line?.[1] ?? '""';
  try {
    return quoted.startsWith('"') ? (JSON.parse(quoted) as string) : quoted.slice(1, -1);
  } catch {
    return quoted.slice(1, -1);
  }
}

export class Jobs {
  constructor(private readonly store: Store) {}

  async heads(): Promise<JobHead[]> {
    const all = await wish<JobHead[]>((await this.store.read('jobs')).getAll());
    return all.sort((a, b) => b.order - a.order);
  }

  async head(id: string): Promise<JobHead | undefined> {
    return wish<JobHead | undefined>((await this.store.read('jobs')).get(id));
  }

  async texts(id: string, until = Infinity): Promise<Texts> {
    const all = await wish<DocumentRevision[]>((await this.store.read('documents')).getAll(range(id)));
    return newest(all, until);
  }

  /** Every revision of a document, the oldest first. */
  async revisions(id: string, path: string): Promise<DocumentRevision[]> {
    const documents = await this.store.read('documents');
    return wish<DocumentRevision[]>(documents.getAll(IDBKeyRange.bound([id, path], [id, path, []])));
  }

  async begin(
    files: TextFile[],
    attachments: { name: string; bytes: Uint8Array<ArrayBuffer> }[] = [],
    id = newId(),
  ): Promise<string> {
    for (const { name, bytes } of attachments) await this.attach(id, name, bytes);
    await this.#change(id, () => files);
    return id;
  }

  async attach(id: string, name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    const transaction = await this.store.write(['attachments']);
    const one: Attachment = { job: id, name, bytes };
    transaction.objectStore('attachments').put(one);
    await finished(transaction);
    for (const tell of changed) tell(id);
  }

  async attachment(id: string, name: string): Promise<Uint8Array<ArrayBuffer> | undefined> {
    const found = await wish<Attachment | undefined>((await this.store.read('attachments')).get([id, name]));
    return found?.bytes;
  }

  async attachmentNames(id: string): Promise<string[]> {
    const keys = await wish<IDBValidKey[]>((await this.store.read('attachments')).getAllKeys(range(id)));
    return (keys as [string, string][]).map(([, name]) => name);
  }

  async attachments(id: string): Promise<{ name: string; bytes: Uint8Array<ArrayBuffer> }[]> {
    return wish<Attachment[]>((await this.store.read('attachments')).getAll(range(id)));
  }

  /** Writes documents; resolves when they are on the device. */
  async write(id: string, files: { name: string; text: string | null }[]): Promise<void> {
    await this.#change(id, () => files);
  }

  /**
   * Writes documents that came from elsewhere, where those of the device are still what they were when
   * that was worked out; says whether they were. A change like any other: it can be taken back.
   */
  async bring(id: string, was: Texts, files: { name: string; text: string | null }[]): Promise<boolean> {
    let same = true;
    await this.#change(id, (all) => {
      const now = newest(all);
      same = files.every((f) => now.get(f.name) === was.get(f.name));
      return same ? files : [];
    });
    return same;
  }

  /** Keeps what was worked out of the documents: no act of a person, so nothing to take back. */
  async keepDerived(id: string, file: TextFile): Promise<void> {
    await this.#change(id, () => [file], false);
  }

  /** Takes the newest change back that is not taken back yet; nothing where there is none. */
  async undo(id: string): Promise<void> {
    await this.#turn(id, 'done', 'undone');
  }

  /** Does again what was taken back last. */
  async redo(id: string): Promise<void> {
    await this.#turn(id, 'undone', 'done');
  }

  async remove(id: string): Promise<void> {
    const transaction = await this.store.write([...STORES, 'attachments']);
    transaction.objectStore('documents').delete(range(id));
    transaction.objectStore('attachments').delete(range(id));
    transaction.objectStore('jobs').delete(id);
    await finished(transaction);
  }

  async markExported(id: string, change: number): Promise<void> {
    const transaction = await this.store.write(STORES);
    const jobs = transaction.objectStore('jobs');
    const head = await wish<JobHead | undefined>(jobs.get(id));
    if (head) jobs.put({ ...head, exported: Math.max(head.exported, change) });
    await finished(transaction);
  }

  async #turn(id: string, from: 'done' | 'undone', to: 'done' | 'undone'): Promise<void> {
    await this.#change(
      id,
      (all, head) => {
        const change = head?.[from].pop();
        if (!head || change === undefined) return [];
        const before = newest(all, change - 1);
        const touched = all.filter((one) => one.change === change);
        head[to].push(head.change + 1);
        return touched.map((one) => ({ name: one.path, text: before.get(one.path) ?? null }));
      },
      false,
    );
  }

  /** One change: what `make` gives for the revisions so far. Two tabs take turns in the transaction. */
  async #change(
    id: string,
    make: (all: DocumentRevision[], head: JobHead | undefined) => { name: string; text: string | null }[],
    own = true,
  ): Promise<void> {
    const transaction = await this.store.write(STORES);
    const done = finished(transaction);
    const [jobs, documents, counters] = STORES.map((name) => transaction.objectStore(name)) as [
      IDBObjectStore,
      IDBObjectStore,
      IDBObjectStore,
    ];
    const all = await wish<DocumentRevision[]>(documents.getAll(range(id)));
    const old = await wish<JobHead | undefined>(jobs.get(id));
    const texts = newest(all);
    const files = make(all, old).filter((f) => (texts.get(f.name) ?? null) !== f.text);
    if (files.length > 0) {
      const now: Counter = tick(await this.store.lastWrite(transaction));
      const time = new Date(now.wall_ms).toISOString();
      const change = (old?.change ?? 0) + 1;
      for (const { name, text } of files) {
        const one: DocumentRevision = { job: id, path: name, change, text, time };
        documents.put(one);
        if (text === null) texts.delete(name);
        else texts.set(name, text);
      }
      // The first change is the job itself; taking it back would leave none.
      const list = own ? [...(old?.done ?? []), ...(old ? [change] : [])] : (old?.done ?? []);
      const head: JobHead = {
        id,
        name: nameOf(texts),
        change,
        time,
        order: now.order,
        done: list,
        undone: own ? [] : (old?.undone ?? []),
        exported: old?.exported ?? 0,
      };
      jobs.put(head);
      counters.put(now);
    }
    await done;
    if (files.length > 0) for (const tell of changed) tell(id);
  }
}
