// Servers on loopback for the time of a test: the program itself, and a folder on a web server of the
// person's own, whose headers are the program's too.
import { spawn } from 'node:child_process';
import { createServer } from 'node:http';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { join } from 'node:path';

const root = fileURLToPath(new URL('../..', import.meta.url));
export const PROGRAM = join(process.env.CARGO_TARGET_DIR ?? join(root, 'target'), 'debug', 'airwright');

/** Programs that run; none outlives the tests. */
const running = new Set();
process.on('exit', () => running.forEach((one) => one.kill()));

/** Runs `airwright serve`; `stop` ends it, `again` starts it anew on the same port. */
export async function serve(more = []) {
  if (!existsSync(PROGRAM)) throw new Error(`${PROGRAM} is missing: run \`cargo build\` after ./web/build`);
  let child;
  let url = '';
  let all = '';
  const start = () =>
    new Promise((resolve, reject) => {
      const port = url === '' ? '0' : new URL(url).port;
      child = spawn(PROGRAM, ['serve', '--port', port, ...more], { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] });
      running.add(child);
      child.once('exit', () => running.delete(child));
      let said = '';
      const read = (text) => {
        said += text;
        all += text;
        const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(said);
        if (found) resolve((url = found[0]));
      };
      child.stdout.on('data', read);
      child.stderr.on('data', read);
      child.once('error', reject);
      child.once('exit', (code) => reject(new Error(`airwright serve ended with ${code}: ${said}`)));
    });
  const stop = () =>
    new Promise((resolve) => {
      if (child.exitCode !== null || child.signalCode !== null) return resolve();
      child.once('exit', resolve);
      child.kill();
    });
  await start();
  return {
    get url() {
      return url;
    },
    /** All that it said so far. */
    get said() {
      return all;
    },
    stop,
    again: start,
  };
}

/**
 * The pages in a folder of a web server, below `path`: every answer is the program's own, headers with
 * it. `versions` maps names to another text, or to null where the file is gone: a newer build.
 */
export async function folder(path = '/a/folder/') {
  const program = await serve();
  let versions = new Map();
  const asked = [];
  const server = createServer(async (request, response) => {
    const { pathname } = new URL(request.url, 'http://loopback');
    asked.push(pathname);
    try {
      const name = pathname.startsWith(path) ? pathname.slice(path.length) : 'no such file';
      const other = versions.get(name || 'index.html');
      // A file of the newer build is of the kind of its older one.
      const answer = await fetch(new URL(other?.kind ?? name, program.url));
      const headers = Object.fromEntries(answer.headers);
      for (const own of ['content-length', 'transfer-encoding', 'connection', 'keep-alive', 'date']) delete headers[own];
      const body = new Uint8Array(await answer.arrayBuffer());
      response.writeHead(other === null ? 404 : answer.status, headers);
      response.end(other?.body ?? body);
    } catch (error) {
      response.writeHead(502).end(String(error));
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
  const close = () =>
    new Promise((resolve) => {
      server.closeAllConnections();
      server.close(resolve);
    });
  return {
    get url() {
      return `http://127.0.0.1:${port}${path}`;
    },
    /** From now on another build is served. */
    publish: (next) => (versions = next),
    asked,
    /** The network is gone. */
    stop: close,
    again: listen,
    end: async () => {
      await close();
      await program.stop();
    },
  };
}
