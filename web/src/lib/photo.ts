// A picture of the device's camera, made small: longest side 1600, a JPEG, named by its SHA-256.

const LONGEST = 1600;
const QUALITY = 0.82;

export async function photoOf(file: Blob): Promise<{ name: string; bytes: Uint8Array<ArrayBuffer> }> {
  const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const small = await new Promise<Blob>((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('picture'))), 'image/jpeg', QUALITY);
  });
  const bytes = new Uint8Array(await small.arrayBuffer());
  return { name: `attachments/${sha256(bytes)}.jpg`, bytes };
}

/** Fractional parts of the cube roots of the first 64 primes, and of the square roots of the first 8. */
const [ROUNDS, START] = (() => {
  const primes: number[] = [];
  for (let n = 2; primes.length < 64; n += 1) if (primes.every((p) => n % p !== 0)) primes.push(n);
  const part = (x: number) => ((x - Math.floor(x)) * 2 ** 32) >>> 0;
  return [Uint32Array.from(primes, (p) => part(Math.cbrt(p))), Uint32Array.from(primes.slice(0, 8), (p) => part(Math.sqrt(p)))];
})();

/** FIPS 180-4. The browser's own wants a secure address, which a desk in the same house is not. */
export function sha256(data: Uint8Array): string {
  const length = (((data.length + 8) >> 6) + 1) << 6;
  const padded = new Uint8Array(length);
  padded.set(data);
  padded[data.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(length - 8, Math.floor((data.length * 8) / 2 ** 32));
  view.setUint32(length - 4, (data.length * 8) >>> 0);
  const hash = Uint32Array.from(START);
  const words = new Uint32Array(64);
  const turn = (x: number, n: number) => (x >>> n) | (x << (32 - n));
  for (let at = 0; at < length; at += 64) {
    for (let i = 0; i < 16; i += 1) words[i] = view.getUint32(at + 4 * i);
    for (let i = 16; i < 64; i += 1) {
      const [a, b] = [words[i - 15] ?? 0, words[i - 2] ?? 0];
      const s0 = turn(a, 7) ^ turn(a, 18) ^ (a >>> 3);
      const s1 = turn(b, 17) ^ turn(b, 19) ^ (b >>> 10);
      words[i] = (words[i - 16] ?? 0) + s0 + (words[i - 7] ?? 0) + s1;
    }
    let [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = hash;
    for (let i = 0; i < 64; i += 1) {
      const s1 = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
      const one = (h + s1 + ((e & f) ^ (~e & g)) + (ROUNDS[i] ?? 0) + (words[i] ?? 0)) | 0;
      const s0 = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
      const two = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((value, i) => (hash[i] = (hash[i] ?? 0) + value));
  }
  return Array.from(hash, (word) => word.toString(16).padStart(8, '0')).join('');
}

/** Photos as the engine takes them for a document: a `data:` address of each, JPEG or PNG by their first bytes. */
export function picturesOf(attachments: { name: string; bytes: Uint8Array }[]): { name: string; text: string }[] {
  return attachments.flatMap(({ name, bytes }) => {
    const kind = bytes[0] === 0xff && bytes[1] === 0xd8 ? 'jpeg' : bytes[0] === 0x89 && bytes[1] === 0x50 ? 'png' : '';
    if (!kind || bytes.length > LARGEST_PICTURE) return [];
    let text = '';
    // A whole photo is too much for one call.
    for (let at = 0; at < bytes.length; at += 8190) text += String.fromCharCode(...bytes.subarray(at, at + 8190));
    return [{ name, text: `data:image/${kind};base64,${btoa(text)}` }];
  });
}

/** A photo larger than this is no part of a document, bytes; the command line has the same limit. */
const LARGEST_PICTURE = 2_000_000;
