// One open job: its documents as kept on this device, and what the engine says of them.
import { askEdit, askEnvelope, stopEngine, type Progress } from './engine.svelte';
import { askPersist, app, store } from './app.svelte';
import { wallClock } from './entries';
import { Jobs, type JobHead, type Texts } from './jobs';
import type { Snippet } from 'svelte';
import type { StepName } from './steps';
import type { Typed } from './typed';
import type { Operation, Profile, Said, TextFile } from './types';

/** What the number pad under a page types into. */
export interface PadOf {
  session: Typed;
  profile: Profile | undefined;
  step: StepName;
  onend: () => void;
  ways: Snippet;
}

export class OpenJob {
  /** The pad of the step that is open, if it has one. */
  pad = $state.raw<PadOf | undefined>(undefined);

  head = $state.raw<JobHead | undefined>(undefined);
  texts = $state.raw<Texts>(new Map());
  said = $state.raw<Said[]>([]);
  working = $state(false);
  progress = $state.raw<Progress | undefined>(undefined);
  trouble = $state('');

  #asked = 0;
  /** Edits wait for each other: each is worked into what the one before left. */
  #edits: Promise<unknown> = Promise.resolve();
  #own = 0;

  constructor(
    readonly id: string,
    private readonly jobs: Jobs,
  ) {}

  static async open(id: string): Promise<OpenJob | undefined> {
    const base = store();
    if (!base) return undefined;
    const job = new OpenJob(id, new Jobs(base));
    await job.#load();
    return job.head ? job : undefined;
  }

  /** Reads again what is on the device: another tab or the desk may have changed it. */
  async again(): Promise<void> {
    // What this page does itself is read once it is done.
    if (this.#own > 0) return;
    const head = await this.jobs.head(this.id);
    if (head && head.change !== this.head?.change) await this.#load();
  }

  async #load(): Promise<void> {
    this.texts = await this.jobs.texts(this.id);
    this.head = await this.jobs.head(this.id);
  }

  files(): TextFile[] {
    return [...this.texts].map(([name, text]) => ({ name, text }));
  }

  /** Asks for a page of the documents as they are; nothing where something newer was asked meanwhile. */
  async page<T>(page: object): Promise<T | undefined> {
    const number = ++this.#asked;
    this.working = true;
    this.trouble = '';
    try {
      const question = { ask: 'app', app: 'page', files: this.files(), now: wallClock(), ...page };
      const envelope = await askEnvelope<T>(question, (progress) => {
        if (number === this.#asked) this.progress = progress;
      });
      if (number !== this.#asked) return undefined;
      this.said = envelope.diagnostics;
      return envelope.data ?? undefined;
    } catch (error) {
      if (number === this.#asked) this.trouble = error instanceof Error ? error.message : String(error);
      return undefined;
    } finally {
      if (number === this.#asked) {
        this.working = false;
        this.progress = undefined;
      }
    }
  }

  stop(): void {
    this.#asked += 1;
    this.working = false;
    this.progress = undefined;
    stopEngine();
  }

  /** Works edits into the documents and keeps them; says why where they do not fit. */
  edit(operations: Operation[]): Promise<boolean> {
    const done = this.#edits.then(() => this.#edit(operations));
    this.#edits = done;
    return done;
  }

  async #edit(operations: Operation[]): Promise<boolean> {
    try {
      const paths = new Set(operations.map((o) => o.path));
      const files = this.files().filter((f) => paths.has(f.name));
      await this.#keep(await askEdit(files, operations));
      return true;
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
      return false;
    }
  }

  write(name: string, text: string | null): Promise<void> {
    return this.#keep([{ name, text }]);
  }

  /** Several documents in one change. */
  writeAll(files: TextFile[]): Promise<void> {
    return this.#keep(files);
  }

  async keepDerived(file: TextFile): Promise<void> {
    await this.#does(this.jobs.keepDerived(this.id, file));
  }

  async #does(work: Promise<void>): Promise<void> {
    this.#own += 1;
    try {
      await work;
      await this.#load();
    } finally {
      this.#own -= 1;
    }
  }

  async #keep(files: { name: string; text: string | null }[]): Promise<void> {
    await this.#does(this.jobs.write(this.id, files));
    if (app.persisted === undefined) {
      app.persisted = false;
      void askPersist();
    }
  }

  /** A photo's bytes, kept beside the documents under what they are. */
  attach(name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    return this.jobs.attach(this.id, name, bytes);
  }

  attachment(name: string): Promise<Uint8Array<ArrayBuffer> | undefined> {
    return this.jobs.attachment(this.id, name);
  }

  attachments(): Promise<{ name: string; bytes: Uint8Array<ArrayBuffer> }[]> {
    return this.jobs.attachments(this.id);
  }

  async undo(): Promise<void> {
    await this.#edits;
    await this.#does(this.jobs.undo(this.id));
  }

  async redo(): Promise<void> {
    await this.#edits;
    await this.#does(this.jobs.redo(this.id));
  }

  async taken(change: number): Promise<void> {
    await this.jobs.markExported(this.id, change);
    await this.#load();
  }
}

/** A key path as the engine takes it: names of the user's own hold no dots. */
export const keyOf = (dotted: string): string[] => dotted.split('.');

/** A text as TOML: quoted where it was. */
export const asToml = (text: string, quoted: boolean): string => (quoted ? JSON.stringify(text) : text);
