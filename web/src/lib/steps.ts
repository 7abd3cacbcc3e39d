// The nine steps of a test, and which of them has what it needs.
import { filled, filledStations, inRun, listsOf } from './entries';
import { STEPS, type StepName } from './routes';
import type { Session } from './session.svelte';
import type { Profile } from './types';

export { STEPS, type StepName };

const HOME: Record<string, StepName> = {
  profile: 'profile',
  direction: 'profile',
  place: 'place',
  building: 'place',
  gauge: 'instruments',
  fans: 'instruments',
  tester: 'instruments',
  firm: 'instruments',
  preparation: 'preparation',
  baseline_before: 'baseline',
  stations: 'points',
  baseline_after: 'after',
  conditions: 'after',
};

/** The step in which a field of the draft is typed. */
export const stepOf = (field: string): StepName => HOME[inRun(field).split(/[.[]/)[0] ?? ''] ?? 'place';

export const stepNumber = (step: StepName): number => STEPS.indexOf(step) + 1;

/** What the engine says a step lacks. */
export const lacking = (session: Session, step: StepName): { field: string; text: string }[] =>
  (session.look?.missing ?? []).filter((one) => stepOf(one.field) === step);

export const allRestored = (session: Session): boolean => {
  const ticked = new Set(session.draft.preparation.filter((p) => p.restored).map((p) => p.id));
  return (session.look?.restore ?? []).every((one) => ticked.has(one.id));
};

export function stepDone(session: Session, step: StepName, profile: Profile | undefined): boolean {
  const { draft } = session;
  if (step === 'profile') return draft.profile !== '';
  if (step === 'restore') return filledStations(draft) > 0 && allRestored(session);
  if (step === 'sheet') return session.closed;
  if (!session.look || lacking(session, step).length > 0) return false;
  if (step === 'place') return draft.building.volume !== '';
  if (step === 'instruments') return draft.gauge.accuracy !== '' && draft.fans.every((fan) => fan.accuracy !== '');
  if (step === 'preparation') {
    const stands = new Set(draft.preparation.filter((p) => p.state !== '').map((p) => p.id));
    return profile !== undefined && profile.preparation.every((p) => stands.has(p.id));
  }
  const runs = draft.second ? ([0, 1] as const) : ([0] as const);
  if (step === 'baseline') return filled(draft.baseline_before) > 0;
  if (step === 'points') return runs.every((run) => filledStations(draft, run) >= Math.max(1, profile?.stations_wanted ?? 1));
  return runs.every((run) => filled(listsOf(draft, run).baseline_after) > 0 || (run === 0 && draft.second !== null)) && draft.conditions.indoor !== '' && draft.conditions.outdoor !== '';
}
