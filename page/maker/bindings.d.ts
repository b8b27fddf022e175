// What the bindings of the engine export; they are written when the engine is built.
declare module 'bindings' {
  export function initSync(given: { module: WebAssembly.Module }): unknown;
  export class Engine {
    constructor();
    keys(): string;
    starters(): string;
    profiles(): string;
    page_policy(): string;
    shelve(own: string, lists: string): string;
    kind_of(text: string): string;
    fields(text: string): string;
    change(text: string, changes: string): string;
    carry(text: string, from: string): string;
    look(name: string, text: string): string;
    section(index: number): string;
    first(): string;
    range(): string;
    try_out(effort: number): string;
    lay(effort: number): string;
    files(): Map<string, Uint8Array>;
  }
}

/** The worker's script, as text. */
declare const WORKER: string;
