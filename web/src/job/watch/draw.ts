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

export function styleOf(element: Element): Style {
  const of = getComputedStyle(element);
  const get = (name: string) => of.getPropertyValue(`--${name}`).trim();
  const root = parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
  const sw = parseFloat(get('sw')) || 1;
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
  for (let k = 0; k < c.bands; k += 1) {
    if ((c.low[k] as number) < low) low = c.low[k] as number;
    if ((c.high[k] as number) > high) high = c.high[k] as number;
  }
  if (!(low <= high)) return undefined;
  [low, high] = [low * shown.scale + shown.shift, high * shown.scale + shown.shift];
  // What hardly moves is not blown up until its noise fills the row.
  const size = Math.max(Math.abs(low), Math.abs(high));
  const least = size < 1e-9 ? 1 : 0.02 * size;
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
  perColumn: number;
  ticks: readonly Tick[];
  outside: readonly Stretch[];
  /** Stretches of events that this trace is part of. */
  events: readonly Stretch[];
  cross: number | undefined;
  number: (value: number, step: number) => string;
}

const BAR = 5;

export function paint(g: CanvasRenderingContext2D, c: Columns, row: Row, style: Style): void {
  const { width, height, gutter, range, shown, from, to } = row;
  const plot = width - gutter;
  const perPx = (to - from) / plot;
  const perCol = row.perColumn / perPx;
  const top = 4;
  const bottom = height - BAR - 5;
  const scale = (bottom - top) / (range.high - range.low || 1);
  const y = (si: number) => bottom - (si * shown.scale + shown.shift - range.low) * scale;
  const x = (time: number) => gutter + (time - from) / perPx;
  g.clearRect(0, 0, width, height);
  g.font = `${style.text}px ${style.font}`;
  g.textBaseline = 'middle';
  g.textAlign = 'right';
  g.lineWidth = 1;
  g.strokeStyle = style.line;
  g.fillStyle = style.soft;
  g.beginPath();
  for (let v = Math.ceil(range.low / range.step - 1e-6) * range.step; v <= range.high + 1e-6 * range.step; v += range.step) {
    const at = Math.round(bottom - (v - range.low) * scale) + 0.5;
    g.moveTo(gutter, at);
    g.lineTo(width, at);
    g.fillText(row.number(v, range.step), gutter - 6, Math.min(Math.max(at, style.text / 2 + 1), height - style.text / 2));
  }
  for (const tick of row.ticks) {
    const at = Math.round(x(tick.at)) + 0.5;
    if (at < gutter) continue;
    g.moveTo(at, 0);
    g.lineTo(at, height);
  }
  g.stroke();
  g.save();
  g.beginPath();
  g.rect(gutter, 0, plot, height);
  g.clip();
  if (row.events.length > 0) {
    g.fillStyle = style.cwash;
    g.globalAlpha = 0.6;
    for (const e of row.events) g.fillRect(x(e.from), 0, Math.max(2, x(e.to) - x(e.from)), height);
    g.globalAlpha = 1;
  }
  // The band, as steps of hours, with edges: tint alone carries no meaning.
  if (c.bands > 0) {
    let k = 0;
    while (k < c.bands) {
      let end = k + 1;
      while (end < c.bands && (c.left[end] as number) - (c.right[end - 1] as number) < 1.01) end += 1;
      g.beginPath();
      for (let j = k; j < end; j += 1) {
        const high = y(c.high[j] as number);
        g.lineTo(gutter + (c.left[j] as number) * perCol, high);
        g.lineTo(gutter + (c.right[j] as number) * perCol, high);
      }
      for (let j = end - 1; j >= k; j -= 1) {
        const low = y(c.low[j] as number);
        g.lineTo(gutter + (c.right[j] as number) * perCol, low);
        g.lineTo(gutter + (c.left[j] as number) * perCol, low);
      }
      g.closePath();
      g.fillStyle = style.wash;
      g.fill();
      g.strokeStyle = style.accent;
      g.globalAlpha = 0.45;
      g.lineWidth = style.stroke * 0.5;
      g.stroke();
      g.globalAlpha = 1;
      k = end;
    }
  }
  if (c.n > 0) {
    veil(g, c, gutter, perCol, y, style);
    g.strokeStyle = style.ink;
    g.lineWidth = style.stroke;
    g.lineJoin = 'round';
    line(g, c, gutter, perCol, y);
    // Few readings are dots as well, so that one sees what was measured.
    if (c.n * 9 < plot) {
      g.fillStyle = style.ink;
      for (let k = 0; k < c.n; k += 1) {
        g.beginPath();
        g.arc(gutter + (c.x[k] as number) * perCol, y(c.mean[k] as number), style.stroke * 1.5, 0, 7);
        g.fill();
      }
    }
  }
  if (row.outside.length > 0) {
    g.fillStyle = style.caution;
    for (const s of row.outside) {
      const [a, b] = [x(s.from), x(s.to)];
      if (b < gutter || a > width) continue;
      g.fillRect(a, height - BAR - 1, Math.max(3, b - a), BAR);
    }
  }
  if (row.cross !== undefined) {
    const at = Math.round(x(row.cross)) + 0.5;
    g.strokeStyle = style.accent;
    g.lineWidth = style.stroke;
    g.beginPath();
    g.moveTo(at, 0);
    g.lineTo(at, height);
    g.stroke();
  }
  g.restore();
}

function veil(g: CanvasRenderingContext2D, c: Columns, gutter: number, perCol: number, y: (si: number) => number, style: Style): void {
  g.fillStyle = style.ink;
  g.globalAlpha = 0.2;
  g.beginPath();
  let k = 0;
  while (k < c.n) {
    let end = k + 1;
    while (end < c.n && c.gap[end] === 0) end += 1;
    if (end - k > 1) {
      for (let j = k; j < end; j += 1) {
        const at = gutter + (c.x[j] as number) * perCol;
        if (j === k) g.moveTo(at, y(c.greatest[j] as number));
        else g.lineTo(at, y(c.greatest[j] as number));
      }
      for (let j = end - 1; j >= k; j -= 1) g.lineTo(gutter + (c.x[j] as number) * perCol, y(c.least[j] as number));
    } else {
      const [a, b] = [y(c.greatest[k] as number), y(c.least[k] as number)];
      g.rect(gutter + (c.x[k] as number) * perCol - 0.5, a, 1, Math.max(1, b - a));
    }
    k = end;
  }
  g.fill();
  g.globalAlpha = 1;
}

function line(g: CanvasRenderingContext2D, c: Columns, gutter: number, perCol: number, y: (si: number) => number): void {
  g.beginPath();
  for (let k = 0; k < c.n; k += 1) {
    const [at, value] = [gutter + (c.x[k] as number) * perCol, y(c.mean[k] as number)];
    if (k === 0 || c.gap[k] === 1) {
      g.moveTo(at - 0.5, value);
      g.lineTo(at + 0.5, value);
    } else g.lineTo(at, value);
  }
  g.stroke();
}

/** Sets a canvas to its size in device pixels and gives what draws on it. */
export function fit(canvas: HTMLCanvasElement, width: number, height: number): CanvasRenderingContext2D | null {
  const ratio = Math.min(window.devicePixelRatio || 1, 3);
  const [w, h] = [Math.round(width * ratio), Math.round(height * ratio)];
  if (canvas.width !== w) canvas.width = w;
  if (canvas.height !== h) canvas.height = h;
  const g = canvas.getContext('2d');
  g?.setTransform(ratio, 0, 0, ratio, 0, 0);
  return g;
}
