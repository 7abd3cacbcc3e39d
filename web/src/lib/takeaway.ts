// A test leaves the device, or comes in: one zip with the files of its job folder.
import { strFromU8, strToU8, unzipSync, zipSync, type UnzipFileInfo, type Zippable } from 'fflate';
import { askOpen } from './engine.svelte';
import { completeDraft } from './entries';
import { newId, type Doc } from './store';
import type { Draft, Language, TextFile } from './types';
import { w } from './words.svelte';

/** What is packed in a zip; one that cannot be read is told in the words of the page. */
function unzipped(bytes: ArrayBuffer, filter: (part: UnzipFileInfo) => boolean): Record<string, Uint8Array> {
  try {
    return unzipSync(new Uint8Array(bytes), { filter });
  } catch {
    throw new Error(w('zip-broken'));
  }
}

/** A file name out of a place's name: letters, digits and hyphens of any script. */
export const fileStem = (draft: Draft): string => stemOf(draft.place.name, draft.created);

/** The same out of a name and an ISO time. */
export function stemOf(title: string, time: string): string {
  const name = title.normalize('NFC').toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '');
  const date = time.slice(0, 10);
  return [name.slice(0, 40) || 'airwright', date].join('-');
}

/** The zip of a job folder; the same files give the same bytes. */
export function zipOf(stem: string, files: TextFile[], attachments: { name: string; bytes: Uint8Array }[] = []): Uint8Array<ArrayBuffer> {
  const made: Zippable = {};
  // Pictures are packed already.
  for (const one of attachments) made[`${stem}/${one.name}`] = [one.bytes, { level: 0 }];
  for (const file of files) made[`${stem}/${file.name}`] = strToU8(file.text);
  return new Uint8Array(zipSync(made, { mtime: new Date(1980, 0, 1), level: 6 }));
}

/** What was typed alone, for when the engine does not write documents. */
export const zipOfDraft = (draft: Draft): Uint8Array<ArrayBuffer> =>
  zipOf(fileStem(draft), [{ name: 'phone.json', text: `${JSON.stringify(draft, null, 1)}\n` }]);

export function save(name: string, parts: BlobPart[], type: string): void {
  const address = URL.createObjectURL(new Blob(parts, { type }));
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  link.click();
  // The browser reads the blob after the click; a minute is enough for any of them.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** The documents of a folder or a zip, without the folder they all lie in. */
export async function textFiles(files: Iterable<File>): Promise<TextFile[]> {
  const found: TextFile[] = [];
  for (const file of files) {
    if (/\.zip$/i.test(file.name)) {
      const parts = unzipped(await file.arrayBuffer(), (part) => /\.(toml|json|csv)$/i.test(part.name) && part.originalSize < 4_000_000);
      for (const [name, bytes] of Object.entries(parts)) found.push({ name, text: strFromU8(bytes) });
    } else if (!/\.jpe?g$/i.test(file.name)) found.push({ name: file.webkitRelativePath || file.name, text: await file.text() });
  }
  // Without the folder they all lie in.
  const firsts = new Set(found.map((f) => f.name.split('/')[0]));
  const first = firsts.size === 1 && found.every((f) => f.name.includes('/')) ? `${[...firsts][0]}/` : '';
  return found.map((f) => ({ ...f, name: f.name.slice(first.length) })).sort((a, b) => a.name.localeCompare(b.name));
}

/** Photos of a zip or a folder, by their name within the job. */
export async function photoFiles(files: Iterable<File>): Promise<{ name: string; bytes: Uint8Array<ArrayBuffer> }[]> {
  const found: { name: string; bytes: Uint8Array<ArrayBuffer> }[] = [];
  const within = (name: string) => /(?:^|\/)(attachments\/[0-9a-f]{64}\.jpg)$/.exec(name)?.[1];
  for (const file of files) {
    if (/\.zip$/i.test(file.name)) {
      const parts = unzipped(await file.arrayBuffer(), (part) => within(part.name) !== undefined && part.originalSize < 8_000_000);
      for (const [name, bytes] of Object.entries(parts)) found.push({ name: within(name) ?? name, bytes: new Uint8Array(bytes) });
    } else {
      const name = within(file.webkitRelativePath || file.name);
      if (name) found.push({ name, bytes: new Uint8Array(await file.arrayBuffer()) });
    }
  }
  return found;
}

/** A job folder as a new test of this device. */
export async function bringIn(files: Iterable<File>, language: Language): Promise<Doc> {
  const texts = await textFiles(files);
  const typed = texts.find((f) => f.name === 'phone.json');
  const documents = texts.some((f) => f.name === 'job.toml');
  // The documents count where there are any: they may have been worked on since.
  const draft = typed && !documents ? (JSON.parse(typed.text) as Partial<Draft>) : await askOpen(texts, language);
  const accepted = draft.accepted ?? [];
  return { draft: completeDraft(draft, newId()), spot: { step: 1, entry: '' }, accepted, closed: false };
}
