import { clipsPair } from './pair/clips-pair.js';
import { matrixPair } from './pair/matrix-pair.js';
import { nearPair } from './pair/near-pair.js';
import type { Drawn, PairSource } from './pair/pair-source.js';
import type { Symbols } from './pair/symbols.js';
import { treePair } from './pair/tree-pair.js';
import { weightsPair } from './pair/weights-pair.js';
import { wholePair } from './pair/whole-pair.js';

/**
 * What a pair shows: a joint from near (from where it shows best, or from one side), the whole rig, the tree of joints, weights, a bind matrix, clips
 * (with the frames of a rate), or the same mesh without and with its joints.
 */
export type Shows =
  | 'near'
  | 'tree'
  | 'weights'
  | 'matrix'
  | 'joints'
  | { readonly whole: 'front' | 'side' | 'top' }
  | { readonly near: 'front' | 'side' | 'top' }
  | { readonly clips: number | null };

/** Both drawings of a pair. Null where there is nothing of that kind to be seen. */
export function drawPair(source: PairSource, shows: Shows, symbols: Symbols): Drawn | null {
  if (typeof shows === 'object') {
    if ('whole' in shows) return wholePair(source, symbols, shows.whole);
    if ('near' in shows) return nearPair(source, symbols, shows.near);
    return clipsPair(source, shows.clips);
  }
  switch (shows) {
    case 'near':
      return nearPair(source, symbols);
    case 'tree':
      return treePair(source);
    case 'weights':
      return weightsPair(source);
    case 'matrix':
      return matrixPair(source);
    case 'joints':
      return wholePair({ ...source, atFault: source.mended }, symbols, 'top', [true, false]);
  }
}
