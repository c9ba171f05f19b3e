import { angleWords, significant } from '../../kit/figures.js';
import { nodeOffset } from '../../measure/pose/holder-sum.js';
import { mat4At } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import type { FoundPlace } from '../found-places.js';
import { carryOut } from '../reframe/carry-out.js';
import { foldInto } from '../reframe/fold.js';
import { Ground } from '../reframe/ground.js';
import { whyNotExactly } from '../reframe/plan.js';
import {
  isNoChange,
  NO_CHANGE,
  type Similarity,
  scaleAlone,
  similarityOf,
} from '../reframe/similarity.js';
import type { Change, LeftAlone, MendContext, Mended } from '../repair.js';
import { scaleWords } from './scale-words.js';

/**
 * Sets nodes at fault to zero, from the top down, and folds what they stored into all that
 * hangs on them. What hangs on them of the same `family` is emptied too, since it would else be the
 * next to be found. Where nothing below can take a scale, the node keeps that.
 */
export function foldNodes(
  context: MendContext,
  findings: readonly FoundPlace[],
  family: ReadonlySet<number>,
): Mended {
  const { model } = context;
  const ground = new Ground(context);
  const changes: Change[] = [];
  const left: LeftAlone[] = [];
  const set = new Map<number, Similarity>();
  // The first finding of each node: several rigs can hang on one.
  const found = new Map([...findings].reverse().map((finding) => [finding.place.node, finding]));
  for (const node of model.nodes.order) {
    const finding = found.get(node);
    const rig = model.rigs[finding?.rig ?? -1];
    if (finding === undefined || rig === undefined) continue;
    const { rule, place } = finding;
    // What was settled with a node above is not changed again.
    if (!set.has(node)) {
      const settled = settle(ground, node, family, (other) => !found.has(other));
      if (typeof settled === 'string') {
        left.push({ rule, place: place.path, why: settled });
        continue;
      }
      for (const [other, local] of settled) set.set(other, local);
    }
    const kept = set.get(node)?.scale ?? 1;
    const before = offsetWords(context, rig, node);
    const after = kept === 1 ? 'at zero' : `at zero, but still scaled by ${significant(kept)}`;
    changes.push({ rule, place: place.path, before, after });
  }
  return carryOut(ground, foldInto(ground, { set }), { changes, left });
}

/**
 * What a node and those of its family that hang on it are to store: zero, or zero but for scales; else why
 * neither is exact.
 *
 * @param keepsScale Which nodes keep their scale in any case.
 */
function settle(
  ground: Ground,
  top: number,
  family: ReadonlySet<number>,
  keepsScale: (node: number) => boolean,
): Map<number, Similarity> | string {
  const { children, local } = ground.nodes;
  const emptied = (isScaled: boolean): Map<number, Similarity> => {
    const wanted = new Map<number, Similarity>();
    const open = [top];
    for (let node = open.pop(); node !== undefined; node = open.pop()) {
      const stored = similarityOf(mat4At(local, node));
      const isKept = stored !== null && (isScaled || keepsScale(node));
      wanted.set(node, isKept ? scaleAlone(stored.scale) : NO_CHANGE);
      for (const child of children[node] ?? []) if (family.has(child)) open.push(child);
    }
    return wanted;
  };
  const whyNot = (set: Map<number, Similarity>): string | null =>
    whyNotExactly(ground, foldInto(ground, { set }), new Set([top]));
  const [all, butScale] = [emptied(false), emptied(true)];
  const why = whyNot(all);
  if (why === null) return all;
  // A node that is at zero but for its scale has nothing else to give.
  const stored = similarityOf(mat4At(local, top));
  if (stored !== null && isNoChange({ ...stored, scale: 1 })) return why;
  return whyNot(butScale) === null ? butScale : why;
}

/** Less is rounding, and would be shown as 0. Degrees. */
const LEAST_TURN = 1e-6;

/** The same of a length. World units. */
const LEAST_MOVE = 1e-9;

function offsetWords({ settings }: MendContext, rig: Rig, node: number): string {
  const { move, turn } = nodeOffset(rig, node);
  const scale = scaleWords(rig.nodes, node);
  const parts: string[] = [];
  if (move > LEAST_MOVE) parts.push(`moved by ${significant(move)} ${settings.unit}`);
  if (turn > LEAST_TURN) parts.push(`turned by ${angleWords(turn)}`);
  if (scale !== '1') parts.push(`scaled by ${scale}`);
  return parts.join(', ');
}
