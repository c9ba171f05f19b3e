import { drawing, element, textElement } from '../../draw/svg.js';
import { fitText, shortName } from '../../draw/text-size.js';
import { significant } from '../../kit/figures.js';
import type { Rig, SkinnedPart } from '../../rig/types.js';
import { type Drawn, type PairSource, SIDE_WORDS } from './pair-source.js';

const [WIDTH, TOP, BLOCK, LEFT] = [340, 14, 66, 14];
/** Units of a weight of 1. */
const WHOLE = 240;
const LETTER = 12;
/** Vertices that are shown: more say the same again. */
const MOST = 3;

/** One weight of a vertex. */
interface Share {
  readonly joint: string;
  readonly weight: number;
}

/** The weights of the vertices that differ, as bars against a whole of 1, on both sides. */
export function weightsPair({ atFault, mended }: PairSource): Drawn | null {
  const [a, b] = [atFault.model.rigs[0], mended.model.rigs[0]];
  if (a === undefined || b === undefined) return null;
  const found = differing(a, b);
  if (found === null) return null;
  const draw = (rig: Rig, side: 0 | 1): string => {
    const blocks = found.vertices.map((vertex, at) => {
      const part = rig.parts[found.part];
      return part === undefined ? '' : vertexBlock(rig, part, vertex, TOP + BLOCK * at, side);
    });
    const label = `${SIDE_WORDS[side]}: the weights of ${found.vertices.length} vertices.`;
    const frame = [0, 0, WIDTH, TOP + BLOCK * found.vertices.length] as const;
    return drawing('weights', label, frame, ...blocks);
  };
  return [draw(a, 0), draw(b, 1)];
}

/** The first part with vertices whose weights differ, and some of them. */
function differing(a: Rig, b: Rig): { part: number; vertices: number[] } | null {
  for (const [at, part] of a.parts.entries()) {
    const other = b.parts[at];
    if (other === undefined || other.vertexCount !== part.vertexCount) continue;
    const vertices: number[] = [];
    for (let vertex = 0; vertex < part.vertexCount && vertices.length < MOST; vertex++) {
      const words = [sharesOf(a, part, vertex), sharesOf(b, other, vertex)].map((list) =>
        JSON.stringify(list.map(({ joint, weight }) => [joint, weight.toFixed(4)])),
      );
      if (words[0] !== words[1]) vertices.push(vertex);
    }
    if (vertices.length > 0) return { part: at, vertices };
  }
  return null;
}

function sharesOf({ skins, joints }: Rig, part: SkinnedPart, vertex: number): Share[] {
  const slots = skins[part.skin]?.jointOfSlot;
  const shares: Share[] = [];
  for (let i = vertex * part.influences; i < (vertex + 1) * part.influences; i++) {
    const weight = part.weights[i] ?? 0;
    if (weight === 0) continue;
    const slot = part.slots[i] ?? 0;
    const joint = slots?.[slot];
    shares.push({
      joint: joint === undefined ? `joint number ${slot} (none)` : (joints.names[joint] ?? ''),
      weight,
    });
  }
  return shares;
}

function vertexBlock(rig: Rig, part: SkinnedPart, vertex: number, y: number, side: 0 | 1): string {
  const shares = sharesOf(rig, part, vertex);
  const sum = shares.reduce((all, { weight }) => all + weight, 0);
  let x = LEFT;
  const bars = shares.map(({ weight }, at) => {
    const width = WHOLE * Math.abs(weight);
    const bar = element('rect', {
      class: `drawing-share drawing-share-${weight < 0 ? 'below' : at % 4}`,
      x,
      y: y + 20,
      width,
      height: 13,
    });
    x += width;
    return bar;
  });
  const words =
    shares.length === 0
      ? 'no weight at all'
      : shares
          .map(({ joint, weight }) => `${shortName(joint, 22)} ${significant(weight)}`)
          .join(' + ');
  const end = LEFT + WHOLE;
  const mark = side === 0 ? 'drawing-error' : 'drawing-sound';
  return [
    textElement(LEFT, y + 12, 'drawing-quiet', `Vertex ${vertex}`, { 'font-size': LETTER }),
    ...bars,
    element('path', { class: 'drawing-solid', d: `M${LEFT} ${y + 16}v21M${end} ${y + 16}v21` }),
    textElement(end + 8, y + 31, `drawing-strong ${mark}`, `= ${significant(sum)}`, {
      'font-size': LETTER,
    }),
    textElement(LEFT, y + 50, 'drawing-text', fitText(words, LETTER, WIDTH - 2 * LEFT), {
      'font-size': LETTER,
    }),
  ].join('');
}
