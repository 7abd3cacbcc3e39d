// One open test: what is typed, what of it is on the device, and what the engine says to it.
import { Looker, askSheet } from './engine.svelte';
import { app, askPersist, store } from './app.svelte';
import { completeDraft, entryText, runOf, setEntry, trimmed, wallClock } from './entries';
import type { Doc, Revision, Spot } from './store';
import { stepNumber, type StepName } from './steps';
import type { Typed } from './typed';
import type { Challenge, Draft, Look, Sheet } from './types';

export type Keeping = 'kept' | 'keeping' | 'not-kept';

export class Session implements Typed {
  draft: Draft;
  spot: Spot;
  accepted: string[];
  closed: boolean;
  /** Days by the device's clock on which readings were typed. */
  days: string[];
  /** The day that the person has said to be the day of the test. */
  day: string;
  keeping = $state<Keeping>('kept');
  look = $state.raw<Look | undefined>(undefined);
  lookTrouble = $state('');
  /** Counts what was typed, so that a picture can tell whether the answer is of now. */
  typed = $state(0);
  /** The next digit replaces the entry instead of going to its end. */
  fresh = $state(false);

  #newest = 0;
  #written: Promise<number>;
  #looker: Looker;

  constructor(doc: Doc, revision = 0) {
    this.#written = Promise.resolve(revision);
    this.draft = $state(completeDraft(doc.draft, doc.draft.id));
    this.spot = $state({ ...doc.spot });
    this.accepted = $state([...doc.accepted]);
    this.closed = $state(doc.closed);
    this.days = $state([...(doc.days ?? [])]);
    this.day = $state(doc.day ?? '');
    this.#looker = new Looker(
      (look) => {
        this.look = look;
        this.lookTrouble = '';
      },
      (why) => {
        this.lookTrouble = why;
      },
    );
    this.relook();
  }

  static async open(id: string): Promise<Session | undefined> {
    const held = heldDocs.get(id);
    if (held) {
      const session = new Session(held);
      session.write();
      return session;
    }
    const revision: Revision | undefined = await store()?.newest(id);
    return revision && new Session(revision, revision.revision);
  }

  doc(): Doc {
    return {
      draft: $state.snapshot(this.draft) as Draft,
      spot: $state.snapshot(this.spot),
      accepted: $state.snapshot(this.accepted),
      closed: this.closed,
      days: $state.snapshot(this.days),
      day: this.day,
    };
  }

  /** The revision that holds all that is typed now, once it is on the device; 0 where it is not. */
  written(): Promise<number> {
    return this.#written.catch(() => 0);
  }

  /** The run that is typed now: 1 where the entry is one of the other direction. */
  get run(): 0 | 1 {
    return this.draft.second ? (this.spot.run ?? runOf(this.spot.entry)) : 0;
  }

  /** Goes to a run; the first entry of it is found by the pad. */
  turn(run: 0 | 1): void {
    if (this.run === run) return;
    this.spot.run = run;
    this.spot.entry = '';
    this.write();
  }

  /** The draft as the engine gets it. */
  plain(): Draft {
    return { ...trimmed($state.snapshot(this.draft) as Draft), accepted: $state.snapshot(this.accepted) };
  }

  /** Changes the draft, writes a revision and asks the engine to look; nothing is waited for. */
  change(how: (draft: Draft) => void): void {
    how(this.draft);
    this.typed += 1;
    this.write();
    this.relook();
  }

  relook(): void {
    this.#looker.look(this.plain());
  }

  type(id: string, text: string): void {
    if (entryText(this.draft, id) === text) return;
    // Only days are remembered, and none is taken as the right one: somebody may have set the clock.
    const today = wallClock().slice(0, 10);
    if (!this.days.includes(today)) this.days.push(today);
    this.change((draft) => setEntry(draft, id, text));
  }

  /** Whether the readings were typed on other days than the one the sheet bears, and nobody has looked at it. */
  get dayDoubtful(): boolean {
    const bears = this.draft.created.slice(0, 10);
    return this.day !== bears && this.days.some((day) => day !== bears);
  }

  /** Sets the day of the test, `2026-11-12`, or says that it is right. */
  setDay(day: string): void {
    this.day = day;
    this.change((draft) => (draft.created = day + draft.created.slice(10)));
  }

  /** Goes to an entry; the place is kept too. */
  stand(entry: string, fresh: boolean): void {
    this.fresh = fresh && entryText(this.draft, entry) !== '';
    if (this.spot.entry === entry) return;
    this.spot.entry = entry;
    this.write();
  }

  turnBaseline(): void {
    this.change((draft) => (draft.gauge.baseline_subtracted = !draft.gauge.baseline_subtracted));
  }

  way(step: StepName): string {
    return `#/test/${this.draft.id}/${stepNumber(step)}`;
  }

  step(step: number): void {
    if (this.spot.step === step) return;
    this.spot.step = step;
    this.write();
  }

  accept(doubt: Challenge): void {
    this.accepted.push(doubt.mark);
    this.write();
  }

  isAccepted(doubt: Challenge): boolean {
    return this.accepted.includes(doubt.mark);
  }

  setClosed(closed: boolean): void {
    this.closed = closed;
    this.write();
  }

  /** Writes the whole document as a new revision. `kept` stands only when the last one is on the device. */
  write(): void {
    const number = ++this.#newest;
    const doc = this.doc();
    const base = store();
    this.keeping = 'keeping';
    pending += 1;
    const written = base ? base.add(doc) : Promise.reject(new Error('storage'));
    this.#written = written;
    void written.finally(() => (pending -= 1)).catch(() => undefined);
    written.then(
      () => {
        if (number !== this.#newest) return;
        this.keeping = 'kept';
        heldDocs.delete(doc.draft.id);
      },
      () => {
        // The newest document holds everything the older ones did: one that arrives makes up for all.
        heldDocs.set(doc.draft.id, this.doc());
        if (number === this.#newest) this.keeping = 'not-kept';
      },
    );
    if (app.persisted === undefined) {
      app.persisted = false;
      void askPersist();
    }
  }

  async sheet(): Promise<Sheet> {
    return askSheet(this.plain(), wallClock());
  }

  end(): void {
    this.#looker.close();
  }
}

/** Documents that the device has refused, for as long as this page lives. */
export const heldDocs = new Map<string, Doc>();

/** Writes on their way. */
let pending = 0;

// The browser asks before it closes a page that holds something the device does not.
window.addEventListener('beforeunload', (event) => {
  if (pending > 0 || heldDocs.size > 0) event.preventDefault();
});
