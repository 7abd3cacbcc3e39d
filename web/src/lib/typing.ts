// What is typed is written after a short rest, or when its field is left.
const REST_MS = 700;

/** Holds where something is being typed until it is written there, whatever the page shows by then. */
export class Typing<T> {
  #held: T | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly here: () => T,
    private readonly write: (held: T) => void,
  ) {}

  /** Fingers are at it. */
  get held(): boolean {
    return this.#held !== undefined;
  }

  hold(): void {
    this.#held ??= this.here();
  }

  /** Written after a rest. */
  later(): void {
    this.hold();
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.now(), REST_MS);
  }

  /** Written now, where something is held. */
  now(): void {
    clearTimeout(this.#timer);
    const held = this.#held;
    this.#held = undefined;
    if (held !== undefined) this.write(held);
  }

  /** Written where the focus went out of the box, but not onto the pad that types into it. */
  left(event: FocusEvent, box: HTMLElement | undefined): void {
    const next = event.relatedTarget;
    if (next instanceof Node && box?.contains(next)) return;
    if (next instanceof Element && next.closest('[data-pad]')) return;
    this.now();
  }
}
