// Books: what is entered once and used in every test of this device.
import { store } from './app.svelte';
import { completeFan } from './entries';
import { newId, type Book, type BookEntries, type PlaceEntry } from './store';
import type { Draft } from './types';

/** The name an entry is known by; a new entry of the same name takes the place of the old one. */
export function nameOf(book: Book, value: BookEntries[Book]): string {
  if (book === 'places' || book === 'testers' || book === 'firms' || book === 'prices') return (value as { name: string }).name;
  const { label, serial } = value as { label: string; serial: string };
  return [label, serial].filter((part) => part.trim() !== '').join(' · ');
}

export async function keepInBook<B extends Book>(book: B, value: BookEntries[B]): Promise<boolean> {
  const base = store();
  if (!base) return false;
  try {
    const old = (await base.book(book)).find((entry) => nameOf(book, entry.value) === nameOf(book, value));
    const merged = old && book === 'places' ? mergedPlace(old.value as PlaceEntry, value as PlaceEntry) : value;
    await base.keep({ key: old?.key ?? newId(), book, value: merged as BookEntries[B] });
    return true;
  } catch {
    return false;
  }
}

/** Limits of other standards stay where one is entered anew. */
const mergedPlace = (old: PlaceEntry, now: PlaceEntry): PlaceEntry => ({
  ...now,
  limits: { ...old.limits, ...now.limits },
});

export function placeOf(draft: Draft): PlaceEntry {
  const { name, altitude, limit, limit_source, limit_confirmed } = draft.place;
  const limits = draft.profile && limit ? { [draft.profile]: { limit, limit_source, limit_confirmed } } : {};
  return { name, altitude, system: draft.system, limits };
}

/** Fills the place from the book; false where its altitude was typed in the other units. */
export function usePlace(draft: Draft, entry: PlaceEntry): boolean {
  const limit = entry.limits[draft.profile] ?? { limit: '', limit_source: '', limit_confirmed: false };
  const same = entry.system === draft.system;
  draft.place = { name: entry.name, altitude: same ? entry.altitude : '', ...limit };
  return same;
}

/** The fan as the book holds it: what has a unit only in the units it was typed in. */
export function useFan(draft: Draft, at: number, entry: BookEntries['fans']): void {
  const { system, ...kept } = entry;
  const fan = completeFan(kept);
  const same = system === draft.system;
  draft.fans[at] = same ? fan : { ...fan, calibration_density: '', calibrations: [] };
}
