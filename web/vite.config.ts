import { createHash } from 'node:crypto';
import { readFileSync, readdirSync } from 'node:fs';
import { join, relative } from 'node:path';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig, type Plugin } from 'vite';

/** Every file below a folder, as paths with forward slashes. */
function filesBelow(folder: string): string[] {
  const found = readdirSync(folder, { withFileTypes: true, recursive: true });
  return found
    .filter((entry) => entry.isFile())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .sort();
}

/**
 * Writes `sw.js` from `src/sw.js` with the list of all files of the build and a hash over their
 * bytes, so that a build that differs in one byte is another version, and only then.
 */
function serviceWorker(): Plugin {
  return {
    name: 'airwright-service-worker',
    apply: 'build',
    enforce: 'post',
    generateBundle: {
      order: 'post',
      handler(_, bundle) {
        const hash = createHash('sha256');
        const names: string[] = [];
        for (const name of Object.keys(bundle).sort()) {
          const part = bundle[name];
          if (!part) continue;
          hash.update(name).update(part.type === 'chunk' ? part.code : part.source);
          names.push(name);
        }
        for (const name of filesBelow('public')) {
          hash.update(name).update(readFileSync(join('public', name)));
          names.push(name);
        }
        const template = readFileSync('src/sw.js', 'utf8');
        hash.update(template);
        const source = template
          .replace("'__FILES__'", JSON.stringify(names.sort(), null, 1))
          .replace('__VERSION__', hash.digest('hex').slice(0, 16));
        this.emitFile({ type: 'asset', fileName: 'sw.js', source });
      },
    },
  };
}

export default defineConfig({
  // Relative addresses: the folder works under any path.
  base: './',
  plugins: [svelte(), serviceWorker()],
  worker: { format: 'es' },
  build: {
    target: 'es2022',
    // A data: address in place of a file would need a wider content policy.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
});
