// A test as it is typed with the number pad, wherever its readings are kept: the single test keeps a
// draft, the visit of a job keeps documents. The steps and the pad know this alone.
import type { Spot } from './store';
import type { StepName } from './steps';
import type { Challenge, Draft, Look } from './types';

export interface Typed {
  readonly draft: Draft;
  readonly spot: Spot;
  /** The run that is typed now: 1 where the entry is one of the other direction. */
  readonly run: 0 | 1;
  readonly look: Look | undefined;
  readonly lookTrouble: string;
  /** Counts what was typed. */
  readonly typed: number;
  /** The next digit replaces the entry instead of going to its end. */
  fresh: boolean;
  type(id: string, text: string): void;
  stand(entry: string, fresh: boolean): void;
  turn(run: 0 | 1): void;
  accept(doubt: Challenge): void;
  isAccepted(doubt: Challenge): boolean;
  /** The gauge takes the baseline out, or no longer does. */
  turnBaseline(): void;
  /** The address of the page where a step is typed. */
  way(step: StepName): string;
}

/** The entry of a field as the engine names it: `stations.2.fan` or `stations[2].fan`. */
export const entryOf = (field: string): string => field.replace(/\[(\d+)\]/g, '.$1');
