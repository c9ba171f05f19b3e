import { type Finding, findingsOf, judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { type HolderSum, holderSums } from '../../src/measure/pose/holder-sum.js';
import { decompose, meanFactor, turnDegrees } from '../../src/rig/decompose.js';
import { mat4At } from '../../src/rig/mat4.js';
import { type Quaternion, turnAxis } from '../../src/rig/quaternion.js';
import { length, type Vec3 } from '../../src/rig/vec3.js';
import { against, axisWords, limit } from '../parts.js';

interface HolderDetails extends HolderSum {
  readonly kind: (typeof KINDS)[number];
  readonly isTurned: boolean;
  readonly isScaled: boolean;
  /** Holders of the other trees of the rig that are off zero too. */
  readonly others: readonly number[];
  /** What each of its holders does by itself, in their order. */
  readonly own: readonly OwnTransform[];
}

/** The transform of one holder. */
interface OwnTransform {
  readonly node: number;
  readonly move: Vec3;
  readonly rotation: Quaternion;
  /** Geometric mean of the magnitudes. */
  readonly scale: number;
}

/** What is wrong with holders, the worst first. */
const KINDS = ['moved', 'tilted', 'converted'] as const;
/** Holders that a message names. */
const NAMED = 4;

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
    move: limit(0.01, '% of size', 'how far holders move a rig'),
    turn: limit(0.1, 'degrees', 'how far holders turn or tilt a rig'),
  },
  check(facts, limits, limitOf) {
    const all = { ...limits, scale: limitOf('scale.unit', 'scale') };
    const found = findingsOf(holderSums(facts), (sum) => judge(facts, sum, all));
    const looked = facts.rig.holders.length;
    // One finding for all trees of a rig, at the worst.
    const rank = ({ details }: Finding<HolderDetails>): number => KINDS.indexOf(details.kind);
    const [worst] = [...found].sort((a, b) => rank(a) - rank(b) || b.measured - a.measured);
    if (worst === undefined) return judged('nodes', looked, []);
    const nodes = [...new Set(found.flatMap(({ details }) => details.nodes))];
    const others = nodes.filter((node) => !worst.details.nodes.includes(node));
    return judgedAsOne('nodes', looked, {
      ...worst,
      places: nodes.map((node) => ({ kind: 'node', node })),
      details: { ...worst.details, others },
    });
  },
  say({ details, unit, limit }, words) {
    const { nodes, others, own, kind, turn, tilt } = details;
    const named = nodes.slice(0, NAMED).map((node) => words.node(node));
    const more = nodes.length - named.length;
    const list = more > 0 ? `${named.join(', ')} and ${more} more` : named.join(' and ');
    const [who, verb, them, their, are] =
      nodes.length === 1
        ? [`The holder ${list}`, 'is', 'it', 'its transform', 'it is']
        : [`The holders ${list} together`, 'are', 'them', 'their transforms', 'they are'];
    const away = kind === 'tilted' && turn - tilt > 1 ? `, ${words.degrees(tilt)} off square,` : '';
    const bound = unit === 'degrees' ? words.degrees(limit ?? 0) : `${limit} % of size`;
    const why =
      kind === 'converted'
        ? 'an export left this conversion of axes or units'
        : `when an animator sets ${them} to zero, the rig leaves its place`;
    const each =
      nodes.length === 1
        ? ''
        : ` (${own
            .slice(0, NAMED)
            .map((holder) => ownWords(holder, words))
            .join('; ')})`;
    const beside =
      others.length > 0 ? ` The same is true of ${words.count(others.length, 'more holder')}.` : '';
    return {
      message: `${who} ${verb} ${partsOf(details, words)}${away}${each} (limit ${bound}): ${why}.${beside}`,
      remedy: `Apply ${their} to the rig and the mesh before export, so that ${are} at zero.`,
    };
  },
});

function judge(
  facts: Facts,
  sum: HolderSum,
  limits: Readonly<Record<'move' | 'turn' | 'scale', number>>,
): Finding<HolderDetails> | null {
  const { nodes, move, turn, tilt, scale, mover, turner } = sum;
  const extent = size(facts);
  const movePercent = extent > 0 ? (100 * length(move)) / extent : 0;
  const scalePercent = 100 * Math.abs(scale - 1);
  const isMoved = movePercent > limits.move;
  const isScaled = scalePercent > limits.scale;
  const [isTurned, isTilted] = [turn > limits.turn, tilt > limits.turn];
  if (!isMoved && !isTurned) return null;
  const kind = isMoved ? 'moved' : isTilted ? 'tilted' : 'converted';
  return {
    level: kind === 'converted' ? 'note' : 'warning',
    place: { kind: 'node', node: isMoved ? mover : turner },
    ...(isMoved
      ? against(movePercent, limits.move, '% of size')
      : against(isTilted ? tilt : turn, limits.turn, 'degrees')),
    // What only turns between axes, or scales, hides behind a move.
    also: [
      ...(isMoved && isTurned ? [{ measured: turn, unit: 'degrees' as const }] : []),
      ...(isScaled ? [{ measured: scalePercent, unit: '%' as const }] : []),
    ],
    covers: ['scale.unit'],
    details: {
      ...sum,
      kind,
      isTurned,
      isScaled,
      others: [],
      own: nodes.map((node) => ownTransform(facts, node)),
    },
  };
}

function ownTransform({ rig }: Facts, node: number): OwnTransform {
  const { translation, rotation, scale } = decompose(mat4At(rig.nodes.local, node));
  return { node, move: translation, rotation, scale: meanFactor(scale) };
}

/** Smaller turns and scales are not told of one holder. Degrees, and share. */
const [TOLD_TURN, TOLD_SCALE] = [0.01, 1e-4];

/** `"cart" is turned by 30° about its +Y axis`; the move in the units of the file. */
function ownWords({ node, move, rotation, scale }: OwnTransform, words: Words): string {
  const turn = turnDegrees(rotation);
  const about = turnAxis(rotation);
  const parts = [
    ...(move.some((part) => part !== 0)
      ? [`moved by ${move.map((part) => words.number(part)).join(', ')}`]
      : []),
    ...(turn > TOLD_TURN && about !== null
      ? [`turned by ${words.degrees(turn)} about ${axisWords(about, words)}`]
      : []),
    ...(Math.abs(scale - 1) > TOLD_SCALE ? [`scaled by ${words.number(scale)}`] : []),
  ];
  return `${words.node(node)} ${parts.length === 0 ? 'nearly nothing' : parts.join(' and ')}`;
}

function partsOf(details: HolderDetails, words: Words): string {
  const { own, move, turn, scale, kind, isTurned, isScaled } = details;
  // Of several, each is told by itself.
  const [only, ...others] = own;
  const about = only === undefined || others.length > 0 ? null : turnAxis(only.rotation);
  const parts = [
    ...(kind === 'moved' ? [`moved by ${words.length(length(move))}`] : []),
    ...(isTurned
      ? [
          `turned by ${words.degrees(turn)}${about === null ? '' : ` about ${axisWords(about, words)}`}`,
        ]
      : []),
    ...(isScaled ? [`scaled by ${words.number(scale)}`] : []),
  ];
  const last = parts.pop() ?? '';
  return parts.length === 0 ? last : `${parts.join(', ')} and ${last}`;
}
