// Digits of what a trace shows, in the manner of the language, fast enough for every frame.
import { shownLanguage } from '../../lib/words.svelte';
import type { Shown } from '../../lib/traces';

const formats = new Map<string, Intl.NumberFormat>();

/** A number with so many decimals, and a true minus. */
export function digits(value: number, decimals: number, signed = false): string {
  const language = shownLanguage();
  const key = `${language} ${decimals} ${signed}`;
  let format = formats.get(key);
  if (!format) {
    format = new Intl.NumberFormat(language === 'es' ? 'es' : 'en-US', {
      minimumFractionDigits: decimals,
      maximumFractionDigits: decimals,
      signDisplay: signed ? 'exceptZero' : 'negative',
    });
    formats.set(key, format);
  }
  return format.format(value).replace('-', '\u2212');
}

/** Decimals that tell values apart which differ by a part of a step. */
export const decimalsOf = (step: number): number => Math.min(6, Math.max(0, -Math.floor(Math.log10(step) + 1e-9)));

/** A value as shown, without its unit, as fine as the range wants it. */
export const value = (si: number, shown: Shown, step: number): string => digits(si * shown.scale + shown.shift, decimalsOf(step / 20));

/** A value alone, with about three digits, and its unit. */
export function about(si: number, shown: Shown, signed = false): string {
  const of = si * shown.scale + (signed ? 0 : shown.shift);
  const size = Math.abs(of);
  const decimals = size === 0 ? 0 : Math.min(4, Math.max(0, 2 - Math.floor(Math.log10(size))));
  return `${digits(of, decimals, signed)}${shown.symbol ? `\u00a0${shown.symbol}` : ''}`;
}
