import type { PairSide } from '../pair/pair-source.js';
import type { Symbols } from '../pair/symbols.js';
export function drawCourse(_side: PairSide, _symbols: Symbols): string[] {
  return [];
}
