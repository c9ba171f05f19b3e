import { type CurledChain, curlChain, judgedCurl } from '../measure/skeleton/curl-pose.js';
import type { Letter } from '../rig/letters.js';
import { distance } from '../rig/vec3.js';
import { type Sight, secondSight, tellingSight } from './curl-sight.js';
import type { SceneChain } from './scene.js';

export { OWN_AXES } from '../measure/skeleton/curl-pose.js';

/** A chain curled with its own and with carried frames, and from where that is looked at. */
export interface CurlView extends CurledChain {
  /** From where the two part most, and another look. */
  readonly sights: readonly [most: Sight, other: Sight & { readonly isOnto: boolean }];
}

/** The letter that all joints are turned about, and by how many degrees each. */
export interface Turn {
  readonly letter: Letter;
  readonly degrees: number;
}

/** The curl that is asked for, else the one by which a chain is judged; null for a chain without length. */
export function viewCurl({ curl }: SceneChain, asked: Turn | null = null): CurlView | null {
  const curled = asked === null ? judgedCurl(curl) : curlChain(curl, asked.letter, asked.degrees);
  const { carried } = curled;
  if (!carried.some((point, place) => distance(point, carried[place - 1] ?? point) > 0))
    return null;
  const most = tellingSight(curled);
  return { ...curled, sights: [most, secondSight(curled, most)] };
}

/** What a letter is in a chain: the up or the side axis, which bend it, or the aim axis, which twists it. */
export function roleOf({ curl: { letters } }: Pick<SceneChain, 'curl'>, letter: Letter) {
  return letter === letters.up ? 'up' : letter === letters.side ? 'side' : 'aim';
}
