import { drawing, textElement } from '../../draw/svg.js';
import { significant } from '../../kit/figures.js';
import type { Rig } from '../../rig/types.js';
import { type Drawn, type PairSource, SIDE_WORDS } from './pair-source.js';

const [WIDTH, HEIGHT, TOP, ROW, COLUMN] = [340, 160, 46, 28, 80];
const LETTER = 13;

/** The inverse bind matrix that differs, on both sides, row by row. */
export function matrixPair({ atFault, mended }: PairSource): Drawn | null {
  const [a, b] = [atFault.model.rigs[0], mended.model.rigs[0]];
  const [skin, other] = [a?.skins[0], b?.skins[0]];
  if (!a || !b || !skin || !other) return null;
  const at = skin.inverseBind.findIndex((value, i) => !Object.is(value, other.inverseBind[i]));
  if (at === -1) return null;
  const slot = Math.floor(at / 16);
  const draw = (rig: Rig, side: 0 | 1): string => {
    const values = rig.skins[0]?.inverseBind.slice(16 * slot, 16 * slot + 16) ?? [];
    const compared = (side === 0 ? other : skin).inverseBind;
    const name = rig.joints.names[rig.skins[0]?.jointOfSlot[slot] ?? -1] ?? '';
    const cells = Array.from(values, (value, i) => {
      const differs = !Object.is(value, compared[16 * slot + i]);
      const mark = side === 0 ? 'drawing-error' : 'drawing-sound';
      const look = differs ? `drawing-strong ${mark}` : 'drawing-text';
      const [column, row] = [Math.floor(i / 4), i % 4];
      return textElement(16 + COLUMN * column, TOP + 8 + ROW * row, look, significant(value), {
        'font-size': LETTER,
      });
    });
    const title = `Inverse bind matrix of ${name}`;
    return drawing(
      'matrix',
      `${SIDE_WORDS[side]}: the inverse bind matrix of ${name}.`,
      [0, 0, WIDTH, HEIGHT],
      textElement(16, 22, 'drawing-quiet', title, { 'font-size': LETTER }),
      ...cells,
    );
  };
  return [draw(a, 0), draw(b, 1)];
}
