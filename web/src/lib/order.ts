// The order in which one key walks through the entries of a step.
import { entryText, fanEntry, filled, filledStations, hasRanges, inRun, listsOf, runOf, withRun } from './entries';
import type { StepName } from './steps';
import type { Draft } from './types';

const CONDITIONS = ['indoor', 'outdoor', 'indoor_rh', 'outdoor_rh', 'wind', 'barometer'].map((name) => `conditions.${name}`);

const numbered = (list: string, count: number): string[] => Array.from({ length: count }, (_, i) => `${list}.${i}`);

/** How many readings of a baseline there is room for: one more than are typed. */
export const baselineRoom = (list: readonly string[]): number => filled(list) + 1;

/** How many points there is room for: as many as the standard wants, and one more than are typed. */
export const pointRoom = (draft: Draft, wanted: number, run: 0 | 1): number => {
  const typed = filledStations(draft, run);
  const last = listsOf(draft, run).stations[typed - 1];
  const whole = last !== undefined && last.house.trim() !== '' && draft.fans.every((_, fan) => (last.fans[fan] ?? '').trim() !== '');
  return Math.max(wanted, whole ? typed + 1 : typed, 1);
};

/** The numbers of one station. */
const stationEntries = (draft: Draft, station: string): string[] => [
  `${station}.house`,
  ...draft.fans.map((_, fan) => `${station}.${fanEntry(fan)}`),
];

function entries(draft: Draft, step: StepName, wanted: number, run: 0 | 1): string[] {
  const lists = listsOf(draft, run);
  const own = (ids: string[]) => ids.map((id) => withRun(id, run));
  if (step === 'baseline') return own(numbered('baseline_before', baselineRoom(lists.baseline_before)));
  if (step === 'after') return [...own(numbered('baseline_after', baselineRoom(lists.baseline_after))), ...CONDITIONS];
  return own(numbered('stations', pointRoom(draft, wanted, run)).flatMap((s) => stationEntries(draft, s)));
}

/** The entry after or before; nothing at the end. An empty baseline reading ends its list. */
export function neighbour(
  draft: Draft,
  step: StepName,
  id: string,
  way: 1 | -1,
  wanted: number,
  run: 0 | 1,
): string | undefined {
  const all = entries(draft, step, wanted, run);
  const place = all.indexOf(id);
  if (way === 1 && inRun(id).startsWith('baseline') && entryText(draft, id).trim() === '') {
    return step === 'after' ? CONDITIONS[0] : undefined;
  }
  // An empty point is not stepped over: it is the one to take now.
  if (way === 1 && id.endsWith('.house') && entryText(draft, id).trim() === '') return id;
  return all[place + way];
}

/** The first empty entry of a step. */
export function startEntry(draft: Draft, step: StepName, wanted: number, run: 0 | 1): string {
  const all = entries(draft, step, wanted, run);
  return all.find((id) => entryText(draft, id).trim() === '') ?? all[all.length - 1] ?? withRun('baseline_before.0', run);
}

/** The entries that stand side by side. */
export function groupOf(draft: Draft, step: StepName, id: string): string[] {
  if (step !== 'points') return [id];
  const station = inRun(id).split('.').slice(0, 2).join('.');
  return stationEntries(draft, station).map((entry) => withRun(entry, runOf(id)));
}

/** The fans of a station that have to say their range. */
export const rangedFans = (draft: Draft): number[] => draft.fans.flatMap((fan, at) => (hasRanges(fan) ? [at] : []));
