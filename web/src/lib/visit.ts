// The visit on the wire, and the edits that a touch on it makes. No number is computed here.
import type { Draft, FragmentPart, Look, Operation } from './types';

export type Key = (string | number)[];
export interface Option {
  value: string;
  label: string;
}
export interface SaidHere {
  severity: string;
  text: string;
  help?: string | null;
}
export interface Column {
  header: string;
  name: string;
  label: string;
  unit: string;
  units: string[];
  /** What takes a number as the pad types it, in the device's unit, to one of this column; nothing where nothing does. */
  turn?: number | null;
  text: boolean;
}

export interface FormField {
  key: Key;
  name: string;
  label: string;
  help?: string;
  want: 'text' | 'texts' | 'flag' | 'number' | 'choice' | 'quantity' | 'quantities' | 'pairs' | 'grid';
  needed: boolean;
  /** Shown first. */
  main: boolean;
  text: string;
  said: SaidHere[];
  options?: Option[];
  choices?: Option[];
  number?: string;
  unit?: string;
  units?: string[];
  signed?: boolean;
  /** The quantity as the engine read it. */
  shown?: string | null;
  values?: string[];
  entries?: [string, string][];
  present?: boolean;
  columns?: Column[];
  rows?: string[][];
  more?: Column[];
}

export interface FormList {
  path: string;
  key: Key;
  name: string;
  label: string;
  main: boolean;
  /** Entries have names of the user's own. */
  named: boolean;
  entries: (FormGroup & { name?: string })[];
  taps?: (Tap | null)[];
}

export interface FormGroup {
  path: string;
  key: Key;
  name?: string;
  label?: string;
  present?: boolean;
  main?: boolean;
  fields: FormField[];
  groups: FormGroup[];
  lists: FormList[];
  /** What is written and no form knows: its line. */
  paper: { label: string; line: number | null }[];
}

export interface Tap {
  of: string;
  title: string;
  html: string;
  proof: string;
}

export interface ScreenItem {
  item: string;
  label: string;
  why: string;
  first: boolean;
  done: boolean;
  lack: string | null;
  told: string | null;
  key: Key;
  field: string;
  /** Written as true or false alone. */
  short: boolean;
  state: string;
  choices: Option[];
  form: FormGroup;
  photos: string[] | null;
}

export interface ScreenOfVisit {
  outcome: string;
  says: string;
  holds: boolean;
  reasons: { stop: boolean; item: string; says: string; measured: string; bars: string; who: string; source: string }[];
  left: number;
  items: ScreenItem[];
  looked_by: string | null;
  fuel_by: string | null;
}

export interface RestoreItem {
  id: string;
  label: string;
  found: string | null;
  states: string[];
  by: string | null;
  when: string | null;
  done: boolean;
}

export interface PhotoOfVisit {
  key: Key;
  file: string;
  shows: string | null;
  where: string | null;
  test: string | null;
}

export interface OpenVisit {
  path: string;
  date: string;
  folder: string;
  head: FormField[];
  conditions: FormGroup;
  screen: ScreenOfVisit | null;
  combustion: FormGroup;
  instruments: FormList;
  readings: FormList;
  touched: FormList;
  changed: FormList;
  agreed: FormList;
  photos: PhotoOfVisit[];
  restore: {
    items: RestoreItem[];
    open: number;
    entries: number;
    may_leave: boolean;
    why: string[];
    owes: string | null;
    closed: { by: string; when: string } | null;
  };
}

export interface KindOfTest {
  kind: string;
  label: string;
  part: string;
  usual: boolean;
  minutes: number;
  tools: string[];
  tests: { name: string; label: string; state: 'begun' | 'complete' }[];
  not: string | null;
  held: string | null;
  how_to: HowTo | null;
}

export interface SwitchOfTest {
  id: string;
  label: string;
  kind: string;
  key: Key;
  now: string;
  own: boolean;
  usual: string;
  choices: Option[];
}

export interface HowTo {
  kind: string;
  tells: string;
  needs: string;
  steps: { what: string; why: string }[];
  wrong: string[];
  minds: string[];
}

export interface OpenTest {
  name: string;
  kind: string;
  label: string;
  form: FormGroup;
  setup: { says: string; switches: SwitchOfTest[]; path: string } | null;
  taps: Tap[];
  fragments: FragmentPart[];
  /** An envelope test as a test alone is typed. */
  typed: { draft: Draft; look: Look; confirms: Record<string, string> } | null;
  complete: boolean;
  held: string | null;
  photos: PhotoOfVisit[];
  how_to: HowTo | null;
  /** The drawing of the kind, as markup. */
  picture: string | null;
}

export interface VisitPage {
  job: string;
  house: boolean;
  visits: { path: string; date: string }[];
  begin: { path: string; text: string };
  complaints: FormList | null;
  by: string | null;
  time: string | null;
  picture?: string | null;
  open?: OpenVisit;
  kinds: { parts: { id: string; label: string }[]; list: KindOfTest[] };
  test?: OpenTest | null;
}

/** A unit of the documents as it is printed: `degF` is °F, `ft2` is ft². */
export const unitShown = (unit: string): string =>
  unit
    .replace(/^deg(?=[CF]$)/, '\u00b0')
    .replace(/^ug(?=\/)/, '\u00b5g')
    .replace(/([a-z])2(?![a-zA-Z0-9])/g, '$1\u00b2')
    .replace(/([a-z])3(?![a-zA-Z0-9])/g, '$1\u00b3')
    .replace('inH2O', 'inH\u2082O');

/** What a form's entry says, in the words of its first fields. */
export function entrySays(entry: FormGroup): string {
  const label = (from: readonly Option[] | undefined, value: string) => from?.find((o) => o.value === value)?.label ?? (from?.length ? value.replaceAll('_', ' ') : value);
  const told = (f: FormField): string => {
    if (f.want === 'choice') return label(f.choices, f.text);
    if (f.want === 'quantity') return f.shown ?? f.text;
    if (f.want === 'texts') return (f.values ?? []).map((v) => label(f.options, v)).join(', ');
    return f.want === 'text' ? label(f.options, f.text) : f.want === 'number' ? f.text : '';
  };
  const fields = entry.fields.filter((f) => f.main && f.name !== 'label' && f.name !== 'note');
  return fields.map(told).filter(Boolean).slice(0, 4).join(' \u00b7 ');
}

/** Whether something is said to be wrong of an entry, or of what stands in it. */
export const isDoubted = (entry: FormGroup): boolean =>
  entry.fields.some((f) => f.said.length > 0) ||
  entry.groups.some(isDoubted) ||
  entry.lists.some((l) => l.entries.some(isDoubted));

/** A text as TOML. */
export const quoted = (text: string): string => JSON.stringify(text);

/** A number as TOML where it is one; else as a text, so that nothing typed is lost and the engine says what is wrong. */
export function bare(text: string): string {
  const plain = text.trim().replace('\u2212', '-').replace(',', '.');
  return /^-?\d+(\.\d+)?$/.test(plain) ? plain.replace(/^(-?)0+(?=\d)/, '$1') : quoted(text);
}

export const set = (path: string, key: Key, value: string): Operation => ({ path, key, do: 'set', value });
export const remove = (path: string, key: Key): Operation => ({ path, key, do: 'remove' });
export const insert = (path: string, key: Key, text: string): Operation => ({ path, key, do: 'insert', text });

/** A value, or nothing of it where it was emptied. */
export const setOrRemove = (path: string, field: { key: Key; text: string }, value: string, empty: boolean): Operation[] =>
  empty ? (field.text === '' ? [] : [remove(path, field.key)]) : [set(path, field.key, value)];

export const list = (values: readonly string[]): string => `[${values.join(', ')}]`;

/** Columns and rows as a table of numbers in TOML. */
export function gridOps(path: string, field: FormField, columns: readonly Column[], rows: readonly string[][]): Operation[] {
  const heads = list(columns.map((c) => quoted(c.header)));
  const lines = rows.map((row) => list(row.map((cell, at) => (columns[at]?.text ? quoted(cell) : cell.trim() === '' ? '""' : bare(cell)))));
  const body = lines.length > 0 ? `[\n${lines.map((line) => `  ${line},\n`).join('')}]` : '[]';
  if (field.present) return [set(path, [...field.key, 'columns'], heads), set(path, [...field.key, 'rows'], body)];
  return [set(path, field.key, `{ columns = ${heads}, rows = ${body} }`)];
}

/** A key out of words: letters, digits and underscores. */
export function keyName(text: string, taken: readonly string[]): string {
  const base = text.normalize('NFKD').toLowerCase().replace(/[^a-z0-9]+/g, '_').replace(/^_+|_+$/g, '') || 'one';
  let name = base;
  for (let n = 2; taken.includes(name); n += 1) name = `${base}_${n}`;
  return name;
}
