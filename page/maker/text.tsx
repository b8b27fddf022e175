// The spec as text, with what is wrong in it.

import { useRef } from 'preact/hooks';
import { letters } from './spec';
import type { Problem } from './told';
import { useBench } from './use';
import { Words } from './words';
import { job, write } from './work';

export function SpecText() {
  const { problems } = useBench();
  const open = job();
  const field = useRef<HTMLTextAreaElement>(null);
  if (!open) return null;
  const go = (problem: Problem): void => {
    const area = field.current!;
    area.focus();
    area.setSelectionRange(letters(open.text, problem.span[0]), letters(open.text, problem.span[1]));
    const line = parseFloat(getComputedStyle(area).lineHeight) || 20;
    area.scrollTop = Math.max(0, (problem.line - 4) * line);
  };
  return (
    <div class="as-text">
      <label class="unseen" for="spec-text">The spec as text</label>
      <textarea
        id="spec-text"
        ref={field}
        spellcheck={false}
        autocapitalize="off"
        rows={Math.max(18, open.text.split('\n').length + 1)}
        value={open.text}
        aria-describedby="spec-hint"
        onInput={event => write(event.currentTarget.value, 'text')}
      />
      <p class="hint" id="spec-hint">The same as under Questions: change either.</p>
      <Problems problems={problems} go={go} />
    </div>
  );
}

export function Problems({ problems, go }: { problems: Problem[]; go?: (problem: Problem) => void }) {
  if (!problems.length) return null;
  return (
    <ul class="problems">
      {problems.map(problem => (
        <li>
          {go ? <button type="button" class="link" onClick={() => go(problem)}>line {problem.line}</button> : <b>{problem.file} line {problem.line}</b>} <Words text={`${problem.message}${problem.expected && `: ${problem.expected}`}${problem.help && ` (${problem.help})`}`} />
        </li>
      ))}
    </ul>
  );
}

