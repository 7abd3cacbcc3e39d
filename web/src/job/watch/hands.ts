// Fingers, mouse, wheel and keys on the rows.
import type { Stage } from './stage.svelte';

/** A press that moved less is a touch, px. */
const STILL_PX = 6;
const TWICE_MS = 320;
const TWICE_PX = 30;

/**
 * Makes an element move the window; gives what ends it. `axis` is where the time axis lies on the screen, and
 * `mark` opens what is marked at a place of it.
 */
export function hands(element: HTMLElement, stage: Stage, axis: () => DOMRect | undefined, mark: (px: number) => boolean): () => void {
  const down = new Map<number, number>();
  let pan: { x: number; from: number; to: number } | undefined;
  let pinch: { times: [number, number] } | undefined;
  let moved = false;
  let last: { at: number; x: number } | undefined;

  const px = (event: { clientX: number }) => event.clientX - element.getBoundingClientRect().left;
  const onAxis = (event: MouseEvent) => {
    const box = axis();
    return box !== undefined && event.clientY >= box.top && event.clientY <= box.bottom;
  };

  const hold = () => {
    const xs = [...down.values()];
    const [a, b] = xs;
    pinch = a !== undefined && b !== undefined ? { times: [stage.at(a), stage.at(b)] } : undefined;
    pan = pinch || a === undefined ? undefined : { x: a, from: stage.from, to: stage.to };
  };

  const press = (event: PointerEvent) => {
    if (event.button !== 0) return;
    down.set(event.pointerId, px(event));
    if (down.size === 1) moved = false;
    else moved = true;
    try {
      element.setPointerCapture(event.pointerId);
    } catch {
      // A pointer that is gone already.
    }
    hold();
  };

  const move = (event: PointerEvent) => {
    const at = px(event);
    if (!down.has(event.pointerId)) {
      if (event.pointerType === 'mouse') stage.read(at > stage.gutter ? stage.at(at) : undefined);
      return;
    }
    down.set(event.pointerId, at);
    if (pinch) {
      const [a, b] = [...down.values()] as [number, number];
      const [ta, tb] = pinch.times;
      // Both fingers stay on the times that they took hold of.
      if (Math.abs(b - a) < 8) return;
      const perPx = (tb - ta) / (b - a);
      if (!(perPx > 0)) return;
      const from = ta - (a - stage.gutter) * perPx;
      stage.show(from, from + (stage.width - stage.gutter) * perPx);
    } else if (pan) {
      if (!moved && Math.abs(at - pan.x) < STILL_PX) return;
      moved = true;
      const by = ((pan.x - at) / Math.max(1, stage.width - stage.gutter)) * (pan.to - pan.from);
      if (event.pointerType === 'mouse') stage.cross = undefined;
      stage.show(pan.from + by, pan.to + by);
    }
  };

  const lift = (event: PointerEvent) => {
    const was = down.delete(event.pointerId);
    hold();
    if (!was || moved || event.type === 'pointercancel') return;
    const at = px(event);
    if (onAxis(event) && mark(at)) return;
    const now = performance.now();
    if (last && now - last.at < TWICE_MS && Math.abs(last.x - at) < TWICE_PX) {
      last = undefined;
      stage.zoom(0.5, stage.at(at));
      return;
    }
    last = { at: now, x: at };
    if (event.pointerType !== 'mouse') stage.read(stage.at(at));
  };

  const leave = (event: PointerEvent) => {
    if (event.pointerType === 'mouse' && down.size === 0) stage.read(undefined);
  };

  const wheel = (event: WheelEvent) => {
    const sideways = Math.abs(event.deltaX) > Math.abs(event.deltaY) || event.shiftKey;
    // The wheel alone scrolls the page, which is longer than the screen.
    if (!sideways && !event.ctrlKey && !event.metaKey && !onAxis(event)) return;
    event.preventDefault();
    const unit = event.deltaMode === 1 ? 16 : event.deltaMode === 2 ? 400 : 1;
    if (sideways) stage.pan((((event.deltaX || event.deltaY) * unit) / Math.max(1, stage.width)) * (stage.to - stage.from));
    else stage.zoom(Math.exp(Math.max(-1, Math.min(1, event.deltaY * unit * 0.003))), stage.at(Math.max(stage.gutter, px(event))));
  };

  const key = (event: KeyboardEvent) => {
    if (event.target !== element || event.altKey || event.ctrlKey || event.metaKey) return;
    const span = stage.to - stage.from;
    const by = event.shiftKey ? span : 0.1 * span;
    switch (event.key) {
      case 'ArrowLeft': stage.pan(-by); break;
      case 'ArrowRight': stage.pan(by); break;
      case 'PageUp': stage.pan(-span); break;
      case 'PageDown': stage.pan(span); break;
      case '+': case '=': stage.zoom(0.5, stage.cross); break;
      case '-': case '_': stage.zoom(2, stage.cross); break;
      case 'Home': stage.first(); break;
      case 'End': stage.newest(); break;
      case 'Enter': stage.read(stage.cross === undefined ? stage.from + 0.5 * span : undefined); break;
      case ',': if (stage.cross !== undefined) stage.read(stage.cross - 0.01 * span); break;
      case '.': if (stage.cross !== undefined) stage.read(stage.cross + 0.01 * span); break;
      case 'Escape': stage.read(undefined); break;
      default: return;
    }
    event.preventDefault();
  };

  const listeners: [string, (event: never) => void][] = [
    ['pointerdown', press], ['pointermove', move], ['pointerup', lift], ['pointercancel', lift], ['pointerleave', leave], ['keydown', key],
  ];
  for (const [name, call] of listeners) element.addEventListener(name, call as EventListener);
  element.addEventListener('wheel', wheel, { passive: false });
  return () => {
    for (const [name, call] of listeners) element.removeEventListener(name, call as EventListener);
    element.removeEventListener('wheel', wheel);
  };
}
