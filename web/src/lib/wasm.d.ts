// The module that `web/build` puts beside this folder.
declare module '*/wasm/airwright.js' {
  export default function init(options: { module_or_path: URL | string }): Promise<unknown>;
  export function ask(json: string, ear?: (what: string, done: number, of: number) => void): string;
}
