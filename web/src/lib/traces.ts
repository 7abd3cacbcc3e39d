// Traces of a house, whatever they come from: the series among the documents of a job, worked by the
// engine of this page, or the store of a desk over the network. Times are ms since 1970, values SI.
import { settings } from './app.svelte';
import { askAside, askEnvelope } from './engine.svelte';
import type { Progress } from './engine.svelte';
import type { Said, TextFile } from './types';

/** How a quantity is shown: `si * scale + shift` in the unit with this symbol. */
export interface Shown {
  symbol: string;
  scale: number;
  shift: number;
  group: Group;
}

export const GROUPS = ['air', 'damp', 'pressure', 'machines'] as const;
/** What people ask about. */
export type Group = (typeof GROUPS)[number];

export interface Trace {
  id: string;
  name: string;
  quantity: string;
  group: Group;
  first_ms: number | null;
  last_ms: number | null;
  count: number;
}

/** What lies in a stretch of time, in smaller ones; those without a reading are left out. */
export interface Window {
  start_ms: number[];
  least: number[];
  mean: number[];
  greatest: number[];
  count: number[];
}

/** What was expected, an hour an entry. */
export interface Expected {
  from_ms: number[];
  to_ms: number[];
  low: number[];
  mid: number[];
  high: number[];
}

export interface Cause {
  percent: string;
  text: string;
  look: string | null;
}

export interface WatchEvent {
  id: number;
  start_ms: number;
  end_ms: number | null;
  became_usual: boolean;
  /** Traces that are off: their ids, and how far. */
  traces: { trace: string; text: string }[];
  causes: Cause[];
  question?: string | null;
}

/** A filter's load now and at its limit, as resistance over the clean one, with 90 % intervals. */
export interface Filter {
  device: string;
  trace: string;
  text: string;
  load: [number, number, number];
  limit: number | null;
  from_ms: number | null;
  now_ms: number;
  due_ms: number | null;
  earliest_ms: number | null;
  latest_ms: number | null;
}

export interface Alert {
  time_ms: number;
  /** When it was over, where that is known. */
  end_ms: number | null;
  text: string;
  /** How often such a one comes for nothing; a sentence's part. */
  rate: string;
  grave: boolean;
}

/** What the job's rules would have done; nothing is commanded. */
export interface Rules {
  at_ms: number;
  text: string;
  rules: { text: string; on: boolean; lost: boolean; since_ms: number | null }[];
  devices: string[];
  owed: string | null;
}

export interface Night {
  trace: string;
  name: string;
  from_ms: number;
  text: string;
}

/** What a source says as a whole. */
export interface Overview {
  traces: Trace[];
  units: Record<string, Shown>;
  /** Time zone of the house; UTC where nobody told. */
  zone: string | null;
  /** What a display of carbon monoxide is not. */
  monoxide: string;
}

/** What a watch made of the traces. */
export interface Judged {
  events: WatchEvent[];
  alerts: Alert[];
  nights: Night[];
  filters: Filter[];
  /** Ventilation that is owed; a sentence's part. */
  owed: string | null;
  rules: Rules | null;
  /** How many alerts chance gives; a sentence. */
  false_text: string;
  /** Whether anything is expected of rooms. */
  has_model: boolean;
}

/** New points of a trace, or that its past has changed; or that the watch has something new to tell. */
export interface News {
  trace: string;
  points: [number, number][];
  anew?: boolean;
  watch?: boolean;
}

export interface Traces {
  readonly kind: 'job' | 'desk';
  /** Questions that may be under way at once. */
  readonly at_once: number;
  overview(): Promise<Overview>;
  window(trace: string, from: number, to: number, buckets: number, signal: AbortSignal): Promise<Window>;
  expected(trace: string, from: number, to: number, signal: AbortSignal): Promise<Expected>;
  judged(progress: (progress: Progress) => void, signal: AbortSignal): Promise<Judged>;
  /** Points as they come, until the signal; nothing where nothing comes by itself. */
  live?(hear: (news: News) => void, state: (live: boolean) => void, signal: AbortSignal): Promise<void>;
}

const NOTHING: Judged = { events: [], alerts: [], nights: [], filters: [], owed: null, rules: null, false_text: '', has_model: false };

interface Hours {
  trace: string;
  from_ms: number;
  low: (number | null)[];
  mid: (number | null)[];
  high: (number | null)[];
}

interface JobAnswer extends Overview, Partial<Judged> {
  judged: boolean;
  expected?: Hours[];
}

const HOUR_MS = 3_600_000;

/** Whether a document is a series that a watch reads: in its folder, or a table whose columns are traces. */
const isSeries = ({ name, text }: TextFile): boolean => {
  if (!name.endsWith('.csv')) return false;
  if (name.startsWith('watch/')) return true;
  const header = text.slice(0, 4096).split('\n').find((line) => line.trim() !== '' && !line.startsWith('#')) ?? '';
  return header.startsWith('time') && header.split(',').slice(1).some((column) => column.includes('.'));
};

/** Whether a job has something to watch. */
export const hasWatch = (files: readonly TextFile[]): boolean => files.some((f) => f.name === 'watch.toml' || isSeries(f));

/** The series among the documents of a job. */
export class JobTraces implements Traces {
  readonly kind = 'job';
  // One thread answers in turn; two questions keep it busy.
  readonly at_once = 2;
  #hours = new Map<string, Hours>();

  constructor(
    private readonly files: TextFile[],
    private readonly now: string,
    private readonly say: (said: Said[]) => void = () => undefined,
  ) {}

  #page(judge: boolean) {
    return { ask: 'app', app: 'page', page: 'watch', judge, files: this.files, now: this.now };
  }

  async overview(): Promise<Overview> {
    const { data, diagnostics } = await askEnvelope<JobAnswer>(this.#page(false));
    this.say(diagnostics);
    if (!data) throw new Error('no answer');
    return data;
  }

  async window(trace: string, from: number, to: number, buckets: number): Promise<Window> {
    const question = { ask: 'app', app: 'window', trace, from: Math.floor(from), to: Math.ceil(to), buckets };
    const first = await askEnvelope<Window>(question);
    if (first.data) return first.data;
    // Another job was asked about meanwhile: the engine keeps one.
    await this.overview();
    const second = await askEnvelope<Window>(question);
    if (!second.data) throw new Error(`no trace ${trace}`);
    return second.data;
  }

  async expected(trace: string, from: number, to: number): Promise<Expected> {
    const out: Expected = { from_ms: [], to_ms: [], low: [], mid: [], high: [] };
    const of = this.#hours.get(trace);
    if (!of) return out;
    const end = Math.min(of.low.length, Math.ceil((to - of.from_ms) / HOUR_MS));
    for (let k = Math.max(0, Math.floor((from - of.from_ms) / HOUR_MS)); k < end; k += 1) {
      const low = of.low[k];
      const mid = of.mid[k];
      const high = of.high[k];
      if (low == null || mid == null || high == null) continue;
      out.from_ms.push(of.from_ms + k * HOUR_MS);
      out.to_ms.push(of.from_ms + (k + 1) * HOUR_MS);
      out.low.push(low);
      out.mid.push(mid);
      out.high.push(high);
    }
    return out;
  }

  async judged(progress: (progress: Progress) => void, signal: AbortSignal): Promise<Judged> {
    const { data, diagnostics } = await askAside<JobAnswer>(this.#page(true), progress, signal);
    this.say(diagnostics);
    if (!data) return NOTHING;
    for (const hours of data.expected ?? []) this.#hours.set(hours.trace, hours);
    return { ...NOTHING, ...data };
  }
}

export type Fetcher = (path: string, init?: RequestInit) => Promise<Response>;

/** What joins these pages to a desk: what asks it, and what it calls a job of this device. */
export interface Desk {
  fetcher: Fetcher;
  /** Nothing where the desk does not know the job. */
  name(job: string): string | undefined | Promise<string | undefined>;
}

let joined: Desk | undefined;
const waiting = new Set<() => void>();

/** Joins these pages to a desk, or parts them from it. */
export function joinDesk(desk: Desk | undefined): void {
  joined = desk;
  for (const one of waiting) one();
}

/** The desk that these pages are joined to. */
export const desk = (): Desk | undefined => joined;

/** Calls whenever a desk is joined or parted; gives what ends it. */
export function ondesk(call: () => void): () => void {
  waiting.add(call);
  return () => waiting.delete(call);
}

// Whoever keeps the link may also say so without being a part of this module.
window.addEventListener('airwright-desk', (event) => joinDesk((event as CustomEvent<Desk | undefined>).detail));

interface DeskSource {
  id: number;
  name: string;
  place: string | null;
  quantity: string | null;
  first_ms: number | null;
  last_ms: number | null;
  count: number;
}

interface DeskEvent {
  id: number;
  about: string;
  start_ms: number;
  end_ms: number | null;
  causes: object[] | null;
  quantity?: string | null;
  value?: number | null;
  sources?: number[];
  kind?: string;
}

const LONGEST_WAIT_MS = 20_000;

/** A source by the name that its job has for it. */
const ofJob = (s: DeskSource): string => s.name.slice(s.name.lastIndexOf('/') + 1);

/** The store of a desk. */
export class DeskTraces implements Traces {
  readonly kind = 'desk';
  readonly at_once = 4;
  #sources: DeskSource[] = [];
  /** What people call each source, by its number. */
  #names = new Map<number, string>();
  #units: Record<string, Shown> = {};

  constructor(
    private readonly fetcher: Fetcher,
    private readonly job: string,
    /** Documents that say in which units and time the job is shown, and what its places and traces are called. */
    private readonly about: TextFile[],
    private readonly about_value: (si: number, shown: Shown, signed: boolean) => string,
  ) {}

  async #get<T>(what: string, query: Record<string, string | number>, signal?: AbortSignal): Promise<T> {
    const text = Object.entries(query).map(([k, v]) => `${k}=${encodeURIComponent(v)}`).join('&');
    const response = await this.fetcher(`/desk/${what}?${text}`, signal ? { signal } : {});
    if (!response.ok) throw new Error(`${what}: ${response.status}`);
    return (await response.json()) as T;
  }

  async overview(): Promise<Overview> {
    const [page, answer] = await Promise.all([
      askEnvelope<JobAnswer>({ ask: 'app', app: 'page', page: 'watch', judge: false, files: this.about, now: '' }),
      this.#get<{ sources: DeskSource[] }>('sources', { job: this.job }),
    ]);
    this.#units = page.data?.units ?? {};
    this.#sources = answer.sources.filter((s) => s.quantity !== null && s.quantity in this.#units);
    const named = await askEnvelope<string[]>({ ask: 'app', app: 'names', files: this.about, traces: this.#told() });
    this.#names = new Map(this.#sources.map((s, k) => [s.id, named.data?.[k] ?? ofJob(s)]));
    const traces = this.#sources.map((s): Trace => {
      const quantity = s.quantity ?? '';
      const { id, first_ms, last_ms, count } = s;
      return { id: String(id), name: this.#name(s), quantity, group: this.#units[quantity]?.group ?? 'machines', first_ms, last_ms, count };
    });
    return { traces, units: this.#units, zone: page.data?.zone ?? null, monoxide: page.data?.monoxide ?? '' };
  }

  #name(s: DeskSource): string {
    return this.#names.get(s.id) ?? ofJob(s);
  }

  /** The sources as the engine is told of them. */
  #told() {
    return this.#sources.map((s) => ({ name: ofJob(s), place: s.place, quantity: s.quantity ?? '' }));
  }

  window(source: string, from: number, to: number, buckets: number, signal: AbortSignal): Promise<Window> {
    return this.#get('window', { source, from, to, buckets }, signal);
  }

  expected(source: string, from: number, to: number, signal: AbortSignal): Promise<Expected> {
    return this.#get('expected', { source, from, to }, signal);
  }

  async judged(_: unknown, signal: AbortSignal): Promise<Judged> {
    const ends = this.#sources.flatMap((s) => [s.first_ms, s.last_ms]).filter((t) => t !== null);
    if (ends.length === 0) return NOTHING;
    const [{ events }, standing] = await Promise.all([
      // An event may have begun after the last reading: silence does.
      this.#get<{ events: DeskEvent[] }>('events', { job: this.job, from: Math.max(0, Math.min(...ends)), to: Math.max(...ends, Date.now()) + 1 }, signal),
      this.#get<Omit<Judged, 'events'>>('watch', { job: this.job, language: settings.language, system: settings.system }, signal),
    ]);
    const { data } = await askEnvelope<Cause[][]>({
      ask: 'app', app: 'causes', files: this.about, traces: this.#told(), events: events.map((e) => e.causes ?? []),
    });
    const shown = events.map((e, k): WatchEvent => {
      const unit = this.#units[e.quantity ?? ''];
      const by = e.value != null && unit ? this.about_value(e.value, unit, true) : '';
      const ids = e.sources?.length ? e.sources.map(String) : this.#sources.filter((s) => s.name.endsWith(e.about)).map((s) => String(s.id));
      const of = ids[0] === undefined ? e.about : this.#called(ids[0]);
      const first = { trace: ids[0] ?? '', text: by ? `${of}: ${by}` : of };
      const traces = [first, ...ids.slice(1).map((trace) => ({ trace, text: this.#called(trace) }))];
      return { id: e.id, start_ms: e.start_ms, end_ms: e.end_ms, became_usual: false, traces, causes: data?.[k] ?? [] };
    });
    // Filters and nights name sources as the job does.
    const by = (name: string) => this.#sources.find((s) => ofJob(s) === name);
    const filters = standing.filters.map((f) => ({ ...f, trace: String(by(f.trace)?.id ?? f.trace) }));
    const nights = standing.nights.map((n) => {
      const source = by(n.trace);
      return { ...n, name: source ? this.#name(source) : n.name };
    });
    return { ...NOTHING, ...standing, filters, nights, events: shown };
  }

  #called(id: string): string {
    const source = this.#sources.find((s) => String(s.id) === id);
    return source ? this.#name(source) : id;
  }

  async live(hear: (news: News) => void, state: (live: boolean) => void, signal: AbortSignal): Promise<void> {
    let wait_ms = 500;
    while (!signal.aborted) {
      try {
        const headers = { Accept: 'text/event-stream' };
        const response = await this.fetcher(`/desk/live?job=${encodeURIComponent(this.job)}`, { signal, headers, cache: 'no-store' });
        if (!response.ok || !response.body) throw new Error(String(response.status));
        state(true);
        wait_ms = 500;
        await listen(response.body, hear);
      } catch {
        // It is tried again, as long as somebody looks.
      }
      if (signal.aborted) return;
      state(false);
      await new Promise((done) => setTimeout(done, wait_ms));
      wait_ms = Math.min(2 * wait_ms, LONGEST_WAIT_MS);
    }
  }
}

/** Reads an event stream to its end. */
async function listen(body: ReadableStream<Uint8Array>, hear: (news: News) => void): Promise<void> {
  const reader = body.pipeThrough(new TextDecoderStream() as ReadableWritablePair<string, Uint8Array>).getReader();
  let rest = '';
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    const parts = (rest + value).split(/\r?\n\r?\n/);
    rest = parts.pop() ?? '';
    for (const part of parts) {
      const lines = part.split(/\r?\n/);
      const data = lines.filter((l) => l.startsWith('data:')).map((l) => l.slice(5)).join('\n');
      if (!data) continue;
      const { source, points } = JSON.parse(data) as { source?: number; points?: [number, number][] };
      hear({ trace: String(source ?? ''), points: points ?? [], anew: lines.includes('event: anew'), watch: lines.includes('event: watch') });
    }
  }
}
