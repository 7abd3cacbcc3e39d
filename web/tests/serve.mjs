// A small static server on loopback for the time of a test, under a path of its own.
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { extname, join, normalize } from 'node:path';

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
};

/** As strict as `airwright serve`: what the pages need beyond it shows as an error on the console. */
const POLICY = [
  "default-src 'self'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data: blob:",
  "frame-src 'self' blob:",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'self'",
].join('; ');

/** Serves `folder` under `path`; `overlay` maps names to other texts, for a "newer build". */
export async function serve(folder, path = '/a/folder/') {
  const overlay = new Map();
  const asked = [];
  const server = createServer(async (request, response) => {
    const { pathname } = new URL(request.url, 'http://loopback');
    asked.push(pathname);
    if (!pathname.startsWith(path)) return response.writeHead(404).end();
    const name = normalize(pathname.slice(path.length) || 'index.html').replaceAll('\\', '/');
    if (name.startsWith('..')) return response.writeHead(404).end();
    try {
      const body = overlay.get(name) ?? (await readFile(join(folder, name)));
      response.writeHead(200, {
        'content-type': TYPES[extname(name)] ?? 'application/octet-stream',
        'cache-control': 'no-cache',
        'content-security-policy': POLICY,
        'x-content-type-options': 'nosniff',
      });
      response.end(body);
    } catch {
      response.writeHead(404).end();
    }
  });
  let port = 0;
  const listen = () =>
    new Promise((resolve) => {
      server.listen(port, '127.0.0.1', () => {
        port = server.address().port;
        resolve();
      });
    });
  await listen();
  return {
    get url() {
      return `http://127.0.0.1:${port}${path}`;
    },
    overlay,
    asked,
    stop: () =>
      new Promise((resolve) => {
        server.closeAllConnections();
        server.close(resolve);
      }),
    again: listen,
  };
}
