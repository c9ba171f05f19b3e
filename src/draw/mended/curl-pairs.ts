import { type CurlView, viewCurl } from '../curl-view.js';
import type { SceneChain } from '../scene.js';
import { shortName } from '../text-size.js';
import type { RigPair } from './rig-pair.js';

/** One chain curled before and after a mend, about the same axes. */
export interface CurlPair {
  /** Its first and last joint, as they were called before. */
  readonly ends: string;
  readonly before: CurlView;
  readonly after: CurlView;
}

/** Chains of a rig that are shown, those that strayed most before. */
const MOST = 12;
/** A change of how far a chain leaves its plane that is less cannot be seen. Share of its length. */
const LEAST_CHANGE = 0.002;
/** Letters of a joint's name. */
const NAME_LETTERS = 24;

/** The chains with a changed joint that curl otherwise after the mend. */
export function curlPairs({ sides, changed }: RigPair): CurlPair[] {
  const [before, after] = sides;
  const indexAfter = jointsAfter({ sides });
  const touched = new Set(changed.map((joint) => joint.before));
  const found = before.scene.chains.flatMap((chain) => {
    if (!chain.joints.some((joint) => touched.has(joint))) return [];
    const now = sameChain(
      chain.joints.map((joint) => indexAfter[joint] ?? -1),
      after.scene.chains,
    );
    const own = viewCurl(chain);
    const other = now && own && viewCurl(now, own.about);
    if (!own || !other || Math.abs(own.drift - other.drift) <= LEAST_CHANGE) return [];
    const nameOf = (joint = -1): string =>
      shortName(before.report.joints[joint]?.name ?? '', NAME_LETTERS);
    const ends = `"${nameOf(chain.joints[0])}" to "${nameOf(chain.joints.at(-1))}"`;
    return [{ ends, before: own, after: other }];
  });
  return found.sort((a, b) => b.before.drift - a.before.drift).slice(0, MOST);
}

/** The joint after of each joint before, -1 where it is none. */
export function jointsAfter({ sides }: Pick<RigPair, 'sides'>): number[] {
  const [before, after] = sides;
  const ofNode = new Map(after.report.joints.map(({ node }, joint) => [node, joint]));
  return before.report.joints.map(({ node }) => ofNode.get(node) ?? -1);
}

/** The chain with most of some joints, and more than half; a mend can reverse, split or lengthen one. */
function sameChain(joints: readonly number[], chains: readonly SceneChain[]): SceneChain | null {
  const shared = chains.map(
    (chain) => chain.joints.filter((joint) => joints.includes(joint)).length,
  );
  const most = Math.max(0, ...shared);
  return 2 * most > joints.length ? (chains[shared.indexOf(most)] ?? null) : null;
}
