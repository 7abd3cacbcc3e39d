// The window that all rows share: where it is, how it moves, when it is drawn.
import type { News, Trace } from '../../lib/traces';
import type { Clock, Tick } from './clock';
import { ratio, type Style } from './draw';
import type { Tiles } from './tiles';

/** Least window, ms. */
const LEAST_MS = 10_000;
const SETTLED_MS = 160;
/** Room beside the last reading, as a part of the window. */
const ROOM = 0.02;
/** Room that a tick's label needs, in letters. */
const LETTERS = 4.8;

export interface Frame {
  from: number;
  to: number;
  level: number;
  /** Time in a column, ms. */
  perColumn: number;
  columns: number;
  ticks: Tick[];
  still: boolean;
  style: Style;
}

type Draw = (frame: Frame) => void;

export class Stage {
  from = 0;
  to = 1;
  /** Width of a row and of the room for its numbers, px. */
  width = 0;
  gutter = 48;
  style: Style | undefined;
  /** The window once it stands still: what is written and read aloud. */
  settled = $state.raw({ from: 0, to: 1 });
  /** The reading line, ms. */
  cross = $state.raw<number | undefined>();

  readonly #draws = new Map<Draw, Trace | undefined>();
  #asked = 0;
  #still = true;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #way = 1;

  constructor(
    readonly tiles: Tiles,
    readonly clock: Clock,
  ) {
    const ends = tiles.ends();
    if (ends) {
      const span = Math.max(LEAST_MS, Math.min(7 * 86_400_000, ends[1] - ends[0]));
      this.to = ends[1] + ROOM * span;
      this.from = this.to - span;
    }
    this.settled = { from: this.from, to: this.to };
  }

  /** Draws with every frame; a row says which trace it shows. */
  add(draw: Draw, trace?: Trace): () => void {
    this.#draws.set(draw, trace);
    this.schedule();
    return () => this.#draws.delete(draw);
  }

  schedule = (): void => {
    if (this.#asked === 0) this.#asked = requestAnimationFrame(this.#frame);
  };

  #frame = (): void => {
    this.#asked = 0;
    const { from, to, tiles, style } = this;
    const plot = this.width - this.gutter;
    if (!style || plot < 20) return;
    const columns = Math.round(this.width * ratio()) - Math.round(this.gutter * ratio());
    const level = tiles.level((to - from) / plot);
    const ticks = this.clock.ticks(from, to, plot / (LETTERS * style.text));
    const frame: Frame = { from, to, level, perColumn: (to - from) / columns, columns, ticks, still: this.#still, style };
    tiles.begin();
    for (const draw of this.#draws.keys()) draw(frame);
    tiles.end();
  };

  /** Asks for what lies beside the window, first where it moves to. */
  ahead(trace: string, level: number): void {
    const span = this.to - this.from;
    const [later, earlier] = [
      [this.to, this.to + 0.8 * span],
      [this.from - 0.8 * span, this.from],
    ] as const;
    for (const [a, b] of this.#way > 0 ? [later, earlier] : [earlier, later]) this.tiles.ahead(trace, level, a, b);
    // What zooming out shows.
    if (this.#still) this.tiles.ahead(trace, level + 1, this.from - span, this.to + span);
  }

  show(from: number, to: number): void {
    const ends = this.tiles.ends();
    if (!ends || !Number.isFinite(from + to)) return;
    const all = Math.max(ends[1] - ends[0], LEAST_MS);
    let span = Math.min(Math.max(to - from, LEAST_MS), Math.max(1.1 * all, 86_400_000));
    // Zoomed too far out or in: the middle stays.
    const middle = 0.5 * (from + to);
    if (span !== to - from) [from, to] = [middle - 0.5 * span, middle + 0.5 * span];
    span = to - from;
    // Half of the window may be empty.
    const [least, most] = [ends[0] - 0.5 * span, ends[1] + 0.5 * span];
    if (from < least) [from, to] = [least, least + span];
    if (to > most) [from, to] = [most - span, most];
    this.#way = from >= this.from ? 1 : -1;
    [this.from, this.to] = [from, to];
    this.#still = false;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(this.#settle, SETTLED_MS);
    this.schedule();
  }

  #settle = (): void => {
    this.#still = true;
    this.settled = { from: this.from, to: this.to };
    this.schedule();
  };

  pan(ms: number): void {
    this.show(this.from + ms, this.to + ms);
  }

  /** Zooms by a factor about a time that stays where it is. */
  zoom(factor: number, about = 0.5 * (this.from + this.to)): void {
    const ends = this.tiles.ends();
    if (ends && factor < 1 && this.to - this.from <= LEAST_MS) return;
    this.show(about - (about - this.from) * factor, about + (this.to - about) * factor);
  }

  /** A window of this length: at the end where it showed the end or would go beyond it, else about its middle. */
  span(ms: number): void {
    const last = this.tiles.ends()?.[1] ?? this.to;
    const most = last + ROOM * ms;
    const to = this.follows() ? most : Math.min(most, 0.5 * (this.from + this.to + ms));
    this.show(to - ms, to);
  }

  all(): void {
    const ends = this.tiles.ends();
    if (!ends) return;
    const room = ROOM * (ends[1] - ends[0]);
    this.show(ends[0] - room, ends[1] + room);
  }

  first(): void {
    const ends = this.tiles.ends();
    if (ends) this.show(ends[0], ends[0] + this.to - this.from);
  }

  newest(): void {
    const [last, span] = [this.tiles.ends()?.[1] ?? this.to, this.to - this.from];
    this.show(last + ROOM * span - span, last + ROOM * span);
  }

  /** Whether the last reading is shown at the right edge. */
  follows(last = this.tiles.ends()?.[1] ?? this.to): boolean {
    const room = ROOM * (this.to - this.from);
    return last >= this.from && last <= this.to && this.to - last <= 2.5 * room;
  }

  /** Takes new points; a window at the end goes with them. */
  hear(news: News): void {
    const before = this.follows();
    this.tiles.hear(news);
    const last = this.tiles.ends()?.[1] ?? this.to;
    const room = ROOM * (this.to - this.from);
    if (before && last + room > this.to) this.pan(last + room - this.to);
    else this.schedule();
  }

  read(at: number | undefined): void {
    this.cross = at === undefined ? undefined : Math.min(Math.max(at, this.from), this.to);
    this.schedule();
  }

  /** The time at a place of a row, px from its left. */
  at(px: number): number {
    return this.from + ((px - this.gutter) / Math.max(1, this.width - this.gutter)) * (this.to - this.from);
  }

  x(time: number): number {
    return this.gutter + ((time - this.from) / (this.to - this.from)) * (this.width - this.gutter);
  }

  close(): void {
    cancelAnimationFrame(this.#asked);
    clearTimeout(this.#timer);
    this.#draws.clear();
    this.tiles.close();
  }
}
