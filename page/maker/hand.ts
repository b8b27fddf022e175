// A hand at the engine: a worker that is asked one thing after the other, and can be let go in the midst of it.

let compiled: Promise<WebAssembly.Module> | null = null;

// The engine stands in the page as text: base64 of gzip.
export function engine(): Promise<WebAssembly.Module> {
  compiled ??= (async () => {
    const text = document.getElementById('engine')!.textContent!.trim();
    const packed = Uint8Array.from(atob(text), letter => letter.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
    return WebAssembly.compile(await new Response(stream).arrayBuffer());
  })();
  return compiled;
}

const script = URL.createObjectURL(new Blob([WORKER], { type: 'text/javascript' }));

/** Why a call has no answer: the hand was let go. */
export class LetGo extends Error {}

export class Hand {
  private worker: Worker | null = null;
  private waiting = new Map<number, { done: (answer: unknown) => void; failed: (why: Error) => void }>();
  private last = 0;
  /** What every fresh worker is told first. */
  private shelf: [string, string] = ['[]', '[]'];

  private async ready(): Promise<Worker> {
    if (this.worker) return this.worker;
    const module = await engine();
    if (this.worker) return this.worker;
    const worker = new Worker(script);
    worker.onmessage = (event: MessageEvent<{ id: number; answer?: unknown; fault?: string }>) => {
      const { id, answer, fault } = event.data;
      const asked = this.waiting.get(id);
      this.waiting.delete(id);
      if (fault === undefined) return asked?.done(answer);
      // A trap leaves the engine's memory as it fell: the next call gets a fresh one.
      asked?.failed(new Error(fault));
      this.letGo();
    };
    worker.onerror = event => {
      const asked = [...this.waiting.values()];
      this.letGo();
      asked.forEach(one => one.failed(new Error(event.message)));
    };
    worker.postMessage({ module });
    worker.postMessage({ id: 0, what: 'shelve', args: this.shelf });
    this.worker = worker;
    return worker;
  }

  /** What the shelf holds from now on: own profiles and off-cut lists, as JSON. */
  async shelve(own: string, lists: string): Promise<unknown> {
    this.shelf = [own, lists];
    return this.ask('shelve', own, lists);
  }

  /** Keeps what a fresh worker is told, without asking the one there is. */
  remember(own: string, lists: string): void {
    this.shelf = [own, lists];
    this.letGo();
  }

  async ask<T>(what: string, ...args: unknown[]): Promise<T> {
    const worker = await this.ready();
    // Let go in the meantime: nobody would answer.
    if (worker !== this.worker) throw new LetGo('let go');
    const id = ++this.last;
    return new Promise<T>((done, failed) => {
      this.waiting.set(id, { done: done as (answer: unknown) => void, failed });
      worker.postMessage({ id, what, args });
    });
  }

  /** Stops whatever it does; the next call gets a fresh worker. */
  letGo(): void {
    this.worker?.terminate();
    this.worker = null;
    const asked = [...this.waiting.values()];
    this.waiting.clear();
    asked.forEach(one => one.failed(new LetGo('let go')));
  }
}
