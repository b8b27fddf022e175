// The engine in a worker: one call after the other, each answered under its number.

import { Engine, initSync } from 'bindings';

interface Call {
  id: number;
  what: string;
  args: unknown[];
}

let engine: Engine | null = null;

self.addEventListener('message', (event: MessageEvent<{ module: WebAssembly.Module } | Call>) => {
  if ('module' in event.data) {
    initSync({ module: event.data.module });
    engine = new Engine();
    return;
  }
  const { id, what, args } = event.data;
  try {
    const asked = (engine as unknown as Record<string, (...args: unknown[]) => unknown>)[what];
    const answer = asked.apply(engine, args);
    self.postMessage({ id, answer: typeof answer === 'string' ? JSON.parse(answer) : answer });
  } catch (why) {
    self.postMessage({ id, fault: String(why) });
  }
});
