import { type Finding, findingsOf, judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { type HolderSum, holderSums } from '../../src/measure/pose/holder-sum.js';
import { length } from '../../src/rig/vec3.js';
import { type HolderDetails, holderWords } from './holder-words.js';

/** Holders that come to nothing, so that setting everything back to default gives the bind pose. */
export const restHolder = rule({
  id: 'rest.holder',
  level: 'warning',
  milder: 'note',
  title: 'holders above the rig that move or turn it',
  why: 'Animators set holders to zero to get back to the bind pose. When the transform of a holder is not zero, this tips the character over or moves it away.',
  formula:
    'The local transforms of the nodes above the topmost joints are multiplied from the scene down. The measures are the length of the move, relative to size, and the angle between the rotation and the nearest one that takes axes to axes. A move or a tilt gives a warning. A turn by quarter turns, with or without a uniform scale, is the conversion of an export and gives a note. Nodes that a clip poses, and nodes that carry a mesh without a skin, are not holders. Each rig has one finding.',
  remedy:
    'Apply the transform of the holders to the rig and the mesh before export, so that they are at zero.',
  source: 'common practice',
  limits: {
    move: { default: 0.01, unit: '% of size', tells: 'how far holders move a rig' },
    turn: { default: 0.1, unit: 'degrees', tells: 'how far holders turn or tilt a rig' },
  },
  check(facts, limits, limitOf) {
    const extent = size(facts);
    const scale = limitOf('scale.unit', 'scale');
    const found = findingsOf(holderSums(facts), (sum) => judge(sum, extent, { ...limits, scale }));
    const looked = facts.rig.holders.length;
    // The worst of the trees of a rig is told for all of them.
    const [worst] = [...found].sort(byKind);
    if (worst === undefined) return judged('nodes', looked, []);
    const nodes = [...new Set(found.flatMap(({ details }) => details.nodes))];
    const others = nodes.filter((node) => !worst.details.nodes.includes(node));
    return judgedAsOne('nodes', looked, {
      ...worst,
      places: nodes.map((node) => ({ kind: 'node', node })),
      counts: { looked, short: nodes.length },
      details: { ...worst.details, others },
    });
  },
  say: holderWords,
});

function judge(
  sum: HolderSum,
  extent: number,
  limits: { move: number; turn: number; scale: number },
): Finding<HolderDetails> | null {
  const movePercent = extent > 0 ? (100 * length(sum.move)) / extent : 0;
  const isMoved = movePercent > limits.move;
  const scalePercent = 100 * Math.abs(sum.scale - 1);
  const isScaled = scalePercent > limits.scale;
  const [isTurned, isTilted] = [sum.turn > limits.turn, sum.tilt > limits.turn];
  if (!isMoved && !isTurned) return null;
  const kind = isMoved ? 'moved' : isTilted ? 'tilted' : 'converted';
  return {
    level: kind === 'converted' ? 'note' : 'warning',
    place: { kind: 'node', node: isMoved ? sum.mover : sum.turner },
    measured: isMoved ? movePercent : isTilted ? sum.tilt : sum.turn,
    limit: isMoved ? limits.move : limits.turn,
    unit: isMoved ? '% of size' : 'degrees',
    // What only turns between axes, or scales, hides behind a move.
    also: [
      ...(isMoved && isTurned ? [{ measured: sum.turn, unit: 'degrees' as const }] : []),
      ...(isScaled ? [{ measured: scalePercent, unit: '%' as const }] : []),
    ],
    covers: ['scale.unit'],
    details: { ...sum, kind, isTurned, isScaled, others: [] },
  };
}

const KINDS = ['moved', 'tilted', 'converted'];

/** The worst first. */
function byKind(a: Finding<HolderDetails>, b: Finding<HolderDetails>): number {
  const by = KINDS.indexOf(a.details.kind) - KINDS.indexOf(b.details.kind);
  return by || b.measured - a.measured;
}
