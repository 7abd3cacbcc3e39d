// One row of the watch on its canvas: grid, the band of what was expected, the veil from least to
// greatest, the mean, and a bar under what lies outside. No unit is known here but the line that takes
// SI to what is shown.
import type { Shown } from '../../lib/traces';
import type { Tick } from './clock';
import { lowerBound, type Bands, type Piece } from './tiles';

const HOUR_MS = 3_600_000;

/** Colours and sizes of the theme, read from the page. */
export interface Style {
  ink: string;
  soft: string;
  line: string;
  edge: string;
  accent: string;
  wash: string;
  caution: string;
  cwash: string;
  bg: string;
  paper: string;
  /** Size of a letter, px. */
  text: number;
  /** Width of a graph line, px. */
  stroke: number;
  font: string;
}

const plain = document.createElement('canvas').getContext('2d');

/** A colour in whatever way it is written (a build shortens them) as `#rrggbb`. */
function hex(color: string): string {
  if (!plain) return color;
  plain.fillStyle = color;
  return plain.fillStyle;
}

export function styleOf(element: Element): Style {
  const of = getComputedStyle(element);
  const value = (name: string) => of.getPropertyValue(`--${name}`).trim();
  const get = (name: string) => hex(value(name));
  const root = parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
  const sw = parseFloat(value('sw')) || 1;
  const [ink, soft, line, edge, accent, wash] = ['ink', 'soft', 'line', 'edge', 'accent', 'wash'].map(get) as [string, string, string, string, string, string];
  const [caution, cwash, bg, paper] = ['caution', 'cwash', 'bg', 'paper'].map(get) as [string, string, string, string];
  return { ink, soft, line, edge, accent, wash, caution, cwash, bg, paper, text: 0.8125 * root, stroke: 1.5 * sw, font: of.fontFamily };
}

/** What a window shows, column by column. */
export class Columns {
  n = 0;
  readonly x: Float64Array;
  readonly least: Float64Array;
  readonly mean: Float64Array;
  readonly greatest: Float64Array;
  readonly weight: Float64Array;
  /** 1 where the line begins anew: nothing was measured before for long. */
  readonly gap: Uint8Array;
  bands = 0;
  readonly left: Float64Array;
  readonly right: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
  readonly mid: Float64Array;

  constructor(readonly most: number) {
    const list = () => new Float64Array(most);
    [this.x, this.least, this.mean, this.greatest, this.weight] = [list(), list(), list(), list(), list()];
    [this.left, this.right, this.low, this.high, this.mid] = [list(), list(), list(), list(), list()];
    this.gap = new Uint8Array(most);
  }
}

/** Puts the pieces and what came since into columns; times outside of the window by a little belong to it. */
export function gather(out: Columns, pieces: readonly Piece[], fresh: { time: number[]; value: number[] } | undefined, from: number, perColumn: number): void {
  out.n = 0;
  let column = -Infinity;
  let before = -Infinity;
  let known = -Infinity;
  let usual = 0;
  const put = (at: number, width: number, least: number, mean: number, greatest: number, count: number) => {
    const c = Math.floor((at - from) / perColumn);
    const k = out.n - 1;
    if (c === column && k >= 0) {
      if (least < (out.least[k] as number)) out.least[k] = least;
      if (greatest > (out.greatest[k] as number)) out.greatest[k] = greatest;
      const w = (out.weight[k] as number) + count;
      out.mean[k] = (out.mean[k] as number) + (count / w) * (mean - (out.mean[k] as number));
      out.weight[k] = w;
    } else {
      const n = out.n;
      if (n >= out.most) return;
      const wide = width > perColumn;
      out.x[n] = wide ? (at - from) / perColumn : c + 0.5;
      out.least[n] = least;
      out.mean[n] = mean;
      out.greatest[n] = greatest;
      out.weight[n] = count;
      out.gap[n] = at - before > Math.max(4 * usual, 4 * width, 3 * perColumn) ? 1 : 0;
      out.n = n + 1;
      column = c;
    }
    before = at;
  };
  for (const { cells, width, from: a, to: b, known: until } of pieces) {
    usual = cells.usual;
    known = until;
    const { start, least, mean, greatest, count } = cells;
    const end = lowerBound(start, b);
    for (let k = lowerBound(start, a - width + 1); k < end; k += 1) {
      const n = count[k] as number;
      // A single reading stands where its stretch begins or after: the middle is as near as one knows.
      put((start[k] as number) + 0.5 * width, width, least[k] as number, mean[k] as number, greatest[k] as number, n);
    }
  }
  if (!fresh) return;
  const { time, value } = fresh;
  let k = time.length;
  while (k > 0 && (time[k - 1] as number) > known) k -= 1;
  for (; k < time.length; k += 1) put(time[k] as number, 0, value[k] as number, value[k] as number, value[k] as number, 1);
}

/** Puts what was expected into the columns: hours wider than one as steps, narrower ones as their mean. */
export function gatherBands(out: Columns, bands: readonly Bands[], from: number, to: number, perColumn: number): void {
  out.bands = 0;
  let column = -Infinity;
  let together = 0;
  for (const b of bands) {
    const end = lowerBound(b.from, to);
    for (let k = lowerBound(b.from, from - HOUR_MS + 1); k < end; k += 1) {
      const left = ((b.from[k] as number) - from) / perColumn;
      const right = ((b.to[k] as number) - from) / perColumn;
      const c = Math.floor(left);
      const n = out.bands - 1;
      if (n >= 0 && c === column && right - left < 1) {
        together += 1;
        const part = 1 / together;
        out.low[n] = (out.low[n] as number) + part * ((b.low[k] as number) - (out.low[n] as number));
        out.mid[n] = (out.mid[n] as number) + part * ((b.mid[k] as number) - (out.mid[n] as number));
        out.high[n] = (out.high[n] as number) + part * ((b.high[k] as number) - (out.high[n] as number));
        out.right[n] = right;
      } else if (out.bands < out.most) {
        together = 1;
        column = c;
        const m = out.bands;
        [out.left[m], out.right[m]] = [left, right];
        [out.low[m], out.mid[m], out.high[m]] = [b.low[k] as number, b.mid[k] as number, b.high[k] as number];
        out.bands = m + 1;
      }
    }
  }
}

export interface Stretch {
  from: number;
  to: number;
}

/** Hours, or wider stretches, whose mean lies outside of what was expected of them. */
export function outside(pieces: readonly Piece[], bands: readonly Bands[]): Stretch[] {
  const out: Stretch[] = [];
  if (bands.length === 0 || pieces.length === 0) return out;
  let [b, k] = [0, 0];
  const judge = (from: number, to: number, mean: number) => {
    let [low, high, n] = [0, 0, 0];
    for (; b < bands.length; b += 1, k = 0) {
      const of = bands[b] as Bands;
      while (k < of.from.length && (of.to[k] as number) <= from) k += 1;
      let j = k;
      for (; j < of.from.length && (of.from[j] as number) < to; j += 1) {
        low += of.low[j] as number;
        high += of.high[j] as number;
        n += 1;
      }
      if (j < of.from.length || b + 1 === bands.length) break;
      if (k < of.from.length && (bands[b + 1]?.from[0] ?? Infinity) >= to) break;
    }
    if (n === 0 || (mean * n >= low && mean * n <= high)) return;
    const last = out.at(-1);
    if (last && last.to >= from) last.to = to;
    else out.push({ from, to });
  };
  let [unit, sum, count] = [-Infinity, 0, 0];
  let width = HOUR_MS;
  for (const { cells, width: own, from, to } of pieces) {
    const { start, mean, count: weight } = cells;
    const each = Math.max(HOUR_MS, own);
    const end = lowerBound(start, to);
    for (let i = lowerBound(start, from); i < end; i += 1) {
      const at = own >= HOUR_MS ? (start[i] as number) : Math.floor((start[i] as number) / HOUR_MS) * HOUR_MS;
      if (at !== unit) {
        if (count > 0) judge(unit, unit + width, sum / count);
        [unit, sum, count, width] = [at, 0, 0, each];
      }
      sum += (mean[i] as number) * (weight[i] as number);
      count += weight[i] as number;
    }
  }
  if (count > 0) judge(unit, unit + width, sum / count);
  return out;
}

/** A step of 1, 2 or 5 times a power of ten that gives about so many ticks. */
export function niceStep(span: number, ticks: number): number {
  const raw = span / ticks;
  const ten = 10 ** Math.floor(Math.log10(raw));
  return ten * ([1, 2, 5, 10].find((n) => n * ten >= raw * 0.999) ?? 10);
}

export interface Range {
  low: number;
  high: number;
}

/** The least and greatest that is shown, in the unit that is shown. */
export function extent(c: Columns, shown: Shown): Range | undefined {
  let [low, high] = [Infinity, -Infinity];
  for (let k = 0; k < c.n; k += 1) {
    if ((c.least[k] as number) < low) low = c.least[k] as number;
    if ((c.greatest[k] as number) > high) high = c.greatest[k] as number;
  }
  // A band that is far wider than what was measured, as while it is learned, does not make a line of it.
  const room = low <= high ? Math.max(1.2 * (high - low), 0.02 * Math.abs(high)) : Infinity;
  const [least_low, most_high] = low <= high ? [low - room, high + room] : [-Infinity, Infinity];
  for (let k = 0; k < c.bands; k += 1) {
    const [a, b] = [Math.max(c.low[k] as number, least_low), Math.min(c.high[k] as number, most_high)];
    if (a < low) low = a;
    if (b > high) high = b;
  }
  if (!(low <= high)) return undefined;
  [low, high] = [low * shown.scale + shown.shift, high * shown.scale + shown.shift];
  // What hardly moves is not blown up until its noise fills the row.
  const size = Math.max(Math.abs(low), Math.abs(high));
  // Where nought is no mark of its own (a temperature) a part of the number says less.
  const least = size < 1e-9 ? 1 : (shown.shift === 0 ? 0.25 : 0.02) * size;
  if (high - low < least) {
    const middle = 0.5 * (low + high);
    [low, high] = [middle - 0.5 * least, middle + 0.5 * least];
  }
  return { low, high };
}

/** Rounds a range to whole steps. */
export function rounded(range: Range): Range & { step: number } {
  const step = niceStep(range.high - range.low, 2.2);
  const half = step / 2;
  return { low: Math.floor(range.low / half) * half, high: Math.ceil(range.high / half) * half, step };
}

export interface Row {
  width: number;
  height: number;
  gutter: number;
  range: Range & { step: number };
  shown: Shown;
  from: number;
  to: number;
  /** Time in a pixel, ms. */
  perColumn: number;
  ticks: readonly Tick[];
  outside: readonly Stretch[];
  /** Stretches of events that this trace is part of. */
  events: readonly Stretch[];
  cross: number | undefined;
  number: (value: number, step: number) => string;
}

const BAR = 5;

type Rgb = readonly [number, number, number];

/** `#rrggbb` as its parts. */
const rgb = (hex: string): Rgb => [1, 3, 5].map((k) => parseInt(hex.slice(k, k + 2), 16) || 0) as unknown as Rgb;
const mixed = (below: Rgb, above: Rgb, part: number): Rgb => below.map((v, k) => v + part * ((above[k] as number) - v)) as unknown as Rgb;
/** As a pixel lies in memory: all machines that run browsers put the least byte first. */
const packed = ([r, g, b]: Rgb): number => ((255 << 24) | (Math.round(b) << 16) | (Math.round(g) << 8) | Math.round(r)) >>> 0;

/**
 * Pixels of one row. Filling them here takes a tenth of the time that paths of thousands of corners take where the
 * browser has no graphics processor.
 */
class Raster {
  readonly image: ImageData;
  readonly #pixels: Uint32Array;
  /** Upper and lower end of what is drawn in each column. */
  readonly top: Float32Array;
  readonly bottom: Float32Array;

  constructor(
    readonly width: number,
    readonly height: number,
  ) {
    this.image = new ImageData(width, height);
    this.#pixels = new Uint32Array(this.image.data.buffer);
    this.top = new Float32Array(width);
    this.bottom = new Float32Array(width);
  }

  clear(color: number): void {
    this.#pixels.fill(color);
  }

  rect(left: number, top: number, right: number, bottom: number, color: number): void {
    const [a, b] = [Math.max(0, Math.round(left)), Math.min(this.width, Math.round(right))];
    const [c, d] = [Math.max(0, Math.round(top)), Math.min(this.height, Math.round(bottom))];
    const { width } = this;
    const pixels = this.#pixels;
    // A call for each line costs more than a few pixels.
    if (b - a < 24) for (let y = c * width; y < d * width; y += width) for (let at = y + a; at < y + b; at += 1) pixels[at] = color;
    else for (let y = c; y < d; y += 1) pixels.fill(color, y * width + a, y * width + b);
  }

  /** One column between two heights, a part of a pixel at its ends. */
  span(x: number, top: number, bottom: number, color: Rgb, alpha: number): void {
    const first = Math.max(0, Math.floor(top));
    const last = Math.min(this.height - 1, Math.ceil(bottom) - 1);
    const pixels = this.#pixels;
    const [r, g, b] = color;
    const whole = alpha === 1 ? packed(color) : 0;
    for (let y = first; y <= last; y += 1) {
      const at = y * this.width + x;
      const part = alpha * ((bottom < y + 1 ? bottom : y + 1) - (top > y ? top : y));
      if (part === 1) {
        pixels[at] = whole;
        continue;
      }
      const p = pixels[at] as number;
      const pr = p & 255;
      const pg = (p >> 8) & 255;
      const pb = (p >> 16) & 255;
      pixels[at] = ((255 << 24) | ((pb + part * (b - pb) + 0.5) << 16) | ((pg + part * (g - pg) + 0.5) << 8) | (pr + part * (r - pr) + 0.5)) >>> 0;
    }
  }

  begin(): void {
    this.top.fill(Infinity);
    this.bottom.fill(-Infinity);
  }

  /** Widens the columns that a line from one point to another passes. */
  line(x0: number, y0: number, x1: number, y1: number): void {
    const slope = x1 > x0 ? (y1 - y0) / (x1 - x0) : 0;
    const end = Math.min(this.width - 1, Math.floor(x1));
    for (let c = Math.max(0, Math.floor(x0)); c <= end; c += 1) {
      const a = y0 + slope * (Math.max(x0, c) - x0);
      const b = y0 + slope * (Math.min(x1, c + 1) - x0);
      this.wide(c, a < b ? a : b, a < b ? b : a);
    }
  }

  wide(column: number, top: number, bottom: number): void {
    if (top < (this.top[column] as number)) this.top[column] = top;
    if (bottom > (this.bottom[column] as number)) this.bottom[column] = bottom;
  }

  /** Draws what was widened, thicker by so much above and below. */
  end(color: Rgb, alpha: number, more: number): void {
    for (let c = 0; c < this.width; c += 1) {
      const top = this.top[c] as number;
      if (top < Infinity) this.span(c, top - more, (this.bottom[c] as number) + more, color, alpha);
    }
  }
}

const rasters = new WeakMap<CanvasRenderingContext2D, Raster>();

/** Pixels in a pixel of the page, at most two: more are not seen in a line. */
export const ratio = (): number => Math.min(window.devicePixelRatio || 1, 2);

export function paint(g: CanvasRenderingContext2D, c: Columns, row: Row, style: Style): void {
  const { range, shown, from } = row;
  const k = ratio();
  const left = Math.round(row.gutter * k);
  const [width, height] = [g.canvas.width - left, g.canvas.height];
  if (width < 8) return;
  let raster = rasters.get(g);
  if (!raster || raster.width !== width || raster.height !== height) {
    raster = new Raster(width, height);
    rasters.set(g, raster);
  }
  const r = raster;
  const perPx = row.perColumn;
  const bar = BAR * k;
  const top = 4 * k;
  const bottom = height - bar - 5 * k;
  const scale = (bottom - top) / (range.high - range.low || 1);
  const y = (si: number) => bottom - (si * shown.scale + shown.shift - range.low) * scale;
  const x = (time: number) => (time - from) / perPx;
  const [bg, ink, accent] = [rgb(style.bg), rgb(style.ink), rgb(style.accent)];
  const hair = Math.max(1, Math.round(k));
  r.clear(packed(bg));
  const shade = packed(mixed(bg, rgb(style.cwash), 0.6));
  for (const e of row.events) r.rect(x(e.from), 0, Math.max(x(e.to), x(e.from) + 2 * k), height, shade);
  const grid = packed(rgb(style.line));
  const numbers: { text: string; at: number }[] = [];
  for (let v = Math.ceil(range.low / range.step - 1e-6) * range.step; v <= range.high + 1e-6 * range.step; v += range.step) {
    const at = Math.round(bottom - (v - range.low) * scale);
    r.rect(0, at, width, at + hair, grid);
    numbers.push({ text: row.number(v, range.step), at: at / k });
  }
  for (const tick of row.ticks) r.rect(x(tick.at), 0, Math.round(x(tick.at)) + hair, height, grid);
  drawBand(r, c, y, style);
  drawTrace(r, c, y, ink, style.stroke * k);
  if (row.outside.length > 0) {
    const caution = packed(rgb(style.caution));
    for (const s of row.outside) r.rect(x(s.from), height - bar - k, Math.max(x(s.to), x(s.from) + 3 * k), height - k, caution);
  }
  if (row.cross !== undefined) {
    const at = Math.round(x(row.cross) - 0.5 * style.stroke * k);
    r.rect(at, 0, at + Math.round(style.stroke * k), height, packed(accent));
  }
  g.setTransform(1, 0, 0, 1, 0, 0);
  g.clearRect(0, 0, left, height);
  g.putImageData(r.image, left, 0);
  g.setTransform(k, 0, 0, k, 0, 0);
  g.font = `${style.text}px ${style.font}`;
  g.textBaseline = 'middle';
  g.textAlign = 'right';
  g.fillStyle = style.soft;
  for (const { text, at } of numbers) {
    g.fillText(text, row.gutter - 6, Math.min(Math.max(at, style.text / 2 + 1), row.height - style.text / 2));
  }
}

/** The band, as steps of hours, with edges: tint alone carries no meaning. */
function drawBand(r: Raster, c: Columns, y: (si: number) => number, style: Style): void {
  if (c.bands === 0) return;
  const wash = packed(rgb(style.wash));
  const edge = mixed(rgb(style.wash), rgb(style.accent), 0.5);
  const narrow = c.bands > 1 && (c.right[1] as number) - (c.left[1] as number) < 1.5;
  const together = (k: number) => k > 0 && (c.left[k] as number) - (c.right[k - 1] as number) < 1.01;
  for (let k = 0; k < c.bands; k += 1) {
    r.rect(c.left[k] as number, y(c.high[k] as number), Math.max(c.right[k] as number, Math.round(c.left[k] as number) + 1), y(c.low[k] as number), wash);
  }
  for (const list of [c.high, c.low]) {
    r.begin();
    for (let k = 0; k < c.bands; k += 1) {
      const at = y(list[k] as number);
      const left = Math.round(c.left[k] as number);
      // Hours narrower than a column are not joined: that would fill the band with edges.
      const before = together(k) && !narrow ? y(list[k - 1] as number) : at;
      if (left >= 0 && left < r.width) r.wide(left, Math.min(at, before), Math.max(at, before));
      r.line(Math.max(0, left), at, c.right[k] as number, at);
    }
    r.end(edge, narrow ? 0.5 : 1, 0.5 * style.stroke);
  }
}

/** The veil from least to greatest, and the mean. */
function drawTrace(r: Raster, c: Columns, y: (si: number) => number, ink: Rgb, stroke: number): void {
  const begins = (k: number) => k === 0 || c.gap[k] === 1;
  r.begin();
  for (let k = 0; k < c.n; k += 1) {
    const at = c.x[k] as number;
    if (begins(k)) {
      const column = Math.floor(at);
      if (column >= 0 && column < r.width) r.wide(column, y(c.greatest[k] as number), y(c.least[k] as number));
      continue;
    }
    r.line(c.x[k - 1] as number, y(c.greatest[k - 1] as number), at, y(c.greatest[k] as number));
    r.line(c.x[k - 1] as number, y(c.least[k - 1] as number), at, y(c.least[k] as number));
  }
  r.end(ink, 0.2, 0);
  r.begin();
  for (let k = 0; k < c.n; k += 1) {
    const [at, value] = [c.x[k] as number, y(c.mean[k] as number)];
    if (begins(k)) r.line(at - 0.5, value, at + 0.5, value);
    else r.line(c.x[k - 1] as number, y(c.mean[k - 1] as number), at, value);
    // Few readings are dots as well, so that one sees what was measured.
    if (c.n * 9 < r.width) for (let d = -1; d <= 1; d += 1) r.line(at - 1.5 * stroke, value + 0.7 * d * stroke, at + 1.5 * stroke, value + 0.7 * d * stroke);
  }
  r.end(ink, 1, 0.5 * stroke);
}

/** Sets a canvas to its size in device pixels and gives what draws on it. */
export function fit(canvas: HTMLCanvasElement, width: number, height: number): CanvasRenderingContext2D | null {
  const k = ratio();
  const [w, h] = [Math.round(width * k), Math.round(height * k)];
  if (canvas.width !== w) canvas.width = w;
  if (canvas.height !== h) canvas.height = h;
  const g = canvas.getContext('2d');
  g?.setTransform(k, 0, 0, k, 0, 0);
  return g;
}
