// The entries that the number pad fills: their ids, their texts, and what a key does to a text.
import type { Calibration, Draft, Fan, Second, Station } from './types';

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

/** The part of an entry's id that says it belongs to the run in the other direction. */
const SECOND = 'second.';

/** The lists of a run: 0 is the first, 1 the one in the other direction. */
type Lists = Pick<Draft, 'baseline_before' | 'baseline_after' | 'stations'>;

export const runOf = (id: string): 0 | 1 => (id.startsWith(SECOND) ? 1 : 0);

/** The id of an entry in its own run, without the run. */
export const inRun = (id: string): string => (id.startsWith(SECOND) ? id.slice(SECOND.length) : id);

export const withRun = (id: string, run: 0 | 1): string => (run === 1 ? SECOND + id : id);

export const listsOf = (draft: Draft, run: 0 | 1): Lists =>
  run === 0 ? draft : (draft.second ?? { baseline_before: [], baseline_after: [], stations: [] });

/** Which fan `fan`, `fan-2` and so on is; which one's range `range`, `range-2`; nothing for another name. */
export function fanOf(name: string): { list: 'fans' | 'ranges'; fan: number } | undefined {
  const found = /^(fan|range)(?:-(\d+))?$/.exec(name);
  if (!found) return undefined;
  return { list: found[1] === 'fan' ? 'fans' : 'ranges', fan: found[2] ? Number(found[2]) - 1 : 0 };
}

/** The entry of a fan in a station, named like its column in the documents. */
export const fanEntry = (fan: number): string => (fan === 0 ? 'fan' : `fan-${fan + 1}`);
export const rangeEntry = (fan: number): string => (fan === 0 ? 'range' : `range-${fan + 1}`);

/** Whether a station has to say the range of this fan. */
export const hasRanges = (fan: Fan | undefined): boolean =>
  fan !== undefined && fan.shows === 'fan-pressure' && fan.calibrations.length > 1;

export const showsPressure = (draft: Draft, fan: number): boolean => draft.fans[fan]?.shows === 'fan-pressure';

/** Which way the fan blows in a run. */
export function directionOf(draft: Draft, run: 0 | 1): Draft['direction'] {
  if (run === 0) return draft.direction;
  return draft.direction === 'depressurise' ? 'pressurise' : 'depressurise';
}

export const emptyStation = (): Station => ({ house: '', fans: [], ranges: [] });

/** The text of an entry such as `stations.2.fan-2`, `second.baseline_before.0` or `conditions.wind`. */
export function entryText(draft: Draft, id: string): string {
  const [list, second = '', third = ''] = inRun(id).split('.');
  const lists = listsOf(draft, runOf(id));
  if (list === 'stations') {
    const station = lists.stations[Number(second)];
    const place = fanOf(third);
    return (place ? station?.[place.list][place.fan] : station?.house) ?? '';
  }
  if (list === 'baseline_before' || list === 'baseline_after') return lists[list][Number(second)] ?? '';
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
  const [list, second = '', third = ''] = inRun(id).split('.');
  const index = Number(second);
  if (runOf(id) === 1) draft.second ??= emptySecond();
  const lists = runOf(id) === 1 && draft.second ? draft.second : draft;
  if (list === 'stations') {
    while (lists.stations.length <= index) lists.stations.push(emptyStation());
    const station = lists.stations[index];
    const place = fanOf(third);
    if (station && place) {
      const texts = station[place.list];
      while (texts.length <= place.fan) texts.push('');
      texts[place.fan] = text;
    } else if (station) station.house = text;
  } else if (list === 'baseline_before' || list === 'baseline_after') {
    while (lists[list].length <= index) lists[list].push('');
    lists[list][index] = text;
  } else if (list === 'conditions') draft.conditions[second as Condition] = text;
}

/** Whether an entry carries a sign of its own; the pressures of points get theirs from the direction. */
export const isSigned = (id: string): boolean =>
  inRun(id).startsWith('baseline') || id === 'conditions.outdoor' || id === 'conditions.indoor';

/** How many of a list are filled up to the last filled one. */
export function filled(list: readonly string[]): number {
  return list.findLastIndex((text) => text.trim() !== '') + 1;
}

const holds = (s: Station): boolean => s.house.trim() !== '' || s.fans.some((text) => text.trim() !== '');

/** Stations up to the last one that holds anything. */
export const filledStations = (draft: Draft, run: 0 | 1 = 0): number => listsOf(draft, run).stations.findLastIndex(holds) + 1;

const trimmedLists = (lists: Lists): Lists => ({
  baseline_before: lists.baseline_before.slice(0, filled(lists.baseline_before)),
  baseline_after: lists.baseline_after.slice(0, filled(lists.baseline_after)),
  stations: lists.stations.slice(0, lists.stations.findLastIndex(holds) + 1),
});

/** The draft as the engine gets it: without the empty rows that wait at the end of its lists. */
export const trimmed = (draft: Draft): Draft => ({
  ...draft,
  ...trimmedLists(draft),
  second: draft.second && trimmedLists(draft.second),
});

export const emptySecond = (): Second => ({ baseline_before: [], baseline_after: [], stations: [] });

export const emptyFan = (): Fan => ({
  label: '',
  accuracy: '',
  serial: '',
  calibrated: '',
  shows: '',
  calibration_density: '',
  calibrations: [],
});

export const emptyCalibration = (): Calibration => ({
  name: '',
  kind: 'equation',
  flow: '',
  exponent: '',
  low: '',
  high: '',
  points: [],
});

export const emptyFirm = (): Draft['firm'] => ({ name: '', address: '', phone: '', licence: '' });

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
    tester: { name: '', credential: '' },
    firm: emptyFirm(),
    conditions: { indoor: '', outdoor: '', indoor_rh: '', outdoor_rh: '', wind: '', barometer: '' },
    gauge: { label: '', accuracy: '', serial: '', calibrated: '', baseline_subtracted: false },
    fans: [emptyFan()],
    preparation: [],
    baseline_before: [],
    baseline_after: [],
    stations: [],
    second: null,
    accepted: [],
  };
}

/** Date and time as the clock on the wall shows them: a test in the evening is not of tomorrow. */
export function wallClock(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 19);
}

/** What drafts and books of earlier versions hold: one fan, its calibration one equation. */
interface OldFan extends Partial<Fan> {
  calibration_flow?: string;
  calibration_exponent?: string;
}

/** A fan of any age with every field of today's. */
export function completeFan(part: OldFan): Fan {
  const { calibration_flow = '', calibration_exponent = '', ...rest } = part;
  const old = calibration_flow || calibration_exponent;
  const one = { ...emptyCalibration(), flow: calibration_flow, exponent: calibration_exponent };
  const fan = { ...emptyFan(), ...rest };
  return { ...fan, calibrations: old && fan.calibrations.length === 0 ? [one] : fan.calibrations };
}

interface OldStation extends Partial<Station> {
  fan?: string;
}

function completeStation({ fan, ...part }: OldStation): Station {
  const station = { ...emptyStation(), ...part };
  return fan === undefined || station.fans.length > 0 ? station : { ...station, fans: [fan] };
}

/** A draft of any age or origin with every field of today's. */
export function completeDraft(part: Partial<Draft> & { fan?: OldFan }, id: string): Draft {
  const empty = emptyDraft(id, wallClock(), 'en', 'IP');
  const { fan, ...rest } = part;
  const fans = part.fans && part.fans.length > 0 ? part.fans : [fan ?? {}];
  const { firm: oldFirm, ...tester } = { ...empty.tester, ...part.tester } as Draft['tester'] & { firm?: string };
  return {
    ...empty,
    ...rest,
    id,
    place: { ...empty.place, ...part.place },
    building: { ...empty.building, ...part.building },
    tester,
    firm: { ...empty.firm, ...(oldFirm ? { name: oldFirm } : {}), ...part.firm },
    conditions: { ...empty.conditions, ...part.conditions },
    gauge: { ...empty.gauge, ...part.gauge },
    fans: fans.map(completeFan),
    stations: (part.stations ?? []).map(completeStation),
    second: part.second ? { ...emptySecond(), ...part.second, stations: (part.second.stations ?? []).map(completeStation) } : null,
  };
}
