// The page's side of the engine: numbered questions, and of each kind only the newest counts.
import EngineWorker from './worker?worker';
import { settings } from './app.svelte';
import { wallClock } from './entries';
import type { Question, Reply } from './worker';
import type { Answered, BeginAnswers, Draft, Envelope, Language, Look, Operation, Profile, Sheet, TextFile, WordsAnswer } from './types';

/** How far long work is: units done, of how many. */
export interface Progress {
  what: string;
  done: number;
  of: number;
}

interface Waiting {
  progress?: ((progress: Progress) => void) | undefined;
  resolve: (body: string) => void;
  reject: (error: Error) => void;
}

/** What the engine is doing; `failed` holds why it did not start. */
export const engine = $state<{ ready: boolean; failed: string; version: string }>({
  ready: false,
  failed: '',
  version: '',
});

let worker: Worker | undefined;
let next = 1;
const waiting = new Map<number, Waiting>();

function fail(why: string): void {
  engine.failed = why;
  engine.ready = false;
  worker?.terminate();
  worker = undefined;
  for (const one of waiting.values()) one.reject(new Error(why));
  waiting.clear();
}

/** Starts the worker, or starts it anew after it failed. */
export function startEngine(): void {
  engine.failed = '';
  worker = new EngineWorker({ name: 'airwright' });
  worker.addEventListener('message', ({ data }: MessageEvent<Reply>) => {
    if (data.number === 0) {
      if (data.error) fail(data.error);
      else {
        engine.ready = true;
        // For whoever measures how fast the page starts.
        performance.measure('engine', { end: performance.now(), duration: data.took_ms ?? 0 });
      }
      return;
    }
    const one = waiting.get(data.number);
    if (data.progress) {
      one?.progress?.(data.progress);
      return;
    }
    waiting.delete(data.number);
    if (!one) return;
    // After a trap the module's memory is not to be trusted: the next question gets a fresh one.
    if (data.error !== undefined) {
      one.reject(new Error(data.error));
      fail(data.error);
    } else one.resolve(data.body ?? '');
  });
  worker.addEventListener('error', (event) => fail(event.message || 'worker'));
}

/** Stops what the engine is doing: its thread ends and a new one starts. */
export function stopEngine(): void {
  worker?.terminate();
  worker = undefined;
  for (const one of waiting.values()) one.reject(new Error('stopped'));
  waiting.clear();
  startEngine();
}

/** What is shown here is said in the language and units of this device, whatever the job is written in. */
const spoken = (body: object): string => JSON.stringify({ language: settings.language, system: settings.system, ...body });

function post(body: object, progress?: (progress: Progress) => void): Promise<string> {
  if (!worker) startEngine();
  const number = next++;
  return new Promise((resolve, reject) => {
    waiting.set(number, { progress, resolve, reject });
    const question: Question = { number, body: spoken(body) };
    worker?.postMessage(question);
  });
}

/** The whole envelope: what the engine says beside its answer counts too. */
export async function askEnvelope<T>(body: object, progress?: (progress: Progress) => void): Promise<Envelope<T | null>> {
  const envelope = JSON.parse(await post(body, progress)) as Envelope<T | null>;
  engine.version = envelope.version;
  return envelope;
}

/**
 * Asks a thread of its own that ends with the answer: for long work beside which the page goes on asking.
 * The signal ends it at once.
 */
export function askAside<T>(body: object, progress: (progress: Progress) => void, signal: AbortSignal): Promise<Envelope<T | null>> {
  const aside = new EngineWorker({ name: 'airwright-aside' });
  return new Promise<Envelope<T | null>>((resolve, reject) => {
    signal.addEventListener('abort', () => reject(new Error('stopped')), { once: true });
    aside.addEventListener('error', (event) => reject(new Error(event.message || 'worker')));
    aside.addEventListener('message', ({ data }: MessageEvent<Reply>) => {
      if (data.error !== undefined) reject(new Error(data.error));
      else if (data.progress) progress(data.progress);
      else if (data.number !== 0) resolve(JSON.parse(data.body ?? 'null') as Envelope<T | null>);
    });
    if (signal.aborted) reject(new Error('stopped'));
    const question: Question = { number: 1, body: spoken(body) };
    aside.postMessage(question);
  }).finally(() => aside.terminate());
}

/** A question of the command line, asked of documents. */
export const askRequest = async <T>(request: object, files: TextFile[]): Promise<Answered<T>> =>
  (await askEnvelope<T>({ ask: 'job', request, files, now: wallClock() })) as Answered<T>;

async function askFor<T>(body: object): Promise<T> {
  const envelope = await askEnvelope<T>(body);
  if (envelope.data === null || envelope.data === undefined) {
    const first = envelope.diagnostics[0];
    throw new Error(first?.text ?? first?.message ?? 'no answer');
  }
  return envelope.data;
}

export const askWords = (language: Language): Promise<WordsAnswer> => askFor({ ask: 'phone-words', language });

export const askProfiles = async (language: Language): Promise<Profile[]> =>
  (await askFor<{ profiles: Profile[] }>({ ask: 'phone-profiles', language })).profiles;

export const askSheet = (draft: Draft, now: string): Promise<Sheet> =>
  askFor({ ask: 'phone-sheet', draft, now });

export const askEdit = async (files: TextFile[], operations: Operation[]): Promise<TextFile[]> =>
  (await askFor<{ files: TextFile[] }>({ ask: 'app', app: 'edit', files, operations })).files;

/** Two texts of one beginning; where both changed a field, theirs stands and the field is named. */
export const askMerge = (name: string, base: string, mine: string, theirs: string): Promise<{ text: string; conflicts: unknown[] }> =>
  askFor({ ask: 'app', app: 'merge', name, base, mine, theirs });

/** Documents of a new house; `ignored` are answers that were typed and could not be taken. */
export const askBegin = (begin: BeginAnswers): Promise<{ files: TextFile[]; ignored: ('floor_area' | 'height')[] }> =>
  askFor({ ask: 'app', app: 'begin', ...begin });

export const askDemo = async (): Promise<TextFile[]> =>
  (await askFor<{ files: TextFile[] }>({ ask: 'app', app: 'demo' })).files;

let style: Promise<string> | undefined;

/** The rules fragments are drawn by; asked once. */
export const fragmentStyle = (): Promise<string> =>
  (style ??= askFor<{ style: string }>({ ask: 'app', app: 'style' }).then((answer) => answer.style));

export const askOpen = async (files: TextFile[], language: Language): Promise<Draft> =>
  (await askFor<{ draft: Draft }>({ ask: 'phone-open', files, language })).draft;

/**
 * Looks at drafts one at a time: while one is being looked at, only the newest of those that come
 * in is kept, and an answer to anything but the newest is dropped.
 */
export class Looker {
  #busy = false;
  #pending: Draft | undefined;
  #closed = false;

  constructor(
    private readonly show: (look: Look) => void,
    private readonly trouble: (why: string) => void,
  ) {}

  look(draft: Draft): void {
    this.#pending = draft;
    if (!this.#busy) void this.#run();
  }

  close(): void {
    this.#closed = true;
    this.#pending = undefined;
  }

  async #run(): Promise<void> {
    this.#busy = true;
    while (this.#pending) {
      const draft = this.#pending;
      this.#pending = undefined;
      try {
        const { look } = await askFor<{ look: Look }>({
          ask: 'phone-look',
          draft,
          now: wallClock(),
        });
        if (!this.#pending && !this.#closed) this.show(look);
      } catch (error) {
        if (!this.#closed) this.trouble(error instanceof Error ? error.message : String(error));
      }
    }
    this.#busy = false;
  }
}
