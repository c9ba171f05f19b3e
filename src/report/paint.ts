type Part = 'error' | 'warning' | 'note' | 'good' | 'title' | 'faint';

/** What colour may add to a text; the words never need it. */
export type Paint = Readonly<Record<Part, (text: string) => string>>;

const same = (text: string): string => text;

/** No colour at all. */
export const PLAIN: Paint = {
  error: same,
  warning: same,
  note: same,
  good: same,
  title: same,
  faint: same,
};
