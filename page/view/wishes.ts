// What the reader's system asks for.

export const calm = matchMedia('(prefers-reduced-motion: reduce)');
export const night = matchMedia('(prefers-color-scheme: dark)');
