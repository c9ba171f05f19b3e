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
  const found = byNode(findings);
  for (const node of model.nodes.order) {
    const finding = found.get(node);
    const rig = model.rigs[finding?.rig ?? -1];
    if (finding === undefined || rig === undefined) continue;
    // What was settled with a node above stands.
    if (!set.has(node)) {
      const settled = settle(ground, node, (scaled) =>
        emptied(context, node, family, (other) => scaled || !found.has(other)),
      );
      if ('why' in settled) {
        left.push({ rule: finding.rule, place: finding.place.path, why: settled.why });
        continue;
      }
      for (const [other, local] of settled.set) set.set(other, local);
    }
    const kept = set.get(node)?.scale ?? 1;
    changes.push({
      rule: finding.rule,
      place: finding.place.path,
      before: offsetWords(context, rig, node),
      after: kept === 1 ? 'at zero' : `at zero, but still scaled by ${significant(kept)}`,
    });
  }
  return carryOut(ground, foldInto(ground, { set }), { changes, left });
}

/** What can be set exactly: all to zero, or all but scales; else why not. */
function settle(
  ground: Ground,
  node: number,
  emptied: (keepsScale: boolean) => Map<number, Similarity>,
): { readonly set: Map<number, Similarity> } | { readonly why: string } {
  const whyNot = (set: Map<number, Similarity>): string | null =>
    whyNotExactly(ground, foldInto(ground, { set }), new Set([node]));
  const [set, butScale] = [emptied(false), emptied(true)];
  const why = whyNot(set);
  if (why === null) return { set };
  // A node that is at zero but for its scale has nothing else to give.
  const own = similarityOf(mat4At(ground.nodes.local, node));
  if (own !== null && isNoChange({ ...own, scale: 1 })) return { why };
  return whyNot(butScale) === null ? { set: butScale } : { why };
}

/** The first finding of each node: several rigs can hang on one. */
function byNode(findings: readonly FoundPlace[]): Map<number, FoundPlace> {
  const found = new Map<number, FoundPlace>();
  for (const finding of findings) {
    const { node } = finding.place;
    if (node !== null && !found.has(node)) found.set(node, finding);
  }
  return found;
}

/** What a node and those of its family that hang on it are to store. */
function emptied(
  { model }: MendContext,
  top: number,
  family: ReadonlySet<number>,
  keepsScale: (node: number) => boolean,
): Map<number, Similarity> {
  const { children, local } = model.nodes;
  const wanted = new Map<number, Similarity>();
  const open = [top];
  for (let node = open.pop(); node !== undefined; node = open.pop()) {
    const own = similarityOf(mat4At(local, node));
    wanted.set(node, own !== null && keepsScale(node) ? scaleAlone(own.scale) : NO_CHANGE);
    for (const child of children[node] ?? []) if (family.has(child)) open.push(child);
  }
  return wanted;
}

/** Less is rounding, and would be told as 0. Degrees. */
const LEAST_TURN = 1e-6;

/** The same of a length. World units. */
const LEAST_MOVE = 1e-9;

function offsetWords({ settings }: MendContext, rig: Rig, node: number): string {
  const { move, turn } = nodeOffset(rig, node);
  const scale = scaleWords(rig.nodes, node);
  const parts = [
    ...(move > LEAST_MOVE ? [`moved by ${significant(move)} ${settings.unit}`] : []),
    ...(turn > LEAST_TURN ? [`turned by ${angleWords(turn)}`] : []),
    ...(scale === '1' ? [] : [`scaled by ${scale}`]),
  ];
  return parts.join(', ');
}
