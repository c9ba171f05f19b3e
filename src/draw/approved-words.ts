import { significant } from '../kit/figures.js';
import type { SceneApproved } from './scene.js';
import { shortName } from './text-size.js';

/** Nearer to 1, a factor is not told; smaller, a turn is not. Share, and degrees. */
const [SAME_SIZE, NO_TURN] = [0.005, 0.5];
/** Letters of a file's name. */
const FILE_LETTERS = 60;

/** What was laid over a rig, and how it was placed. */
export function approvedWords({ name, file, by, scale, turned }: SceneApproved): string {
  const how = [
    `${by} on ${by}`,
    Math.abs(scale - 1) > SAME_SIZE && `drawn ${significant(scale)} times as large as it is`,
    turned > NO_TURN && `turned as a whole by ${significant(turned)}°`,
  ].filter(Boolean);
  const what = `the ${by === 'mesh' ? 'model' : 'approved rig'} "${shortName(name)}" of ${shortName(file, FILE_LETTERS)}`;
  return `Dashed: ${what}, ${how.join(', ')}.`;
}
