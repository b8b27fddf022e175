// The state, for views.

import { useEffect, useState } from 'preact/hooks';
import { now, watch, type State } from './state';

/** The state as it is now; the view is drawn again whenever it changes. */
export function useBench(): State {
  const [state, set] = useState(now());
  useEffect(() => {
    // What changed between the first drawing and now is not lost.
    set(now());
    return watch(() => set(now()));
  }, []);
  return state;
}
