// What the desk's exchange asks of whoever keeps documents, and single tests as jobs of their own: the engine
// writes what was typed as documents and reads documents as what was typed.
import { app } from './app.svelte';
import { askOpen, askSheet } from './engine.svelte';
import { completeDraft, trimmed } from './entries';
import { changed, type Texts } from './jobs';
import type { Revision, Store } from './store';
import type { Draft, Language, TextFile } from './types';

type Change = { name: string; text: string | null }[];

/** Houses, or tests. */
export interface Shelf {
  heads(): Promise<{ id: string; name: string; change: number }[]>;
  head(id: string): Promise<{ change: number } | undefined>;
  texts(id: string): Promise<Texts>;
  begin(files: TextFile[], attachments: [], id: string): Promise<unknown>;
  /** Writes what came, where the texts are still those it was worked out from; says whether they were. */
  bring(id: string, was: Texts, files: Change): Promise<boolean>;
  attachmentNames(id: string): Promise<string[]>;
  attachment(id: string, name: string): Promise<Uint8Array<ArrayBuffer> | undefined>;
  attach(id: string, name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void>;
}

/** A test that is open is exchanged once it is left: what is typed there is not written over. */
export class Later extends Error {}

/** Documents that hold no test. */
export class NoTest extends Error {}

export const isOpen = (id: string): boolean => app.route.page === 'test' && app.route.id === id;

export class Tests implements Shelf {
  /** Documents of a revision: the engine is asked once. */
  #written = new Map<string, { revision: number; texts: Texts }>();

  constructor(
    private readonly store: Store,
    private readonly language: () => Language,
  ) {}

  async heads(): Promise<{ id: string; name: string; change: number }[]> {
    return (await this.store.heads()).map(({ id, name, revision }) => ({ id, name, change: revision }));
  }

  async head(id: string): Promise<{ change: number } | undefined> {
    const newest = await this.store.newest(id);
    return newest && { change: newest.revision };
  }

  async texts(id: string): Promise<Texts> {
    const newest = await this.store.newest(id);
    return newest ? this.#textsOf(id, newest) : new Map();
  }

  async #textsOf(id: string, { draft, accepted, revision, came }: Revision): Promise<Texts> {
    if (came) return new Map(came);
    const known = this.#written.get(id);
    if (known?.revision === revision) return known.texts;
    // The day of the test, not today: the same test is the same documents on every day.
    const sheet = await askSheet({ ...trimmed(draft), accepted }, draft.created);
    const texts: Texts = new Map(sheet.files.map((f) => [f.name, f.text]));
    this.#written.set(id, { revision, texts });
    return texts;
  }

  async #read(files: TextFile[]): Promise<Draft> {
    try {
      return await askOpen(files, this.language());
    } catch (error) {
      throw new NoTest(error instanceof Error ? error.message : String(error));
    }
  }

  async begin(files: TextFile[], _: [], id: string): Promise<void> {
    const draft = await this.#read(files);
    await this.store.add({ draft: completeDraft(draft, id), spot: { step: 1, entry: '' }, accepted: draft.accepted ?? [], closed: false, came: files.map((f) => [f.name, f.text]) });
    for (const tell of changed) tell(id);
  }

  async bring(id: string, was: Texts, files: Change): Promise<boolean> {
    const newest = await this.store.newest(id);
    if (!newest) return true;
    const now = await this.#textsOf(id, newest);
    if (!files.every((f) => now.get(f.name) === was.get(f.name))) return false;
    if (files.length === 0) return true;
    if (isOpen(id)) throw new Later();
    const texts: Texts = new Map(was);
    for (const { name, text } of files) {
      if (text === null) texts.delete(name);
      else texts.set(name, text);
    }
    const draft = await this.#read([...texts].map(([name, text]) => ({ name, text })));
    if (isOpen(id)) throw new Later();
    const { spot, closed, days, day } = newest;
    await this.store.add({
      draft: completeDraft({ ...draft, created: newest.draft.created || draft.created }, id),
      spot,
      accepted: draft.accepted ?? newest.accepted,
      closed,
      came: [...texts],
      ...(days ? { days } : {}),
      ...(day ? { day } : {}),
    });
    for (const tell of changed) tell(id);
    return true;
  }

  async attachmentNames(): Promise<string[]> {
    return [];
  }

  async attachment(): Promise<undefined> {
    return undefined;
  }

  async attach(): Promise<void> {
    // A single test has no photos.
  }
}
