// Ticks and dates in the time zone of the house.
import { shownLanguage } from '../../lib/words.svelte';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

export const LENGTHS = { day: DAY, week: 7 * DAY, month: 30 * DAY, year: 365 * DAY } as const;

type Step = { ms: number; months?: number };
const STEPS: Step[] = [
  ...[1, 2, 5, 10, 15, 30].map((n) => ({ ms: n * 1000 })),
  ...[1, 2, 5, 10, 15, 30].map((n) => ({ ms: n * MINUTE })),
  ...[1, 2, 3, 6, 12].map((n) => ({ ms: n * HOUR })),
  ...[1, 2, 7, 14].map((n) => ({ ms: n * DAY })),
  ...[1, 2, 3, 6, 12, 24, 60, 120].map((n) => ({ ms: n * 30.4 * DAY, months: n })),
];

export interface Tick {
  at: number;
  label: string;
  /** Where a day, or the year above months, begins. */
  strong: boolean;
}

export class Clock {
  readonly #offsets = new Map<number, number>();
  readonly #formats = new Map<string, Intl.DateTimeFormat>();
  readonly #labels = new Map<string, string>();
  readonly #parts: Intl.DateTimeFormat;
  readonly #zone: string;
  readonly #language: string;

  constructor(zone: string | null) {
    this.#zone = zone ?? 'UTC';
    this.#language = shownLanguage() === 'es' ? 'es' : 'en-GB';
    this.#parts = this.#format({ year: 'numeric', month: 'numeric', day: 'numeric', hour: 'numeric', minute: 'numeric', second: 'numeric' });
  }

  #format(options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
    const key = JSON.stringify(options);
    let format = this.#formats.get(key);
    if (!format) {
      format = new Intl.DateTimeFormat(this.#language, { ...options, timeZone: this.#zone, hourCycle: 'h23' });
      this.#formats.set(key, format);
    }
    return format;
  }

  /** What the wall shows over UTC, ms. */
  #offset(at: number): number {
    const key = Math.floor(at / (15 * MINUTE));
    let offset = this.#offsets.get(key);
    if (offset === undefined) {
      if (this.#offsets.size > 5000) this.#offsets.clear();
      const part: Record<string, number> = {};
      const start = key * 15 * MINUTE;
      for (const { type, value } of this.#parts.formatToParts(start)) part[type] = Number(value);
      const { year = 0, month = 1, day = 1, hour = 0, minute = 0, second = 0 } = part;
      offset = Date.UTC(year, month - 1, day, hour, minute, second) - start;
      this.#offsets.set(key, offset);
    }
    return offset;
  }

  #fromWall(wall: number): number {
    const first = wall - this.#offset(wall);
    return wall - this.#offset(first);
  }

  #label(at: number, options: Intl.DateTimeFormatOptions): string {
    const key = `${at} ${Object.values(options).join()}`;
    let label = this.#labels.get(key);
    if (label === undefined) {
      if (this.#labels.size > 5000) this.#labels.clear();
      label = this.#format(options).format(at);
      this.#labels.set(key, label);
    }
    return label;
  }

  /** Ticks of a window, at most so many. */
  ticks(from: number, to: number, most: number): Tick[] {
    const least = (to - from) / Math.max(1, most);
    const step = STEPS.find((s) => s.ms >= least) ?? (STEPS.at(-1) as Step);
    const out: Tick[] = [];
    if (step.months) {
      const wall = new Date(from + this.#offset(from));
      let month = wall.getUTCFullYear() * 12 + wall.getUTCMonth();
      month = Math.floor(month / step.months) * step.months;
      for (; out.length < 200; month += step.months) {
        const at = this.#fromWall(Date.UTC(Math.floor(month / 12), month % 12, 1));
        if (at >= to) break;
        const january = month % 12 === 0;
        const label = step.months >= 12 ? this.#label(at, { year: 'numeric' }) : january ? this.#label(at, { month: 'short', year: 'numeric' }) : this.#label(at, { month: 'short' });
        if (at >= from) out.push({ at, label, strong: january });
      }
      return out;
    }
    // Days of weeks are counted from a Monday.
    const origin = step.ms >= DAY ? Date.UTC(1970, 0, 5) : 0;
    let wall = Math.floor((from + this.#offset(from) - origin) / step.ms) * step.ms + origin;
    for (; out.length < 400; wall += step.ms) {
      const at = this.#fromWall(wall);
      if (at >= to) break;
      if (at < from || at === out.at(-1)?.at) continue;
      const midnight = (wall % DAY) === 0;
      const day: Intl.DateTimeFormatOptions = step.ms >= 7 * DAY ? { day: 'numeric', month: 'short' } : { weekday: 'short', day: 'numeric' };
      const time: Intl.DateTimeFormatOptions = step.ms < MINUTE ? { minute: '2-digit', second: '2-digit', hour: '2-digit' } : { hour: '2-digit', minute: '2-digit' };
      out.push({ at, label: this.#label(at, midnight ? day : time), strong: midnight && step.ms < 7 * DAY });
    }
    return out;
  }

  /** A day, `6 Sep 2026`. */
  day(at: number): string {
    return this.#label(at, { day: 'numeric', month: 'short', year: 'numeric' });
  }

  /** A moment, as fine as the window wants it. */
  moment(at: number, span = Infinity): string {
    const fine: Intl.DateTimeFormatOptions = span < 2 * HOUR ? { second: '2-digit' } : {};
    return this.#format({ day: 'numeric', month: 'short', year: 'numeric', hour: '2-digit', minute: '2-digit', ...fine }).format(at);
  }

  window(from: number, to: number): string {
    const [a, b] = to - from > 3 * DAY ? [this.day(from), this.day(to)] : [this.moment(from, to - from), this.moment(to, to - from)];
    return `${a} – ${b}`;
  }
}
