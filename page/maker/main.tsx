// The maker's page: what is asked, what is looked at, and what is told.

import { render } from 'preact';
import { useEffect } from 'preact/hooks';
import { Ask } from './ask';
import { useDrops } from './drop';
import { Look } from './look';
import { Mark } from './mark';
import { Shop } from './shop';
import { Start } from './start';
import { useBench } from './use';
import { Told, verdict } from './verdict';
import { job, set } from './state';
import { back, begin, openJob, rename } from './work';

function Page() {
  const state = useBench();
  const { page, keys, fault, unkept } = state;
  const open = job();
  useDrops();
  useEffect(() => {
    const keys = (event: KeyboardEvent): void => {
      const typing = (event.target as Element).closest('input, textarea');
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z' || typing) return;
      event.preventDefault();
      back(event.shiftKey);
    };
    addEventListener('keydown', keys);
    return () => removeEventListener('keydown', keys);
  }, []);
  useEffect(() => {
    document.title = page === 'job' && open ? `${open.name} · nestwright` : 'nestwright';
  }, [page, open?.name]);
  // Another page, or another job, begins at its top.
  useEffect(() => scrollTo(0, 0), [page, open?.id]);
  const { status, text } = verdict(state);
  return (
    <>
      <a class="skip" href="#main">Skip to the job</a>
      <header class="head">
        <div class="ply" aria-hidden="true" />
        <div class="wide head-row">
          <button type="button" class="home" onClick={() => openJob(null)}>nestwright</button>
          {page === 'job' && open && (
            <>
              <label class="unseen" for="job-name">Name of the job and its folder</label>
              <input id="job-name" class="job-name" value={open.name} spellcheck={false} onChange={event => rename(event.currentTarget.value.trim().replace(/[^\p{L}\p{N}._-]+/gu, '-') || 'job')} />
              <div class="undo" role="group" aria-label="History">
                <button type="button" disabled={open.past.length === 0} onClick={() => back(false)}>Undo</button>
                <button type="button" disabled={open.future.length === 0} onClick={() => back(true)}>Redo</button>
              </div>
              <a class={`verdict-line verdict-${status}`} href="#told-title" aria-live="polite"><Mark status={status} /> <span>{text}</span></a>
            </>
          )}
          <button type="button" class="to-shop" aria-pressed={page === 'shop'} onClick={() => set({ page: page === 'shop' ? (open ? 'job' : 'start') : 'shop' })}>Shop</button>
        </div>
      </header>
      {unkept && <p class="caution-note wide">This browser keeps nothing for this page: save your spec before you close it.</p>}
      <p class={`wide said${state.said ? ' handed' : ''}`} role="status">{state.said}</p>
      {!keys && !fault && <p class="wide lead" role="status">Starting the engine.</p>}
      {!keys && fault && <p class="wide wrong" role="alert">The engine does not start in this browser: {fault}. A newer Firefox or Chromium will do.</p>}
      {keys && page === 'start' && <Start />}
      {keys && page === 'shop' && <Shop />}
      {keys && page === 'job' && (
        <main id="main" class="bench" tabIndex={-1} data-took={JSON.stringify(state.took)}>
          <h1 class="unseen job-title">{state.seen?.title || open?.name}</h1>
          <Ask />
          <Look />
          <Told />
        </main>
      )}
      <footer class="foot wide">
        <p>Cutting hurts people. The machine's manual, local rules and qualified practice come before anything on this page.</p>
        <p>Nothing is fetched or sent; your jobs are kept in this browser alone.</p>
      </footer>
    </>
  );
}

render(<Page />, document.getElementById('page')!);
begin().catch(why => set({ fault: String(why), stage: 'fault' }));
