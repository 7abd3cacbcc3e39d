// Words and units of the chosen language, from the engine's catalogues. The last ones that were
// seen are kept on the device, so that a page has words before the engine has started.
import { askWords } from './engine.svelte';
import type { Language, System, UnitOf, WordsAnswer } from './types';

const current = $state<{ words: Record<string, string>; units: Record<System, UnitOf>; language: Language }>({
  words: {},
  units: { IP: {}, SI: {} },
  language: 'en',
});

const place = (language: Language) => `airwright-words-of-${language}`;

function recall(language: Language): WordsAnswer | undefined {
  try {
    const text = localStorage.getItem(place(language));
    return text ? (JSON.parse(text) as WordsAnswer) : undefined;
  } catch {
    return undefined;
  }
}

function keep(language: Language, answer: WordsAnswer): void {
  try {
    localStorage.setItem(place(language), JSON.stringify(answer));
  } catch {
    // Only a start with words in place is lost.
  }
}

function use(language: Language, answer: WordsAnswer): void {
  current.words = answer.words;
  current.units = answer.units;
  current.language = language;
}

/** Loads the words of a language and the units of both systems. */
export async function loadWords(language: Language): Promise<void> {
  const old = recall(language);
  if (old) use(language, old);
  const answer = await askWords(language);
  use(language, answer);
  keep(language, answer);
}

/** The text of `phone-page-<key>`. */
export function w(key: string): string {
  const text = current.words[`phone-page-${key}`];
  return text ?? (hasWords() ? `phone-page-${key}` : '');
}

/** A text of the engine's own, by its whole key; nothing where there is none. */
export const said = (key: string): string => current.words[key] ?? '';

export const hasWords = (): boolean => Object.keys(current.words).length > 0;

/** The unit of a field, for its label. */
export const unit = (system: System, field: keyof UnitOf): string => current.units[system][field] ?? '';

export const shownLanguage = (): Language => current.language;

/** The digits of a whole or decimal number with the decimal mark of the language. */
export const localNumber = (value: number, digits: number): string =>
  new Intl.NumberFormat(current.language === 'es' ? 'es' : 'en-US', {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  })
    .format(value)
    .replace('-', '\u2212');

/** What was typed, with the decimal mark and minus of the language; stored is always `.` and `-`. */
export const localTyped = (typed: string): string =>
  (current.language === 'es' ? typed.replace('.', ',') : typed).replace('-', '\u2212');

/** A day without a time, such as `2026-11-12`. */
export function localDay(iso: string): string {
  const [year = 0, month = 1, day = 1] = iso.split('-').map(Number);
  return new Intl.DateTimeFormat(current.language, { dateStyle: 'medium', timeZone: 'UTC' }).format(Date.UTC(year, month - 1, day));
}

export function localDate(iso: string): string {
  const date = new Date(iso);
  if (Number.isNaN(date.getTime())) return iso;
  return new Intl.DateTimeFormat(current.language, { dateStyle: 'medium', timeStyle: 'short', hourCycle: 'h23' }).format(date);
}
