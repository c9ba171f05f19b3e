import { singular } from '../report/finding-words.js';

/** `2 of 31 joints`, `1 of 1 node`. */
export function shareWords(part: number, looked: number, things: string): string {
  return `${part} of ${looked} ${looked === 1 ? singular(things) : things}`;
}
