/** What colour may add to a text; the words never need it. */
export interface Paint {
  error(text: string): string;
  warning(text: string): string;
  note(text: string): string;
  good(text: string): string;
  title(text: string): string;
  faint(text: string): string;
}

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
