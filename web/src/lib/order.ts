// The order in which one key walks through the entries of a step.
import { entryText, filled, filledStations } from './entries';
import type { StepName } from './steps';
import type { Draft } from './types';

const CONDITIONS = ['indoor', 'outdoor', 'wind', 'barometer'].map((name) => `conditions.${name}`);

const numbered = (list: string, count: number): string[] => Array.from({ length: count }, (_, i) => `${list}.${i}`);

/** How many readings of a baseline there is room for: one more than are typed. */
export const baselineRoom = (list: readonly string[]): number => filled(list) + 1;

/** How many points there is room for: as many as the standard wants, and one more than are typed. */
export const pointRoom = (draft: Draft, wanted: number): number => {
  const typed = filledStations(draft);
  const last = draft.stations[typed - 1];
  const whole = last !== undefined && last.house.trim() !== '' && last.fan.trim() !== '';
  return Math.max(wanted, whole ? typed + 1 : typed, 1);
};

function entries(draft: Draft, step: StepName, wanted: number): string[] {
  if (step === 'baseline') return numbered('baseline_before', baselineRoom(draft.baseline_before));
  if (step === 'after') return [...numbered('baseline_after', baselineRoom(draft.baseline_after)), ...CONDITIONS];
  return numbered('stations', pointRoom(draft, wanted)).flatMap((s) => [`${s}.house`, `${s}.fan`]);
}

/** The entry after or before; nothing at the end. An empty baseline reading ends its list. */
export function neighbour(draft: Draft, step: StepName, id: string, way: 1 | -1, wanted: number): string | undefined {
  const all = entries(draft, step, wanted);
  const place = all.indexOf(id);
  if (way === 1 && id.startsWith('baseline') && entryText(draft, id).trim() === '') {
    return step === 'after' ? CONDITIONS[0] : undefined;
  }
  // An empty point is not stepped over: it is the one to take now.
  if (way === 1 && id.endsWith('.house') && entryText(draft, id).trim() === '') return id;
  return all[place + way];
}

/** The first empty entry of a step. */
export function startEntry(draft: Draft, step: StepName, wanted: number): string {
  const all = entries(draft, step, wanted);
  return all.find((id) => entryText(draft, id).trim() === '') ?? all[all.length - 1] ?? 'baseline_before.0';
}

/** The entries that stand side by side. */
export function groupOf(step: StepName, id: string): string[] {
  if (step !== 'points') return [id];
  const station = id.split('.').slice(0, 2).join('.');
  return [`${station}.house`, `${station}.fan`];
}
