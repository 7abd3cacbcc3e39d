// The entries that the number pad fills: their ids, their texts, and what a key does to a text.
import type { Draft } from './types';

/** Most digits an entry takes; more is a slip. */
const LONGEST = 9;

/** Keeps what a number is made of, with `.` as decimal mark and `-` as sign. */
export function cleanTyped(text: string): string {
  const plain = text.replaceAll(',', '.').replaceAll('\u2212', '-').replace(/[^0-9.-]/g, '');
  const sign = plain.startsWith('-') ? '-' : '';
  const [whole = '', ...parts] = plain.replaceAll('-', '').split('.');
  const rest = parts.length > 0 ? `.${parts.join('')}` : '';
  return (sign + whole + rest).slice(0, LONGEST);
}

export type PadKey = `${number}` | '.' | 'sign' | 'back';

/** The text after one key of the pad. */
export function pressed(text: string, key: PadKey): string {
  if (key === 'back') return text.slice(0, -1);
  if (key === 'sign') return text.startsWith('-') ? text.slice(1) : `-${text}`;
  if (key === '.') {
    if (text.includes('.')) return text;
    return /[0-9]$/.test(text) ? `${text}.` : `${text}0.`;
  }
  return text.length < LONGEST ? text + key : text;
}

type Condition = keyof Draft['conditions'];

/** The text of an entry such as `stations.2.fan`, `baseline_before.0` or `conditions.wind`. */
export function entryText(draft: Draft, id: string): string {
  const [list, second = '', third] = id.split('.');
  if (list === 'stations') {
    const station = draft.stations[Number(second)];
    return (third === 'fan' ? station?.fan : station?.house) ?? '';
  }
  if (list === 'baseline_before' || list === 'baseline_after') return draft[list][Number(second)] ?? '';
  if (list === 'conditions') return draft.conditions[second as Condition] ?? '';
  return '';
}

/** The value of any field of the draft, as text; nothing where there is none. */
export function valueAt(draft: Draft, path: string): string {
  let value: unknown = draft;
  for (const part of path.split('.')) {
    if (typeof value !== 'object' || value === null) return '';
    value = (value as Record<string, unknown>)[part];
  }
  return value === undefined || value === null ? '' : typeof value === 'object' ? JSON.stringify(value) : String(value);
}

/** Sets an entry; a list grows to hold it. */
export function setEntry(draft: Draft, id: string, text: string): void {
  const [list, second = '', third] = id.split('.');
  const index = Number(second);
  if (list === 'stations') {
    while (draft.stations.length <= index) draft.stations.push({ house: '', fan: '' });
    const station = draft.stations[index];
    if (station) station[third === 'fan' ? 'fan' : 'house'] = text;
  } else if (list === 'baseline_before' || list === 'baseline_after') {
    while (draft[list].length <= index) draft[list].push('');
    draft[list][index] = text;
  } else if (list === 'conditions') draft.conditions[second as Condition] = text;
}

/** Whether an entry carries a sign of its own; the pressures of points get theirs from the direction. */
export const isSigned = (id: string): boolean => id.startsWith('baseline') || id === 'conditions.outdoor' || id === 'conditions.indoor';

/** How many of a list are filled up to the last filled one. */
export function filled(list: readonly string[]): number {
  return list.findLastIndex((text) => text.trim() !== '') + 1;
}

/** Stations up to the last one that holds anything. */
export const filledStations = (draft: Draft): number =>
  draft.stations.findLastIndex((s) => s.house.trim() !== '' || s.fan.trim() !== '') + 1;

/** The draft as the engine gets it: without the empty rows that wait at the end of its lists. */
export function trimmed(draft: Draft): Draft {
  return {
    ...draft,
    baseline_before: draft.baseline_before.slice(0, filled(draft.baseline_before)),
    baseline_after: draft.baseline_after.slice(0, filled(draft.baseline_after)),
    stations: draft.stations.slice(0, filledStations(draft)),
  };
}

export function emptyDraft(id: string, created: string, language: Draft['language'], system: Draft['system']): Draft {
  return {
    id,
    created,
    language,
    system,
    profile: '',
    direction: 'depressurise',
    place: { name: '', altitude: '', limit: '', limit_source: '', limit_confirmed: false },
    building: { volume: '', floor_area: '', envelope_area: '', height: '', basement: '', includes: '' },
    tester: { name: '', credential: '', firm: '' },
    conditions: { indoor: '', outdoor: '', wind: '', barometer: '' },
    gauge: { label: '', accuracy: '', serial: '', calibrated: '', baseline_subtracted: false },
    fan: {
      label: '',
      accuracy: '',
      serial: '',
      calibrated: '',
      shows: '',
      calibration_density: '',
      calibration_flow: '',
      calibration_exponent: '',
    },
    preparation: [],
    baseline_before: [],
    baseline_after: [],
    stations: [],
  };
}

/** Date and time as the clock on the wall shows them: a test in the evening is not of tomorrow. */
export function wallClock(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 19);
}

/** A draft of any age or origin with every field of today's. */
export function completeDraft(part: Partial<Draft>, id: string): Draft {
  const empty = emptyDraft(id, wallClock(), 'en', 'IP');
  return {
    ...empty,
    ...part,
    id,
    place: { ...empty.place, ...part.place },
    building: { ...empty.building, ...part.building },
    tester: { ...empty.tester, ...part.tester },
    conditions: { ...empty.conditions, ...part.conditions },
    gauge: { ...empty.gauge, ...part.gauge },
    fan: { ...empty.fan, ...part.fan },
  };
}
