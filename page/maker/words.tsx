// Sentences of the engine: what stands between backticks is a key or a word of the spec.

export function Words({ text }: { text: string }) {
  return <>{text.split('`').map((part, i) => (i % 2 ? <code>{part}</code> : part))}</>;
}
