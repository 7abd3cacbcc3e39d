// The number pad of pages that have fields instead of entries: it fills the field that has the focus.
import { cleanTyped, pressed, type PadKey } from './entries';
import { localTyped } from './words.svelte';

let current = $state.raw<{ input: HTMLInputElement; signed: boolean } | undefined>();

/** The field that the pad fills now. */
export const padField = () => current;

/** A press that began elsewhere ends before the page changes its height under it. */
let pointerDown = false;
for (const [event, down] of [['pointerdown', true], ['pointerup', false], ['pointercancel', false]] as const) {
  window.addEventListener(event, () => (pointerDown = down), true);
}

export function openPad(input: HTMLInputElement, signed: boolean): void {
  current = { input, signed };
  input.select();
}

export function leavePad(event: FocusEvent): void {
  const { relatedTarget } = event;
  if (relatedTarget instanceof Element && relatedTarget.closest('[data-pad]')) return;
  const left = current?.input;
  const close = () => {
    if (current?.input === left) current = undefined;
  };
  if (pointerDown) window.addEventListener('pointerup', () => setTimeout(close), { once: true, capture: true });
  else close();
}

/** One key of the pad into the field, as if it had been typed. */
export function pressField(key: PadKey): void {
  const input = current?.input;
  if (!input) return;
  const whole = input.selectionStart === 0 && input.selectionEnd === input.value.length;
  const text = cleanTyped(input.value);
  const start = whole && key !== 'back' && key !== 'sign' ? '' : text;
  input.value = localTyped(whole && key === 'back' ? '' : pressed(start, key));
  input.dispatchEvent(new Event('input', { bubbles: true }));
  input.focus({ preventScroll: true });
  input.setSelectionRange(input.value.length, input.value.length);
}

const FIELDS = ['text', 'date'];

/** The field after or before this one; the pad closes after the last. */
export function stepField(from: HTMLElement, way: 1 | -1): void {
  const page = from.closest('main, dialog') ?? document;
  const all = [...page.querySelectorAll<HTMLInputElement | HTMLTextAreaElement>('input, textarea')].filter(
    (one) => (one instanceof HTMLTextAreaElement || FIELDS.includes(one.type)) && !one.disabled && one.offsetParent !== null,
  );
  const next = all[all.indexOf(from as HTMLInputElement) + way];
  if (!next) {
    from.blur();
    return;
  }
  next.focus();
  next.closest('.field, tr')?.scrollIntoView({ block: 'nearest' });
}
