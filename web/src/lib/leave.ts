// Handing a test over: the job folder as a zip, the sheet as a page.
import { store } from './app.svelte';
import type { Session } from './session.svelte';
import { fileStem, save, zipOf, zipOfDraft } from './takeaway';
import type { Sheet } from './types';

/** Saves the job folder; where the engine does not answer, what was typed as it is. */
export async function saveJob(session: Session): Promise<void> {
  const draft = session.plain();
  const written = session.written();
  const stem = fileStem(draft);
  let zip: Uint8Array<ArrayBuffer>;
  try {
    zip = zipOf(stem, (await session.sheet()).files);
  } catch {
    zip = zipOfDraft(draft);
  }
  save(`${stem}.zip`, [zip], 'application/zip');
  await store()?.markExported(draft.id, await written).catch(() => undefined);
}

const page = (session: Session, sheet: Sheet): File =>
  new File([sheet.html], `${fileStem(session.plain())}.html`, { type: 'text/html' });

export function saveSheet(session: Session, sheet: Sheet): void {
  const file = page(session, sheet);
  save(file.name, [file], file.type);
}

/** Whether this device can hand a file to another program. */
export const canShare = (session: Session, sheet: Sheet): boolean =>
  typeof navigator.share === 'function' && navigator.canShare?.({ files: [page(session, sheet)] }) === true;

export async function shareSheet(session: Session, sheet: Sheet): Promise<void> {
  const file = page(session, sheet);
  try {
    await navigator.share({ files: [file], title: session.draft.place.name });
  } catch (error) {
    // Sharing that the person breaks off is no trouble; what the device refuses is saved instead.
    if (!(error instanceof DOMException && error.name === 'AbortError')) saveSheet(session, sheet);
  }
}
