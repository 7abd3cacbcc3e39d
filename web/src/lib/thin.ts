// Which revisions of a test may go. Times are the store's own (`store.ts`): they never go back, and
// no change of the device's clock makes a revision older.

/** One revision: its number, and when it was written by the store's own time. */
export interface Written {
  revision: number;
  at_ms: number;
}

export interface Thinning {
  /** Now, by the store's own time. */
  now_ms: number;
  /** The revision that was last taken along; 0 for none. */
  exported: number;
  /** Room is short: what was not taken along is thinned too. */
  short: boolean;
}

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/**
 * The revisions that go, of all revisions of one test in their order.
 *
 * All of the last hour stay, then the last of each minute for a day, then the last of each hour. The
 * first, the last and the one that was taken along stay whatever their age, and so does all that was
 * written after it, but where room is short.
 */
export function thinned(all: readonly Written[], { now_ms, exported, short }: Thinning): number[] {
  return all
    .filter(({ revision, at_ms }, i) => {
      const next = all[i + 1];
      if (i === 0 || next === undefined || revision === exported) return false;
      if (revision > exported && !short) return false;
      const age_ms = now_ms - at_ms;
      if (age_ms <= HOUR_MS) return false;
      // Minutes and hours of the clock, not of the age: what was kept once is kept again.
      const span_ms = age_ms <= DAY_MS ? MINUTE_MS : HOUR_MS;
      return Math.floor(at_ms / span_ms) === Math.floor(next.at_ms / span_ms);
    })
    .map(({ revision }) => revision);
}
