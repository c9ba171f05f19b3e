import { type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import { size } from '../../src/measure/bind-mesh.js';
import { type HolderSum, holderSums } from '../../src/measure/holder-sum.js';
import { length } from '../../src/rig/vec3.js';

interface Details extends HolderSum {
  readonly kind: 'moved' | 'tilted' | 'converted';
  readonly isTurned: boolean;
  readonly isScaled: boolean;
  /** Holders of the other trees of the rig that are off zero too. */
  readonly others: readonly number[];
}

/** Holders that come to nothing, so that setting everything back to default gives the bind pose. */
export const restHolder = rule({
  id: 'rest.holder',
  level: 'warning',
  milder: 'note',
  title: 'holders above the rig that move or turn it',
  why: 'Animators set holders back to zero to find the bind pose again. Holders that do not come to zero tip the character over or throw it off its spot.',
  formula:
    'The local transforms of the nodes above the topmost joints, multiplied from the scene down: length of the move, relative to size, and angle of the rotation to the nearest that takes axes to axes. A move or a tilt gives a warning; a square turn, with or without a uniform scale, is the conversion of an export and gives a note. Nodes that a clip poses, or that carry flesh that no skin places, are no holders. One finding a rig.',
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
    const found = holderSums(facts).flatMap(
      (sum) => judge(sum, extent, { ...limits, scale }) ?? [],
    );
    const looked = facts.rig.holders.length;
    const worst = found.reduce<Finding<Details> | undefined>(
      (best, item) => (best === undefined || isWorse(item, best) ? item : best),
      undefined,
    );
    const nodes = [...new Set(found.flatMap(({ details }) => details.nodes))];
    const findings = worst === undefined ? [] : [gathered(worst, nodes, looked)];
    return judged('nodes', looked, findings, nodes.length);
  },
  say(finding, words) {
    const { nodes, others, kind, turn, tilt } = finding.details;
    const named = nodes.map((node) => words.node(node)).slice(0, NAMED);
    const more = nodes.length - named.length;
    const list = more > 0 ? `${named.join(', ')} and ${more} more` : named.join(' and ');
    const who = nodes.length === 1 ? `The holder ${list}` : `The holders ${list} together`;
    const verb = nodes.length === 1 ? 'is' : 'are';
    const away = kind === 'tilted' && turn - tilt > 1 ? `, ${words.degrees(tilt)} off square,` : '';
    const limit =
      finding.unit === 'degrees' ? words.degrees(finding.limit ?? 0) : `${finding.limit} % of size`;
    const why =
      kind === 'converted'
        ? 'a conversion of axes or units that an export left'
        : 'set back to zero they take the rig off its place';
    const beside = others.length > 0 ? ` So are ${words.count(others.length, 'holder')} more.` : '';
    return {
      message: `${who} ${verb} ${partsOf(finding, words)}${away} (limit ${limit}): ${why}.${beside}`,
      remedy: `Apply ${nodes.length === 1 ? 'its transform' : 'their transforms'} to the rig and the mesh before export, so that ${nodes.length === 1 ? 'it is' : 'they are'} at zero.`,
    };
  },
});

/** Holders that a message names. */
const NAMED = 4;

function partsOf({ details }: Finding<Details>, words: Words): string {
  const { move, turn, scale, kind, isTurned, isScaled } = details;
  const parts = [
    ...(kind === 'moved' ? [`moved by ${words.length(length(move))}`] : []),
    ...(isTurned ? [`turned by ${words.degrees(turn)}`] : []),
    ...(isScaled ? [`scaled by ${words.number(scale)}`] : []),
  ];
  return parts.length > 2
    ? `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`
    : parts.join(' and ');
}

/** The worst of the trees of a rig, told for all of them. */
function gathered(
  worst: Finding<Details>,
  nodes: readonly number[],
  looked: number,
): Finding<Details> {
  const others = nodes.filter((node) => !worst.details.nodes.includes(node));
  return {
    ...worst,
    places: nodes.map((node) => ({ kind: 'node', node })),
    counts: { looked, short: nodes.length },
    details: { ...worst.details, others },
  };
}

function judge(
  sum: HolderSum,
  extent: number,
  limits: { move: number; turn: number; scale: number },
): Finding<Details> | null {
  const movePercent = extent > 0 ? (100 * length(sum.move)) / extent : 0;
  const isMoved = movePercent > limits.move;
  const isTilted = sum.tilt > limits.turn;
  if (!isMoved && sum.turn <= limits.turn) return null;
  const kind = isMoved ? 'moved' : isTilted ? 'tilted' : 'converted';
  return {
    level: kind === 'converted' ? 'note' : 'warning',
    place: { kind: 'node', node: isMoved ? sum.mover : sum.turner },
    measured: isMoved ? movePercent : isTilted ? sum.tilt : sum.turn,
    limit: isMoved ? limits.move : limits.turn,
    unit: isMoved ? '% of size' : 'degrees',
    covers: ['scale.unit'],
    details: {
      ...sum,
      kind,
      isTurned: sum.turn > limits.turn,
      isScaled: 100 * Math.abs(sum.scale - 1) > limits.scale,
      others: [],
    },
  };
}

const KINDS = ['converted', 'tilted', 'moved'];

function isWorse(a: Finding<Details>, b: Finding<Details>): boolean {
  const by = KINDS.indexOf(a.details.kind) - KINDS.indexOf(b.details.kind);
  return by > 0 || (by === 0 && a.measured > b.measured);
}
