// The spec as text, with what is wrong in it.

import { called, pathOf, toField, toText } from './place';
import { letters } from './spec';
import type { Problem } from './told';
import { useBench } from './use';
import { Words } from './words';
import { job } from './state';
import { write } from './work';

export function SpecText() {
  const { problems } = useBench();
  const open = job();
  if (!open) return null;
  return (
    <div class="as-text">
      <label class="unseen" for="spec-text">The spec as text</label>
      <textarea
        id="spec-text"
        spellcheck={false}
        autocapitalize="off"
        rows={Math.max(18, open.text.split('\n').length + 1)}
        value={open.text}
        aria-describedby="spec-hint"
        onInput={event => write(event.currentTarget.value, 'text')}
      />
      <p class="hint" id="spec-hint">The same as under Questions: change either.</p>
      <Problems problems={problems} />
    </div>
  );
}

/** What can't be read, each with the way to its place: to its field, or to its line where the text is on show. */
export function Problems({ problems, elsewhere = false }: { problems: Problem[]; elsewhere?: boolean }) {
  const { fields, asText } = useBench();
  if (!problems.length) return null;
  const place = (problem: Problem) => {
    if (elsewhere) return <b>{problem.file} line {problem.line}</b>;
    const path = asText ? null : pathOf(fields, problem);
    if (path) return <button type="button" class="link" onClick={() => toField(path)}>{called(path)}</button>;
    const text = job()?.text ?? '';
    return <button type="button" class="link" onClick={() => toText(letters(text, problem.span[0]), letters(text, problem.span[1]), problem.line)}>line {problem.line}</button>;
  };
  return (
    <ul class="problems">
      {problems.filter((problem, i) => !problems.slice(0, i).some(one => one.span[0] === problem.span[0] && one.message === problem.message)).map(problem => (
        <li>{place(problem)} <Words text={plainly(problem, elsewhere || asText ? 'text' : 'list')} /></li>
      ))}
    </ul>
  );
}

/** What is added with a button of the form. */
const ADDED: Record<string, string> = { stock: 'press “A board”', box: 'press “A box” or “A loose part”' };

/** A problem in words. In the form a missing key is a question without its answer, and what it means stands at its field. */
export function plainly(problem: Problem, at: 'field' | 'list' | 'text'): string {
  const { message, expected, help, lacks, offending } = problem;
  // One of several numbers that belong together is still to come.
  if (at !== 'text' && offending === '""') return `still empty; ${expected}${help && ` (${help})`}`;
  if (lacks && at !== 'text') {
    const wanted = ADDED[lacks.name] ?? `${lacks.says.replaceAll(' | ', ', ')}${lacks.instead.length ? `, or ${lacks.instead.join(' or ')}` : ''}`;
    return `needed: ${wanted}${at === 'list' && help ? ` (${help})` : ''}`;
  }
  return `${message}${expected && `: ${expected}`}${help && ` (${help})`}`;
}
