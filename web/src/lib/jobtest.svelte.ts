// An envelope test within a job: typed like a test alone, kept in the visit's own document. What was
// typed is written after a rest as one act that can be undone; digits that nobody touched stay as written.
import { go } from './app.svelte';
import { completeDraft, emptySecond, entryText, fanEntry, hasRanges, inRun, listsOf, rangeEntry, runOf, setEntry, showsPressure, withRun } from './entries';
import type { OpenJob } from './job.svelte';
import { TYPED_STEPS, type TypedStep } from './routes';
import type { Spot } from './store';
import type { StepName } from './steps';
import type { Typed } from './typed';
import type { Challenge, Draft, Look, Operation, Station } from './types';
import { bare, gridOps, list, quoted, remove, set, setOrRemove, type Column, type FormField, type FormGroup, type OpenTest, type OpenVisit } from './visit';
import { unit } from './words.svelte';

const REST_MS = 700;

/** A station that is not whole waits here: a document's table has no half rows. */
interface Half {
  run: 0 | 1;
  at: number;
  /** It stands in the document as it was before. */
  old: boolean;
  station: Station;
}

const fieldOf = (group: FormGroup | undefined, name: string): FormField | undefined => group?.fields.find((f) => f.name === name);

/** The part of the form that holds a run. */
export function runForm(test: OpenTest, run: 0 | 1): FormGroup | undefined {
  const own = fieldOf(test.form, 'stations')?.present || (fieldOf(test.form, 'direction')?.text ?? '') !== '';
  const more = test.form.lists.find((l) => l.name === 'run')?.entries ?? [];
  return own ? (run === 0 ? test.form : more[0]) : more[run];
}

/** The columns a run's table needs, in the draft's units. */
function wanted(draft: Draft): Column[] {
  const one = (name: string, symbol: string, text = false): Column => ({ header: `${name} ${symbol}`.trim(), name, label: name, unit: symbol, units: [], text });
  const number = (at: number) => (at === 0 ? '' : `-${at + 1}`);
  return [
    one('house', 'Pa'),
    ...draft.fans.flatMap((fan, at) => [
      showsPressure(draft, at) ? one(`fan-pressure${number(at)}`, 'Pa') : one(`fan${number(at)}`, unit(draft.system, 'flow')),
      ...(hasRanges(fan) ? [one(`range${number(at)}`, '', true)] : []),
    ]),
  ];
}

/** What takes a number of the pad to one of a column; 1 where they share the unit. */
const turnOf = ({ turn }: Column): number | undefined => (turn != null && turn > 0 ? (Math.abs(turn - 1) < 1e-12 ? 1 : turn) : undefined);

/** Digits in which a number goes into a column of another unit: more than it is read back with. */
const DIGITS = 12;

/** Whether the pad can type into what is written: the same columns in units that it can turn into, one direction a table. */
export function fitsPad(test: OpenTest): boolean {
  if (!test.typed) return false;
  const { draft } = test.typed;
  return (draft.second ? ([0, 1] as const) : ([0] as const)).every((run) => {
    const form = runForm(test, run);
    const grid = fieldOf(form, 'stations');
    if (!grid || fieldOf(form, 'direction')?.text === 'both') return false;
    const columns = grid.present ? (grid.columns ?? []) : wanted(draft);
    const needs = wanted(draft);
    return columns.length === needs.length && needs.every((n) => columns.some((c) => c.name === n.name && (n.text || c.unit === n.unit || turnOf(c) !== undefined)));
  });
}

export class JobTest implements Typed {
  draft: Draft;
  spot: Spot = $state({ step: 1, entry: '' });
  look = $state.raw<Look | undefined>(undefined);
  lookTrouble = $state('');
  typed = $state(0);
  fresh = $state(false);

  #test: OpenTest;
  #visit: OpenVisit;
  #dirty = new Set<string>();
  #timer: ReturnType<typeof setTimeout> | undefined;
  #writing = 0;
  #accepted: string[] = $state([]);

  constructor(
    private readonly job: OpenJob,
    test: OpenTest,
    visit: OpenVisit,
  ) {
    this.draft = $state(completeDraft({}, test.name));
    this.#test = test;
    this.#visit = visit;
    this.adopt(test, visit);
  }

  /** What the documents say counts, but under fingers that are typing. */
  adopt(test: OpenTest, visit: OpenVisit): void {
    if (this.#dirty.size > 0 || this.#writing > 0 || !test.typed) return;
    this.#test = test;
    this.#visit = visit;
    this.look = test.typed.look;
    const draft = completeDraft(test.typed.draft, test.name);
    for (const half of this.#halves()) {
      if (half.run === 1) draft.second ??= emptySecond();
      const { stations } = listsOf(draft, half.run);
      const at = Math.min(half.at, stations.length);
      stations.splice(at, half.old && at < stations.length ? 1 : 0, half.station);
    }
    Object.assign(this.draft, draft);
    this.#accepted = [...draft.accepted];
  }

  get run(): 0 | 1 {
    return this.draft.second ? (this.spot.run ?? runOf(this.spot.entry)) : 0;
  }

  /** Something was typed that the document does not hold yet. */
  get open(): boolean {
    void this.typed;
    return this.#dirty.size > 0;
  }

  type(id: string, text: string): void {
    if (entryText(this.draft, id) === text) return;
    setEntry(this.draft, id, text);
    this.typed += 1;
    const [what = '', name = ''] = inRun(id).split('.');
    this.#dirty.add(what === 'conditions' ? id : withRun(what, runOf(id)));
    if (what === 'stations') this.#dirty.add(`half.${name}`);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.now(), REST_MS);
  }

  stand(entry: string, fresh: boolean): void {
    this.fresh = fresh && entryText(this.draft, entry) !== '';
    this.spot.entry = entry;
  }

  turn(run: 0 | 1): void {
    if (this.run === run) return;
    this.spot.run = run;
    this.spot.entry = '';
  }

  accept(doubt: Challenge): void {
    this.#accepted.push(doubt.mark);
    const sentence = this.#test.typed?.confirms[doubt.mark];
    if (sentence === undefined) return;
    const { path } = this.#test.form;
    const said = fieldOf(this.#test.form, 'confirmed')?.values ?? [];
    this.#edit([set(path, [...this.#test.form.key, 'confirmed'], list([...said, sentence].map(quoted)))]);
  }

  isAccepted(doubt: Challenge): boolean {
    return this.#accepted.includes(doubt.mark);
  }

  turnBaseline(): void {
    const gauge = fieldOf(this.#test.form, 'pressure_with')?.text;
    if (!gauge) return;
    const taken = !this.draft.gauge.baseline_subtracted;
    this.draft.gauge.baseline_subtracted = taken;
    this.#edit([set(this.#test.form.path, ['instrument', gauge, 'baseline'], quoted(taken ? 'subtracted' : 'not subtracted'))]);
  }

  way(step: StepName): string {
    const here = `#/job/${this.job.id}`;
    if (step === 'instruments') return `${here}/visit/instruments`;
    if (step === 'place') return `${here}/house`;
    const typed = TYPED_STEPS.find((one) => one === step);
    return `${here}/visit/${encodeURIComponent(`test.${this.#test.name}${typed ? `.${typed}` : ''}`)}`;
  }

  step(step: TypedStep | ''): void {
    this.now();
    go({ page: 'job', id: this.job.id, part: 'visit', name: `test.${this.#test.name}${step ? `.${step}` : ''}`, line: 1 });
  }

  /** Writes what is held. */
  now(): void {
    clearTimeout(this.#timer);
    if (this.#dirty.size === 0) return;
    const dirty = new Set(this.#dirty);
    this.#dirty.clear();
    const ops: Operation[] = [];
    const halves: Half[] = [];
    for (const run of [0, 1] as const) {
      const form = runForm(this.#test, run);
      if (!form) continue;
      for (const name of ['baseline_before', 'baseline_after'] as const) {
        if (dirty.has(withRun(name, run))) ops.push(...this.#baseline(form, name, run));
      }
      if (dirty.has(withRun('stations', run))) ops.push(...this.#stations(form, run, halves));
      else halves.push(...this.#halves().filter((half) => half.run === run));
    }
    for (const id of dirty) if (id.startsWith('conditions.')) ops.push(...this.#condition(id.slice('conditions.'.length)));
    this.#keep(halves);
    this.typed += 1;
    if (ops.length > 0) this.#edit(ops);
  }

  #edit(ops: Operation[]): void {
    this.#writing += 1;
    void this.job.edit(ops).finally(() => (this.#writing -= 1));
  }

  /** What the gauge shows where it reads outdoors minus house. */
  get #sign(): number {
    return fieldOf(this.#test.form, 'reads')?.text === 'outdoors minus house' ? -1 : 1;
  }

  #baseline(form: FormGroup, name: 'baseline_before' | 'baseline_after', run: 0 | 1): Operation[] {
    const field = fieldOf(form, name);
    if (!field) return [];
    const typed = listsOf(this.draft, run)[name].map((t) => t.trim()).filter(Boolean);
    const values = typed.map((text, at) => {
      const old = field.unit === 'Pa' ? field.values?.[at] : undefined;
      return old !== undefined && Number(old) === this.#sign * Number(text) ? bare(old) : bare(this.#sign < 0 ? turned(text) : text);
    });
    return setOrRemove(form.path, { key: field.key, text: (field.values ?? []).join(' ') }, list([quoted('Pa'), ...values]), values.length === 0);
  }

  #stations(form: FormGroup, run: 0 | 1, halves: Half[]): Operation[] {
    const field = fieldOf(form, 'stations');
    if (!field) return [];
    const columns = field.present ? (field.columns ?? []) : wanted(this.draft);
    const old = field.present ? (field.rows ?? []) : [];
    const direction = run === 0 ? this.draft.direction : this.draft.direction === 'depressurise' ? 'pressurise' : 'depressurise';
    const sign = (direction === 'pressurise' ? 1 : -1) * this.#sign;
    const rows: string[][] = [];
    // The place in the document of the next station that stands there, and what the pad was told of those.
    let place = 0;
    const told = this.#test.typed ? listsOf(completeDraft(this.#test.typed.draft, this.#test.name), run).stations : [];
    listsOf(this.draft, run).stations.forEach((station, at) => {
      const before = this.#isNew(run, at) ? undefined : old[place];
      const was = before && told[place];
      const begun = station.house.trim() !== '' || station.fans.some((f) => f.trim() !== '');
      if (before) place += 1;
      if (!begun) return;
      if (this.#isWhole(station)) rows.push(columns.map((c, i) => this.#cell(c, station, sign, before?.[i], was)));
      else {
        halves.push({ run, at: rows.length + halves.filter((h) => h.run === run && !h.old).length, old: before !== undefined, station: $state.snapshot(station) as Station });
        if (before) rows.push(before);
      }
    });
    if (JSON.stringify(rows) === JSON.stringify(old)) return [];
    return gridOps(form.path, field, columns, rows);
  }

  /** Whether a station waits outside of the document since it was begun. */
  #isNew(run: 0 | 1, at: number): boolean {
    return this.#halves().some((half) => half.run === run && half.at === at && !half.old);
  }

  #isWhole(station: Station): boolean {
    const named = (fan: number) => !hasRanges(this.draft.fans[fan]) || (station.ranges[fan] ?? '') !== '' || Number(station.fans[fan]) === 0;
    return station.house.trim() !== '' && this.draft.fans.every((_, fan) => (station.fans[fan] ?? '').trim() !== '' && named(fan));
  }

  /** `before` is what stands in the document, `was` what the pad was told of that row. */
  #cell(column: Column, station: Station, sign: number, before: string | undefined, was: Station | undefined): string {
    const turn = turnOf(column) ?? 1;
    const stood = before !== undefined && before.trim() !== '';
    const inColumn = (text: string) => (turn === 1 || !Number.isFinite(Number(text)) ? text : String(Number((Number(text) * turn).toPrecision(DIGITS))));
    if (column.name === 'house') {
      const same = stood && (station.house === was?.house || (turn === 1 && Math.abs(Number(before)) === Number(station.house)));
      return same ? before : sign < 0 ? turned(inColumn(station.house)) : inColumn(station.house);
    }
    const fan = this.draft.fans.findIndex((_, at) => [fanEntry(at), fanEntry(at).replace('fan', 'fan-pressure'), rangeEntry(at)].includes(column.name));
    if (fan < 0) return before ?? '';
    if (column.text) {
      const number = Number(station.ranges[fan] ?? '');
      return number > 0 ? this.draft.fans[fan]?.calibrations[number - 1]?.name || String(number) : (before ?? '');
    }
    const text = station.fans[fan] ?? '';
    return stood && (text === was?.fans[fan] || (turn === 1 && Number(before) === Number(text))) ? before : inColumn(text);
  }

  #condition(name: string): Operation[] {
    const { conditions } = this.#visit;
    const field = fieldOf(conditions, name);
    const text = entryText(this.draft, `conditions.${name}`).trim();
    const which = name === 'wind' ? 'speed' : name === 'barometer' ? 'barometer' : name.endsWith('_rh') ? 'humidity' : 'temperature';
    if (!field) return [];
    const value = quoted(`${text} ${unit(this.draft.system, which)}`.trim());
    return text === '' && field.text === '' ? [] : [text === '' ? remove(conditions.path, field.key) : set(conditions.path, field.key, value)];
  }

  #place(): string {
    return `airwright-half-${this.job.id}-${this.#visit.path}-${this.#test.name}`;
  }

  #halves(): Half[] {
    try {
      return JSON.parse(localStorage.getItem(this.#place()) ?? '[]') as Half[];
    } catch {
      return [];
    }
  }

  #keep(halves: Half[]): void {
    try {
      if (halves.length > 0) localStorage.setItem(this.#place(), JSON.stringify(halves));
      else localStorage.removeItem(this.#place());
    } catch {
      // Half a station is lost where the browser keeps nothing; whole ones are in the document.
    }
  }
}

/** The same number with the other sign, digit by digit. */
const turned = (text: string): string => (text.startsWith('-') ? text.slice(1) : /^0*\.?0*$/.test(text) ? text : `-${text}`);
