// The engine's own thread. It answers in the order it is asked; whoever asks decides what is stale.
import init, { ask } from '../../wasm/airwright.js';
import address from '../../wasm/airwright_bg.wasm?url';

export interface Question {
  number: number;
  body: string;
}

export interface Reply {
  /** 0 when the engine itself started or did not. */
  number: number;
  body?: string;
  /** How long this thread took to be ready, ms. */
  took_ms?: number;
  error?: string;
  /** How far the work on the question is; the answer still comes. */
  progress?: { what: string; done: number; of: number };
}

const port = self as unknown as DedicatedWorkerGlobalScope;
const answer = (reply: Reply) => port.postMessage(reply);

const ready = init({ module_or_path: new URL(address, self.location.href) });
ready.then(
  () => answer({ number: 0, took_ms: performance.now() }),
  (error: unknown) => answer({ number: 0, error: String(error) }),
);

port.addEventListener('message', (event: MessageEvent<Question>) => {
  const { number, body } = event.data;
  ready
    .then(() => answer({ number, body: ask(body, (what: string, done: number, of: number) => answer({ number, progress: { what, done, of } })) }))
    .catch((error: unknown) => answer({ number, error: String(error) }));
});
