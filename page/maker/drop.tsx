// Files that are handed to the page: opened, or dropped anywhere on it.

import { useEffect } from 'preact/hooks';
import { set } from './state';
import { take } from './work';

/** Takes one file after the other, and says what became of them. */
export async function takeAll(files: FileList | null): Promise<void> {
  const said: string[] = [];
  for (const file of files ?? []) said.push(await take(file).catch(why => `${file.name}: ${why}`));
  if (said.length) set({ said: said.join(' ') });
}

export function useDrops(): void {
  useEffect(() => {
    const over = (event: DragEvent): void => event.preventDefault();
    const drop = (event: DragEvent): void => {
      if (!event.dataTransfer?.files.length) return;
      event.preventDefault();
      void takeAll(event.dataTransfer.files);
    };
    addEventListener('dragover', over);
    addEventListener('drop', drop);
    return () => {
      removeEventListener('dragover', over);
      removeEventListener('drop', drop);
    };
  }, []);
}
