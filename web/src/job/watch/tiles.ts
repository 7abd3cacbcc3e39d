// Pieces of traces at fixed levels, kept while they are used and fetched ahead of where one moves to.
// What is not there yet is drawn from the coarser piece that is: from the whole trace at worst.
import type { Expected, News, Trace, Traces, Window } from '../../lib/traces';

/** Widths of a stretch at each level, ms. From a minute on they are quarters of the store's own cells. */
export const WIDTHS_MS = [
  250, 1000, 4000, 15_000, 60_000, 240_000, 960_000, 3_840_000, 15_360_000, 61_440_000, 245_760_000, 983_040_000, 3_932_160_000,
] as const;
/** The level whose stretches make whole hours: what is held against an expectation of hours. */
export const HOURLY = 5;
const PER_TILE = 512;
/** Pieces that are kept: 20 kB each. */
const MOST = 900;
/** A piece that reaches beyond what was known is asked for again after this. */
const STALE_MS = 15_000;
const RETRY_MS = 3000;
const OVERVIEW = 1500;
const DAY_MS = 86_400_000;
const BAND_MS = 64 * DAY_MS;
const MOST_BANDS = 500;
const FRESH = 20_000;

export interface Cells {
  start: Float64Array;
  least: Float64Array;
  mean: Float64Array;
  greatest: Float64Array;
  count: Float64Array;
  /** Usual time between two of them, ms. */
  usual: number;
}

/** A part of a tile that is to be drawn. */
export interface Piece {
  cells: Cells;
  width: number;
  from: number;
  to: number;
  /** What came later is not in it. */
  known: number;
}

export interface Bands {
  from: Float64Array;
  to: Float64Array;
  low: Float64Array;
  mid: Float64Array;
  high: Float64Array;
}

interface Tile<T> {
  data: T | undefined;
  asked: number;
  known: number;
  used: number;
  busy: AbortController | undefined;
  failed: number;
}

export function lowerBound(list: Float64Array, value: number): number {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((list[middle] as number) < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

const NO_CELLS: Cells = { start: new Float64Array(), least: new Float64Array(), mean: new Float64Array(), greatest: new Float64Array(), count: new Float64Array(), usual: 0 };

function cellsOf(w: Window, width: number): Cells {
  const start = Float64Array.from(w.start_ms);
  const gaps: number[] = [];
  const step = Math.max(1, Math.floor(start.length / 64));
  for (let k = 1; k < start.length; k += step) gaps.push((start[k] as number) - (start[k - 1] as number));
  gaps.sort((a, b) => a - b);
  const usual = Math.max(width, gaps[gaps.length >> 1] ?? width);
  const [least, mean] = [Float64Array.from(w.least), Float64Array.from(w.mean)];
  return { start, least, mean, greatest: Float64Array.from(w.greatest), count: Float64Array.from(w.count), usual };
}

const bandsOf = (e: Expected): Bands => ({
  from: Float64Array.from(e.from_ms),
  to: Float64Array.from(e.to_ms),
  low: Float64Array.from(e.low),
  mid: Float64Array.from(e.mid),
  high: Float64Array.from(e.high),
});

interface Wanted {
  key: string;
  urgency: number;
  ask: (signal: AbortSignal) => Promise<void>;
  tile: Tile<unknown>;
}

export class Tiles {
  readonly #tiles = new Map<string, Tile<Cells>>();
  readonly #bands = new Map<string, Tile<Bands>>();
  readonly #whole = new Map<string, { cells: Cells; width: number; known: number }>();
  readonly #traces = new Map<string, Trace>();
  /** Points that came since the pieces were fetched, in the order of time. */
  readonly #fresh = new Map<string, { time: number[]; value: number[] }>();
  #wanted: Wanted[] = [];
  #under = 0;
  #turn = 0;
  #retry: ReturnType<typeof setTimeout> | undefined;
  trouble = false;

  constructor(
    readonly source: Traces,
    traces: readonly Trace[],
    private readonly changed: () => void,
  ) {
    for (const trace of traces) this.#traces.set(trace.id, { ...trace });
  }

  /** First and last reading of all traces, ms. */
  ends(): [number, number] | undefined {
    let [first, last] = [Infinity, -Infinity];
    for (const t of this.#traces.values()) {
      first = Math.min(first, t.first_ms ?? Infinity);
      last = Math.max(last, t.last_ms ?? -Infinity);
    }
    return first <= last ? [first, last] : undefined;
  }

  last(trace: string): number | undefined {
    return this.#traces.get(trace)?.last_ms ?? undefined;
  }

  /** Fetches every trace over all of the time: what is drawn until something finer is there. */
  async whole(signal: AbortSignal): Promise<void> {
    const ask = async (t: Trace) => {
      if (t.first_ms === null || t.last_ms === null) return;
      const known = t.last_ms;
      const width = Math.ceil((t.last_ms + 1 - t.first_ms) / OVERVIEW);
      const window = await this.source.window(t.id, t.first_ms, t.first_ms + width * OVERVIEW, OVERVIEW, signal);
      this.#whole.set(t.id, { cells: cellsOf(window, width), width, known });
      this.changed();
    };
    for (const trace of this.#traces.values()) {
      await ask(trace).catch(() => {
        this.trouble = !signal.aborted;
      });
    }
  }

  overview(trace: string): Piece | undefined {
    const of = this.#whole.get(trace);
    return of && { cells: of.cells, width: of.width, from: -Infinity, to: Infinity, known: of.known };
  }

  /** The level whose stretches are about as wide as a column of the drawing. */
  level(msPerColumn: number): number {
    let level = 0;
    while (level + 1 < WIDTHS_MS.length && (WIDTHS_MS[level + 1] as number) <= 1.5 * msPerColumn) level += 1;
    return level;
  }

  begin(): void {
    this.#turn += 1;
    this.#wanted = [];
  }

  /** What there is of a trace in `[from, to)` at a level, or coarser; what is missing is asked for after the frame. */
  pieces(trace: string, level: number, from: number, to: number, urgency: number): Piece[] {
    const out: Piece[] = [];
    this.#cover(trace, level, from, to, urgency, out);
    return out;
  }

  /** Asks for what lies there without drawing it. */
  ahead(trace: string, level: number, from: number, to: number): void {
    this.#cover(trace, level, from, to, 3, undefined);
  }

  #cover(trace: string, level: number, from: number, to: number, urgency: number, out: Piece[] | undefined): void {
    const of = this.#traces.get(trace);
    if (!of || of.first_ms === null || of.last_ms === null) return;
    const width = WIDTHS_MS[level];
    if (width === undefined) {
      const whole = out && this.#whole.get(trace);
      if (whole) out.push({ cells: whole.cells, width: whole.width, from, to, known: whole.known });
      return;
    }
    const span = width * PER_TILE;
    from = Math.max(from, of.first_ms - width);
    to = Math.min(to, of.last_ms + width);
    for (let k = Math.floor(from / span); k * span < to; k += 1) {
      const tile = this.#tile(trace, of, level, k, urgency);
      const [a, b] = [Math.max(from, k * span), Math.min(to, (k + 1) * span)];
      if (!out) continue;
      if (tile.data) out.push({ cells: tile.data, width, from: a, to: b, known: tile.known });
      // Only what is wanted at this level is asked for; coarser ones stand in where they are.
      else this.#stand(trace, level + 1, a, b, out);
    }
  }

  #stand(trace: string, level: number, from: number, to: number, out: Piece[]): void {
    const width = WIDTHS_MS[level];
    if (width === undefined) {
      this.#cover(trace, level, from, to, 0, out);
      return;
    }
    const span = width * PER_TILE;
    for (let k = Math.floor(from / span); k * span < to; k += 1) {
      const tile = this.#tiles.get(`${trace} ${level} ${k}`);
      const [a, b] = [Math.max(from, k * span), Math.min(to, (k + 1) * span)];
      if (tile?.data) {
        tile.used = this.#turn;
        out.push({ cells: tile.data, width, from: a, to: b, known: tile.known });
      } else this.#stand(trace, level + 1, a, b, out);
    }
  }

  #tile(trace: string, of: Trace, level: number, k: number, urgency: number): Tile<Cells> {
    const key = `${trace} ${level} ${k}`;
    let tile = this.#tiles.get(key);
    if (!tile) {
      tile = { data: undefined, asked: 0, known: -Infinity, used: 0, busy: undefined, failed: 0 };
      this.#tiles.set(key, tile);
    }
    tile.used = this.#turn;
    const width = WIDTHS_MS[level] as number;
    const [from, to] = [k * width * PER_TILE, (k + 1) * width * PER_TILE];
    const last = of.last_ms ?? -Infinity;
    if (to <= (of.first_ms ?? Infinity) || from > last) tile.data ??= NO_CELLS;
    else if (this.#due(tile, to > tile.known && last > tile.known)) {
      const mine = tile;
      const ask = async (signal: AbortSignal) => {
        const known = last;
        const window = await this.source.window(trace, from, to, PER_TILE, signal);
        mine.data = cellsOf(window, width);
        mine.known = known;
      };
      this.#wanted.push({ key, urgency, ask, tile: mine });
    }
    return tile;
  }

  #due(tile: Tile<unknown>, stale: boolean): boolean {
    if (tile.busy) return true;
    const now = performance.now();
    if (tile.failed && now - tile.failed < RETRY_MS) return false;
    return tile.data === undefined || (stale && now - tile.asked > STALE_MS);
  }

  /** What was expected of a trace in `[from, to)`. */
  expected(trace: string, from: number, to: number): Bands[] {
    const out: Bands[] = [];
    const of = this.#traces.get(trace);
    if (!of || of.first_ms === null || of.last_ms === null) return out;
    const last = of.last_ms;
    for (let k = Math.floor(Math.max(from, of.first_ms) / BAND_MS); k * BAND_MS < Math.min(to, last + 1); k += 1) {
      const key = `${trace} band ${k}`;
      let tile = this.#bands.get(key);
      if (!tile) {
        tile = { data: undefined, asked: 0, known: -Infinity, used: 0, busy: undefined, failed: 0 };
        this.#bands.set(key, tile);
      }
      tile.used = this.#turn;
      if (tile.data) out.push(tile.data);
      if (this.#due(tile, (k + 1) * BAND_MS > tile.known && last > tile.known)) {
        const mine = tile;
        const ask = async (signal: AbortSignal) => {
          mine.data = bandsOf(await this.source.expected(trace, k * BAND_MS, (k + 1) * BAND_MS, signal));
          mine.known = last;
        };
        this.#wanted.push({ key, urgency: 2, ask, tile: mine });
      }
    }
    return out;
  }

  /** What was expected is known now: it is asked for anew. */
  forgetExpected(): void {
    this.#bands.clear();
  }

  /** Points that came after a moment. */
  fresh(trace: string): { time: number[]; value: number[] } | undefined {
    return this.#fresh.get(trace);
  }

  hear(news: News): void {
    const of = this.#traces.get(news.trace);
    if (!of) return;
    if (news.anew) {
      for (const [key, tile] of this.#tiles) if (key.startsWith(`${news.trace} `)) tile.known = tile.asked = -Infinity;
    }
    let list = this.#fresh.get(news.trace);
    if (!list) this.#fresh.set(news.trace, (list = { time: [], value: [] }));
    for (const [time, value] of news.points) {
      if (time < (list.time.at(-1) ?? -Infinity)) continue;
      list.time.push(time);
      list.value.push(value);
      of.last_ms = Math.max(of.last_ms ?? -Infinity, time);
      of.first_ms ??= time;
      of.count += 1;
    }
    // The older half is in pieces by now: they are asked for again while they are shown.
    if (list.time.length > FRESH) {
      list.time.splice(0, FRESH / 2);
      list.value.splice(0, FRESH / 2);
    }
    this.changed();
  }

  /** After a frame: what is not wanted any more is given up, what is wanted most is asked for. */
  end(): void {
    const wanted = new Map(this.#wanted.map((one) => [one.key, one]));
    for (const map of [this.#tiles, this.#bands] as Map<string, Tile<unknown>>[]) {
      for (const [key, tile] of map) if (tile.busy && !wanted.has(key)) tile.busy.abort();
    }
    this.#wanted = [...wanted.values()].filter((one) => !one.tile.busy).sort((a, b) => a.urgency - b.urgency);
    this.#next();
    this.#forget(this.#tiles, MOST);
    this.#forget(this.#bands, MOST_BANDS);
  }

  #next(): void {
    while (this.#under < this.source.at_once) {
      const one = this.#wanted.shift();
      if (!one) return;
      const { tile } = one;
      const busy = new AbortController();
      tile.busy = busy;
      this.#under += 1;
      one
        .ask(busy.signal)
        .then(
          () => {
            tile.asked = performance.now();
            tile.failed = 0;
            this.trouble = false;
            this.changed();
          },
          () => {
            if (busy.signal.aborted) return;
            tile.failed = performance.now();
            this.trouble = true;
            this.#retry ??= setTimeout(() => {
              this.#retry = undefined;
              this.changed();
            }, RETRY_MS + 50);
          },
        )
        .finally(() => {
          tile.busy = undefined;
          this.#under -= 1;
          this.#next();
        });
    }
  }

  #forget(map: Map<string, Tile<unknown>>, most: number): void {
    if (map.size <= most) return;
    const old = [...map].filter(([, tile]) => tile.used < this.#turn && !tile.busy).sort((a, b) => a[1].used - b[1].used);
    for (const [key] of old.slice(0, map.size - most + most / 10)) map.delete(key);
  }

  close(): void {
    clearTimeout(this.#retry);
    this.#wanted = [];
    for (const map of [this.#tiles, this.#bands] as Map<string, Tile<unknown>>[]) for (const tile of map.values()) tile.busy?.abort();
  }
}
