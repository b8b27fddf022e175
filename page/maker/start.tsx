// Where a job begins: pictures of the boxes to start from, and the jobs that are kept.

import { useEffect, useState } from 'preact/hooks';
import type { BoxSolid } from '../view/solids';
import { BoxPicture } from './box';
import { useBench } from './use';
import { takeAll } from './drop';
import { set } from './state';
import { dropJob, glance, newJob, openJob } from './work';

const TITLES: Record<string, string> = {
  nuc: 'Nucleus boxes',
  super: 'A hive body and supers',
  'nest-box': 'Nest boxes for birds',
  'bait-hive': 'Bait hives for swarms',
  'bat-roost': 'Roosts for bats',
  tray: 'Trays and loose parts',
};

export function Start() {
  const { starters, kept } = useBench();
  const [boxes, setBoxes] = useState<Record<string, BoxSolid | null>>({});
  useEffect(() => {
    let gone = false;
    void (async () => {
      for (const { name, text } of starters) {
        const answer = await glance(name, text).catch(() => null);
        if (gone) return;
        setBoxes(known => ({ ...known, [name]: answer?.seen?.boxes[0] ?? null }));
      }
    })();
    return () => {
      gone = true;
    };
  }, [starters]);
  return (
    <main id="main" class="start wide" tabIndex={-1}>
      <h1>What do you want to build?</h1>
      <p class="lead">Pick the nearest. You change whatever you like, see at once whether it fits, and get a folder with programs, saw plan, drawings and lists. Everything stays in this browser.</p>
      <ul class="starters">
        {starters.map(({ name, about, text }) => (
          <li>
            <button type="button" onClick={() => void newJob(name, text)}>
              <BoxPicture box={boxes[name] ?? null} />
              <b>{TITLES[name] ?? name}</b>
              <span>{about}</span>
            </button>
          </li>
        ))}
      </ul>
      {kept.jobs.length > 0 && (
        <section aria-labelledby="kept-title">
          <h2 id="kept-title">Your jobs</h2>
          <ul class="jobs">
            {kept.jobs.map(one => (
              <li>
                <button type="button" class="link" onClick={() => openJob(one.id)}>{one.name}</button>
                <span class="hint">{/^\s*title\s*=\s*"([^"]*)"/m.exec(one.text)?.[1] ?? ''}</span>
                <Drop name={one.name} drop={() => dropJob(one.id)} />
              </li>
            ))}
          </ul>
        </section>
      )}
      <section aria-labelledby="own-title">
        <h2 id="own-title">A file of your own</h2>
        <label class="file">Open a spec, a profile or a list of off-cuts, or drop it anywhere on this page <input type="file" accept=".toml,text/plain" onChange={event => void takeAll(event.currentTarget.files)} /></label>
        <p><button type="button" onClick={() => set({ page: 'shop' })}>Set up your shop: machine, tools, saw, prices</button></p>
      </section>
    </main>
  );
}

/** Throwing a job away is asked twice, at the same place. */
function Drop({ name, drop }: { name: string; drop: () => void }) {
  const [sure, setSure] = useState(false);
  return sure ? (
    <span class="sure"><button type="button" class="danger" onClick={drop}>Throw {name} away</button><button type="button" onClick={() => setSure(false)}>Keep it</button></span>
  ) : (
    <button type="button" class="quiet" aria-label={`throw ${name} away`} onClick={() => setSure(true)}>Throw away</button>
  );
}
